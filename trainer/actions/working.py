"""What a trainee does: reads, acknowledges, opens a calculation sheet, keeps it, closes and marks it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from trainer.actions.house import Actor, House

if TYPE_CHECKING:
    from trainer.engine.definition import Exercise
    from trainer.engine.marking import Asking
    from trainer.engine.outcome import Marking, Shown


@dataclass(frozen=True, slots=True)
class SheetHead:
    """What the head of a calculation sheet prints: whose, which edition, which draw."""

    attempt_id: int
    person_id: int
    exercise: str
    title: str
    module: str
    lesson: str  # the first lesson that places the exercise, or ''
    edition_number: int
    edition_hash: str
    draw_number: int  # this person's how-manieth draw of the exercise, from 1
    opened_at: datetime


@dataclass(frozen=True, slots=True)
class OpenSheet:
    """An open sheet: all that may reach a browser before it is closed. ``token`` goes into the form."""

    head: SheetHead
    shown: Shown
    token: str
    answers: Mapping[str, str]
    notes: str
    saved_at: datetime | None
    cautions: tuple[str, ...]  # ids of cautions of the exercise's hazards, in the module's edition


@dataclass(frozen=True, slots=True)
class MarkedSheet:
    """A closed sheet with its marking, as it was asked and marked then."""

    head: SheetHead
    shown: Shown
    marking: Marking
    answers: Mapping[str, str]
    notes: str
    closed_at: datetime
    digest: str


@dataclass(frozen=True, slots=True)
class VoidSheet:
    """A sheet that was ended without a mark: its edition was withdrawn, or a technical failure."""

    head: SheetHead
    reason: str


@dataclass(frozen=True, slots=True)
class Marked:
    """The result of close and mark; ``again`` when it was marked before and this is the first result."""

    attempt_id: int
    marking: Marking
    again: bool = False


@dataclass(frozen=True, slots=True)
class ExercisePage:
    """The state of one exercise for one person, before a sheet is opened."""

    exercise: Exercise  # never hand its method, accept or slips to a template
    module: str
    module_title: str
    lesson: str
    open_attempt: int | None
    last_attempt: int | None  # last closed one
    attempts: int
    done: bool
    state: str  # a sentence


def exercise_page(house: House, actor: Actor, *, exercise: str) -> ExercisePage:
    """What stands on the page of an exercise; changes nothing."""
    raise NotImplementedError


def open_sheet(house: House, actor: Actor, *, exercise: str) -> int:
    """Open a calculation sheet and return its attempt id; the open one if there is one."""
    raise NotImplementedError


def new_numbers(house: House, actor: Actor, *, exercise: str) -> int:
    """Another draw of an exercise after its last sheet was closed; the open one if there is one."""
    raise NotImplementedError


def sheet_of(house: House, actor: Actor, *, attempt: int) -> OpenSheet | MarkedSheet | VoidSheet:
    """A sheet as its owner (or who may see it) sees it."""
    raise NotImplementedError


def keep(
    house: House, actor: Actor, *, attempt: int, answers: Mapping[str, str], notes: str
) -> datetime:
    """Keep what is typed without marking; returns the moment it was saved."""
    raise NotImplementedError


def close_and_mark(
    house: House,
    actor: Actor,
    *,
    attempt: int,
    token: str,
    answers: Mapping[str, str],
    notes: str = "",
) -> Marked | Asking:
    """Close the sheet and mark it; ``Asking`` uses nothing up; the same call again gives the first result."""
    raise NotImplementedError


def sign_as_read(house: House, actor: Actor, *, lesson: str) -> None:
    """The trainee's act at the foot of a lesson; harmless to repeat."""
    raise NotImplementedError


def acknowledge(house: House, actor: Actor, *, lesson: str, caution: str) -> None:
    """Acknowledge a caution shown in a lesson; harmless to repeat."""
    raise NotImplementedError
