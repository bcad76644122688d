"""What the library holds: modules, lessons, competencies, certificates, cautions; all frozen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from trainer.canonical import Plain
    from trainer.engine.definition import Exercise

SignalWord = Literal["danger", "warning", "caution", "notice", "safety"]
About = Literal["electrical", "burrs"]


@dataclass(frozen=True, slots=True)
class Caution:
    """A signal-word panel in short lines; ``about`` names the kinds of dangerous step it guards."""

    id: str
    word: SignalWord
    hazard: str
    harm: str
    avoid: str
    about: tuple[About, ...] = ()
    to_whom: str = ""  # who is meant, where that is not everybody


@dataclass(frozen=True, slots=True)
class Lesson:
    """One lesson: its sanitised HTML and what a page needs beside it."""

    id: str  # 'M03-L1'
    module: str
    title: str
    minutes: int
    html: str
    paragraphs: tuple[tuple[str, str], ...]  # (anchor, number as printed)
    hazards: tuple[str, ...] = ()  # caution ids shown in the lesson
    needs: tuple[str, ...] = ()
    edition_note: str = ""
    exercises: tuple[str, ...] = ()  # ids placed in this lesson, in order
    safety: tuple[str, ...] = ()  # its panels and marked steps in order, to see a safety change


@dataclass(frozen=True, slots=True)
class CheckPlan:
    """The module check: minutes, pass mark, attempts, waiting hours, topic -> how many."""

    minutes: int
    pass_percent: int
    attempts: int
    wait_hours: int
    plan: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Module:
    """One edition of a module, whole: what is served and what an old attempt still shows."""

    id: str
    title: str
    needs: tuple[str, ...]
    hazards: tuple[str, ...]
    competencies: tuple[str, ...]
    lessons: tuple[Lesson, ...]
    exercises: Mapping[str, Exercise]
    cautions: Mapping[str, Caution]
    check: CheckPlan | None = None
    intro: str = ""  # what the module is about, as HTML
    files: Mapping[str, bytes] = field(default_factory=dict, repr=False)  # figures and data by name
    hash: str = ""

    def lesson(self, lesson_id: str) -> Lesson:
        """The lesson with this id; KeyError if there is none."""
        for lesson in self.lessons:
            if lesson.id == lesson_id:
                return lesson
        raise KeyError(lesson_id)

    @property
    def lesson_of_exercise(self) -> Mapping[str, str]:
        """Exercise id -> id of the first lesson that places it."""
        return {
            exercise: lesson.id
            for lesson in reversed(self.lessons)
            for exercise in lesson.exercises
        }


@dataclass(frozen=True, slots=True)
class Criterion:
    """One observable act of a competency; a critical one decides alone."""

    id: str
    text: str
    critical: bool = False


@dataclass(frozen=True, slots=True)
class Competency:
    """What a person can be signed off for."""

    id: str
    title: str
    short: str
    modules: tuple[str, ...]
    needs: tuple[str, ...]
    criteria: tuple[Criterion, ...]
    safety_critical: bool = False
    observer_competent: bool = True
    observers: int = 1
    months: int = 24
    recheck: str = ""
    hazards: tuple[str, ...] = ()
    note: str = ""  # guidance for observers, Markdown


@dataclass(frozen=True, slots=True)
class Certificate:
    """A scope that can be granted: competencies and grinder types, and for how long."""

    id: str
    title: str
    competencies: tuple[str, ...]
    grinder_types: tuple[str, ...]
    months: int
    note: str = ""  # what the holder may do, Markdown


@dataclass(frozen=True, slots=True)
class Scheme:
    """Competencies and certificates together: an edition of its own, found by its hash."""

    competencies: Mapping[str, Competency]
    certificates: Mapping[str, Certificate]
    hash: str = ""


@dataclass(frozen=True, slots=True)
class Library:
    """A whole folder, read. A module with an error among its findings is not in ``modules``.

    ``canonical`` holds the canonical form of each module in ``modules`` and, where the scheme has
    no error, of the scheme under ``'scheme'``: what an edition stores. ``seen`` names every module
    of the folder, those kept out as well.
    """

    modules: Mapping[str, Module]
    scheme: Scheme
    cautions: Mapping[str, Caution]
    canonical: Mapping[str, Mapping[str, Plain]] = field(default_factory=dict, repr=False)
    seen: tuple[str, ...] = ()
