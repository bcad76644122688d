"""Is a module done? Lessons read, cautions acknowledged, every exercise inside once on own numbers.

Facts carry moments, so that the answer can be given as on any day. Whether a newer edition asks for
reading or working something again is a fact too: it depends on texts, which rules do not read.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

MissingKind = Literal["read", "read again", "acknowledge", "work", "work again", "case", "check"]


@dataclass(frozen=True, slots=True)
class LessonFacts:
    """A lesson: when it was signed as read, and whether a safety change came later."""

    id: str
    title: str
    read_at: datetime | None = None
    is_changed: bool = False


@dataclass(frozen=True, slots=True)
class CautionFacts:
    """A caution shown in a lesson: when its present wording was acknowledged."""

    id: str
    lesson: str
    seen_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class ExerciseFacts:
    """An exercise: first opened, first inside on own numbers, and whether it changed since."""

    id: str
    title: str
    opened_at: datetime | None = None
    inside_at: datetime | None = None
    is_changed: bool = False


@dataclass(frozen=True, slots=True)
class StepFacts:
    """A bench case or a module check: when it was closed or passed."""

    id: str
    title: str
    done_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class ModuleFacts:
    """One module for one person."""

    id: str
    title: str
    lessons: tuple[LessonFacts, ...] = ()
    cautions: tuple[CautionFacts, ...] = ()
    exercises: tuple[ExerciseFacts, ...] = ()
    cases: tuple[StepFacts, ...] = ()
    check: StepFacts | None = None


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing still to be done in a module, in words."""

    kind: MissingKind
    target: str
    sentence: str


@dataclass(frozen=True, slots=True)
class ModuleProgress:
    """How far a person is with a module."""

    id: str
    title: str
    is_begun: bool
    missing: tuple[Missing, ...]

    @property
    def is_done(self) -> bool:
        """Nothing is missing."""
        return not self.missing


def module_progress(facts: ModuleFacts, day: date) -> ModuleProgress:
    """How far a person is with a module at the end of this day.

    Args:
        facts: What the person did in the module, with moments.
        day: Acts after this day do not count.

    Returns:
        Whether the module is begun, and everything that is missing, in the order of the module.
    """
    missing = [
        *(_lesson(lesson, day) for lesson in facts.lessons),
        *(_caution(caution, day) for caution in facts.cautions),
        *(_exercise(exercise, day) for exercise in facts.exercises),
        *(_step(case, "case", day) for case in facts.cases),
        _step(facts.check, "check", day) if facts.check else None,
    ]
    acts = [
        *(lesson.read_at for lesson in facts.lessons),
        *(caution.seen_at for caution in facts.cautions),
        *(exercise.opened_at for exercise in facts.exercises),
        *(case.done_at for case in facts.cases),
    ]
    return ModuleProgress(
        facts.id,
        facts.title,
        is_begun=any(_by(moment, day) for moment in acts),
        missing=tuple(found for found in missing if found is not None),
    )


def _by(moment: datetime | None, day: date) -> bool:
    return moment is not None and moment.date() <= day


def _lesson(lesson: LessonFacts, day: date) -> Missing | None:
    if not _by(lesson.read_at, day):
        return Missing("read", lesson.id, f"{lesson.id} {lesson.title} is not signed as read.")
    if lesson.is_changed:
        sentence = f"{lesson.id} {lesson.title} has a safety change: read it again."
        return Missing("read again", lesson.id, sentence)
    return None


def _caution(caution: CautionFacts, day: date) -> Missing | None:
    if _by(caution.seen_at, day):
        return None
    sentence = f"Caution {caution.id} in {caution.lesson} is not acknowledged."
    return Missing("acknowledge", caution.lesson, sentence)


def _exercise(exercise: ExerciseFacts, day: date) -> Missing | None:
    if not _by(exercise.inside_at, day):
        sentence = f"{exercise.id} {exercise.title} was not inside yet."
        return Missing("work", exercise.id, sentence)
    if exercise.is_changed:
        sentence = f"{exercise.id} {exercise.title} has changed: work it once more."
        return Missing("work again", exercise.id, sentence)
    return None


def _step(step: StepFacts, kind: Literal["case", "check"], day: date) -> Missing | None:
    if _by(step.done_at, day):
        return None
    word = "closed" if kind == "case" else "passed"
    return Missing(kind, step.id, f"{step.id} {step.title} is not {word}.")
