"""Lessons as they are stored beside an edition, set once and served without setting them again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import cast

from trainer.canonical import Plain
from trainer.library.catalogue import About, Caution, Lesson, SignalWord

FORM = 1  # raise it when lessons are set in another way; older stored pages are then set anew

Pages = Mapping[str, Plain]
Row = Mapping[str, Plain]


def are_usable(pages: Pages) -> bool:
    """Whether these pages were set in today's way."""
    return pages.get("form") == FORM


def as_pages(lessons: Iterable[Lesson], cautions: Iterable[Caution], intro: str) -> Pages:
    """Lessons, the cautions written in them and the module's introduction as plain values."""
    return {
        "form": FORM,
        "intro": intro,
        "lessons": [_plain_lesson(lesson) for lesson in lessons],
        "cautions": {caution.id: plain_caution(caution) for caution in cautions},
    }


def lessons_of(pages: Pages) -> tuple[Lesson, ...]:
    """The lessons of stored pages."""
    return tuple(_lesson(row) for row in cast("Sequence[Row]", pages["lessons"]))


def cautions_of(plain: Mapping[str, Plain]) -> dict[str, Caution]:
    """Cautions by id, from the plain values under ``cautions``."""
    rows = cast("Mapping[str, Row]", plain["cautions"])
    return {name: _caution(name, row) for name, row in rows.items()}


def plain_caution(caution: Caution) -> Row:
    """A caution as plain values, without its id."""
    return {
        "about": list(caution.about),
        "avoid": caution.avoid,
        "for": caution.to_whom,
        "harm": caution.harm,
        "hazard": caution.hazard,
        "word": caution.word,
    }


def _caution(name: str, row: Row) -> Caution:
    return Caution(
        id=name,
        word=cast("SignalWord", row["word"]),
        hazard=str(row["hazard"]),
        harm=str(row["harm"]),
        avoid=str(row["avoid"]),
        about=cast("tuple[About, ...]", _texts(row["about"])),
        to_whom=str(row["for"]),
    )


def _plain_lesson(lesson: Lesson) -> Row:
    return {
        "id": lesson.id,
        "module": lesson.module,
        "title": lesson.title,
        "minutes": lesson.minutes,
        "html": lesson.html,
        "paragraphs": [list(pair) for pair in lesson.paragraphs],
        "hazards": list(lesson.hazards),
        "needs": list(lesson.needs),
        "edition_note": lesson.edition_note,
        "exercises": list(lesson.exercises),
        "safety": list(lesson.safety),
    }


def _lesson(row: Row) -> Lesson:
    paragraphs = cast("Sequence[tuple[str, str]]", row["paragraphs"])
    return Lesson(
        id=str(row["id"]),
        module=str(row["module"]),
        title=str(row["title"]),
        minutes=cast("int", row["minutes"]),
        html=str(row["html"]),
        paragraphs=tuple((anchor, number) for anchor, number in paragraphs),
        hazards=_texts(row["hazards"]),
        needs=_texts(row["needs"]),
        edition_note=str(row["edition_note"]),
        exercises=_texts(row["exercises"]),
        safety=_texts(row["safety"]),
    )


def _texts(value: Plain) -> tuple[str, ...]:
    return tuple(cast("Sequence[str]", value))
