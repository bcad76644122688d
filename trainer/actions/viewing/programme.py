"""The programme with a person's place in it, and the page of one lesson."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from trainer.actions.house import Actor, House

if TYPE_CHECKING:
    from trainer.library.catalogue import Caution, Lesson, Module


@dataclass(frozen=True, slots=True)
class LessonLine:
    """A lesson in the programme."""

    id: str
    title: str
    minutes: int
    read_at: datetime | None  # None also when a safety edition asks for reading it again
    cautions_open: int


@dataclass(frozen=True, slots=True)
class ExerciseLine:
    """An exercise in the programme or on a lesson page."""

    id: str
    title: str
    lesson: str
    done: bool
    attempts: int
    best_mark: int
    marks: int
    open_attempt: int | None
    last_attempt: int | None
    sentence: str


@dataclass(frozen=True, slots=True)
class ModuleLine:
    """A module in the programme."""

    id: str
    title: str
    edition_number: int
    edition_hash: str
    needs: tuple[str, ...]
    needs_open: tuple[str, ...]  # those not done yet
    done: bool
    begun: bool
    missing: tuple[str, ...]
    competencies: tuple[tuple[str, str], ...]
    lessons: tuple[LessonLine, ...]
    exercises: tuple[ExerciseLine, ...]


@dataclass(frozen=True, slots=True)
class LessonPage:
    """Everything the page of a lesson prints."""

    lesson: Lesson
    module: Module
    edition_number: int
    in_force_since: datetime
    edition_note: str
    read_at: datetime | None
    cautions: tuple[tuple[Caution, datetime | None], ...]  # with the moment of acknowledging
    exercises: tuple[ExerciseLine, ...]
    before: tuple[str, str] | None  # id, title of the lesson before
    after: tuple[str, str] | None


def programme(
    house: House, actor: Actor, *, person_id: int | None = None
) -> tuple[ModuleLine, ...]:
    """The ordered modules in force with the person's progress."""
    raise NotImplementedError


def lesson_page(house: House, actor: Actor, *, lesson: str) -> LessonPage:
    """A lesson of the edition in force for this person."""
    raise NotImplementedError


def figure(house: House, *, edition_hash: str, name: str) -> bytes:
    """A figure or data file of any stored edition, by name; NotFoundError when there is none."""
    raise NotImplementedError
