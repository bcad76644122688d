"""Two editions of a module: what changed, what has to be done again, and whether safety changed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from trainer.engine.definition import Exercise
from trainer.library.catalogue import Lesson, Module
from trainer.library.sanitise import FIGURE_NAME

_FIGURE = re.compile(rf'"figure:({FIGURE_NAME})"')


@dataclass(frozen=True, slots=True)
class Differences:
    """What a newer edition changed. New lessons and exercises count as changed."""

    lessons: tuple[str, ...] = ()
    exercises: tuple[str, ...] = ()
    exercises_to_redo: tuple[str, ...] = ()
    safety_change: bool = False
    words: tuple[str, ...] = ()


def between(old: Module | None, new: Module) -> Differences:
    """Compare two editions of a module; without an older one everything is new.

    An exercise that was done stays done unless its given, method, find or accept changed: what is
    drawn and shown, what is asked, and what counts as right. A safety change is one of a caution,
    of the declared hazards, of the panels and marked steps of a lesson or their order, or of an
    exercise with safety at stake.
    """
    before = old or replace(new, title="", lessons=(), exercises={}, cautions={}, hazards=())
    lessons = {lesson.id: lesson for lesson in before.lessons}
    changed = tuple(
        lesson.id
        for lesson in new.lessons
        if not _is_same_lesson(lessons.get(lesson.id), lesson, before, new)
    )
    exercises = _changed(before.exercises, new.exercises)
    redo = tuple(
        name
        for name in exercises
        if name not in before.exercises
        or task_of(before.exercises[name]) != task_of(new.exercises[name])
    )
    reasons = _safety_reasons(before, new)
    words = ("new module",) if old is None else _in_words(before, new, changed, exercises, redo)
    return Differences(changed, exercises, redo, bool(reasons), (*words, *reasons))


def task_of(exercise: Exercise) -> tuple[object, ...]:
    """What an exercise asks and what counts as right; remarks, working and title are no part of it.

    Compiled formulas are equal when they are written alike.
    """
    return (
        exercise.kind,
        exercise.givens,
        exercise.finds,
        exercise.method,
        exercise.pick,
        tuple((option.text, option.right) for option in exercise.options),
        exercise.acts,
        tuple((before.first, before.then) for before in exercise.before),
    )


def _is_same_lesson(old: Lesson | None, lesson: Lesson, before: Module, new: Module) -> bool:
    """Whether a reader would see the same; the edition's note is not part of the lesson."""
    if old is None or replace(old, edition_note="") != replace(lesson, edition_note=""):
        return False
    return all(
        before.files.get(name) == new.files.get(name) for name in _FIGURE.findall(lesson.html)
    )


def _changed(old: Mapping[str, Exercise], new: Mapping[str, Exercise]) -> tuple[str, ...]:
    return tuple(
        name for name, exercise in new.items() if name not in old or old[name].hash != exercise.hash
    )


def _safety_reasons(old: Module, new: Module) -> tuple[str, ...]:
    """In words, each thing that makes this a safety change."""
    reasons = [
        f"caution {name} {_what(old.cautions.get(name), new.cautions.get(name))}"
        for name in sorted({*old.cautions, *new.cautions})
        if old.cautions.get(name) != new.cautions.get(name)
    ]
    if set(old.hazards) != set(new.hazards):
        reasons.append("the hazards of the module changed")
    was = {lesson.id: lesson for lesson in old.lessons}
    now = {lesson.id: lesson for lesson in new.lessons}
    reasons.extend(
        f"panels, hazards or marked steps of {name} changed"
        for name in sorted({*was, *now})
        if _guards(was.get(name)) != _guards(now.get(name))
    )
    reasons.extend(
        f"exercise {name} {_what(old.exercises.get(name), new.exercises.get(name))}"
        for name in sorted({*old.exercises, *new.exercises})
        if _touches_safety(old.exercises.get(name), new.exercises.get(name))
    )
    return tuple(f"safety: {reason}" for reason in reasons)


def _guards(lesson: Lesson | None) -> tuple[object, ...]:
    """What guards a reader of this lesson; a lesson without any is as one that is not there."""
    return (lesson.safety, frozenset(lesson.hazards)) if lesson else ((), frozenset())


def _touches_safety(old: Exercise | None, new: Exercise | None) -> bool:
    """Whether an exercise with safety at stake changed, or the hazards of any."""
    if old is not None and new is not None and old.hash == new.hash:
        return False
    hazards = tuple(set(one.hazards) if one else set() for one in (old, new))
    return hazards[0] != hazards[1] or any(one and one.stakes == "safety" for one in (old, new))


def _what(old: object, new: object) -> str:
    if old is not None and new is not None:
        return "changed"
    return "is new" if old is None else "is gone"


def _in_words(
    old: Module,
    new: Module,
    lessons: Iterable[str],
    exercises: Iterable[str],
    redo: Iterable[str],
) -> tuple[str, ...]:
    words = [
        f"{what} of the module changed"
        for what in ("title", "needs", "competencies", "check", "intro")
        if getattr(old, what) != getattr(new, what)
    ]
    had = {lesson.id: lesson for lesson in old.lessons}
    words.extend(f"lesson {name} {_what(had.get(name), new)}" for name in lessons)
    gone = sorted(set(had) - {lesson.id for lesson in new.lessons})
    words.extend(f"lesson {name} is gone" for name in gone)
    again = {name: ", to be worked again" for name in redo if name in old.exercises}
    words.extend(
        f"exercise {name} {_what(old.exercises.get(name), new)}{again.get(name, '')}"
        for name in exercises
    )
    lost = sorted(set(old.exercises) - set(new.exercises))
    words.extend(f"exercise {name} is gone" for name in lost)
    return tuple(words)
