"""The programme with a person's place in it, and the page of one lesson."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from trainer.actions.house import Actor, House
from trainer.actions.permission import require_sight
from trainer.actions.standing import Standing, read_board
from trainer.errors import NotFoundError, register

if TYPE_CHECKING:
    from trainer.library.catalogue import Caution, Lesson, Module


NO_FILE = register(
    "VIE-001",
    "This edition has no file {name}.",
    "Load the lesson again.",
    audience="trainee",
    status=404,
)


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
    """The ordered modules in force with the person's progress; three statements.

    Raises:
        RefusedError: PEO-001 for a person whose record is not the actor's to see.
    """
    person = actor.person_id if person_id is None else person_id
    with house.database.reading() as session:
        if person != actor.person_id:
            require_sight(session, actor, person)
        standing = read_board(house, session, {person}).of(person)
    return tuple(_module_line(house, standing, module) for module in standing.board.modules)


def lesson_page(house: House, actor: Actor, *, lesson: str) -> LessonPage:
    """A lesson of the edition in force for this person; three statements.

    Raises:
        NotFoundError: HOU-005.
    """
    with house.database.reading() as session:
        board = read_board(house, session, {actor.person_id})
    module = house.module_with_lesson(lesson, board.rows.in_force)
    standing, found = board.of(actor.person_id), module.lesson(lesson)
    facts = {one.id: one for one in standing.module_facts(module).lessons}[lesson]
    place = [one.id for one in module.lessons].index(lesson)
    beside = [
        module.lessons[at] if 0 <= at < len(module.lessons) else None
        for at in (place - 1, place + 1)
    ]
    before, after = ((one.id, one.title) if one is not None else None for one in beside)
    return LessonPage(
        found,
        module,
        house.number(module.hash),
        board.rows.in_force_since[module.id],
        found.edition_note,
        None if facts.is_changed else facts.read_at,
        tuple(
            (module.cautions[one], standing.caution_seen_at(module, one))
            for one in found.hazards
            if one in module.cautions
        ),
        tuple(exercise_line(standing, module, one) for one in found.exercises),
        before,
        after,
    )


def figure(house: House, *, edition_hash: str, name: str) -> bytes:
    """A figure or data file of any stored edition, by name.

    Raises:
        NotFoundError: HOU-003, VIE-001.
    """
    files = house.module(edition_hash).files
    if name not in files:
        raise NotFoundError(NO_FILE, name=name[:80])
    return files[name]


def exercise_line(standing: Standing, module: Module, exercise: str) -> ExerciseLine:
    """An exercise with the person's place in it."""
    found, state = module.exercises[exercise], standing.rows.exercises.get(exercise)
    opened = standing.rows.opened.get(exercise)
    house = standing.board.house
    done = state is not None and house.still_counts(state.done_edition, module, exercise)
    if done:
        sentence = "inside on own numbers"
    elif state is None:
        sentence = "not worked yet"
    elif state.done_edition:
        sentence = "changed since: work it once more"
    else:
        slip = f": {state.last_slip}" if state.last_slip else ""
        sentence = f"last time {state.last_outcome}{slip}"
    return ExerciseLine(
        exercise,
        found.title,
        module.lesson_of_exercise.get(exercise, ""),
        done,
        state.attempts if state is not None else 0,
        state.best_mark if state is not None else 0,
        state.marks if state is not None else found.marks,
        opened[0] if opened is not None else None,
        state.last_attempt_id if state is not None else None,
        sentence,
    )


def _module_line(house: House, standing: Standing, module: Module) -> ModuleLine:
    progress, facts = standing.progress(module.id), standing.module_facts(module)
    read = {one.id: None if one.is_changed else one.read_at for one in facts.lessons}
    lessons = tuple(
        LessonLine(
            one.id,
            one.title,
            one.minutes,
            read[one.id],
            sum(standing.caution_seen_at(module, caution) is None for caution in one.hazards),
        )
        for one in module.lessons
    )
    known = standing.board.scheme.competencies
    return ModuleLine(
        module.id,
        module.title,
        house.number(module.hash),
        module.hash,
        module.needs,
        tuple(need for need in module.needs if not standing.progress(need).is_done),
        progress.is_done,
        progress.is_begun,
        tuple(one.sentence for one in progress.missing),
        tuple((one, known[one].title) for one in module.competencies if one in known),
        lessons,
        tuple(exercise_line(standing, module, one) for one in module.exercises),
    )
