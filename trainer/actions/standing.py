"""A person's standing on a day: progress in each module, state of each competency, from the rows.

The rules decide; this only brings them the facts, each worked out when it is asked for.
"""

from __future__ import annotations

import json
from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import Row

from trainer import clock
from trainer.actions.house import House, Shelf
from trainer.actions.person_rows import AllRows, PersonRows, moment_of, read_rows
from trainer.rules.competency import (
    CompetencyFacts,
    CompetencyState,
    Event,
    Need,
    Restriction,
    State,
    state_of,
)
from trainer.rules.progress import (
    CautionFacts,
    ExerciseFacts,
    LessonFacts,
    Missing,
    ModuleFacts,
    ModuleProgress,
    StepFacts,
    module_progress,
)

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from trainer.library.catalogue import Competency, Module, Scheme

_UNTOUCHED: Shelf[str, ModuleProgress] = Shelf(512)
"""The progress of somebody who did nothing, by the module's edition."""
_STATES: Shelf[tuple[Any, ...], CompetencyState] = Shelf(16_384)
"""Answers of the rules by all they rest on: editions, the folded row, the day."""
_FROM_THEORY = frozenset({State.NOT_STARTED, State.IN_TRAINING, State.READY})


@dataclass(frozen=True, slots=True)
class Board:
    """What the standings of everybody rest on: editions in force, day, notice, and the rows."""

    house: House
    rows: AllRows
    modules: tuple[Module, ...]
    scheme: Scheme
    today: date

    def of(self, person_id: int) -> Standing:
        """The standing of one person whose rows were read."""
        return Standing(self, self.rows.of(person_id))


def read_board(house: House, session: Session, person_ids: Collection[int]) -> Board:
    """Read the rows of these people (three statements) beside the editions in force."""
    rows = read_rows(session, person_ids)
    modules, scheme = house.modules(rows.in_force), house.scheme(rows.in_force)
    return Board(house, rows, modules, scheme, clock.today())


class Standing:
    """One person on one day."""

    def __init__(self, board: Board, rows: PersonRows) -> None:
        self.board = board
        self.rows = rows
        self._modules = {module.id: module for module in board.modules}
        self._progress: dict[str, ModuleProgress] = {}
        self._states: dict[str, CompetencyState] = {}
        self._asked: set[str] = set()

    def progress(self, module_id: str) -> ModuleProgress:
        """How far the person is with a module in force."""
        if module_id not in self._progress:
            self._progress[module_id] = self._progress_of(module_id)
        return self._progress[module_id]

    def state(self, competency: str) -> CompetencyState:
        """The person's state in a competency of the scheme in force."""
        found = self._states.get(competency)
        if found is None:
            found = self._states[competency] = self._state_of(competency)
        return found

    def _state_of(self, competency: str) -> CompetencyState:
        """The rule's answer; what it rests on is the key under which it is kept."""
        board, today = self.board, self.board.today
        notice = board.house.settings.notice_days
        row, request = self.rows.competencies.get(competency), self.rows.requests.get(competency)
        key: tuple[Any, ...] = (
            board.scheme.hash,
            competency,
            row and row[2:],
            request,
            today,
            notice,
        )
        # The theory is looked at only where the observations leave it to decide.
        found = _STATES.get(key, lambda: state_of(self.observed(competency), today, notice))
        if found.state not in _FROM_THEORY:
            return found
        modules = self._untouched(board.scheme.competencies[competency])
        if modules is None:
            return state_of(self.facts(competency), today, notice)
        needs = self._needs(board.scheme.competencies[competency])
        key = (*key, modules, needs)
        return _STATES.get(key, lambda: state_of(self.facts(competency), today, notice))

    def _untouched(self, competency: Competency) -> tuple[str, ...] | None:
        """The editions of a competency's modules, if the person did nothing in any of them."""
        found = []
        for module_id in competency.modules:
            module = self._modules.get(module_id)
            if module is not None and self._is_begun(module):
                return None
            found.append(module.hash if module is not None else "")
        return tuple(found)

    def _is_begun(self, module: Module) -> bool:
        rows = self.rows
        if module.id in rows.begun_modules:
            return True
        return any(lesson.id in rows.reads for lesson in module.lessons)

    def facts(self, competency: str) -> CompetencyFacts:
        """Everything the state depends on, with the theory."""
        row = self.board.scheme.competencies[competency]
        modules = tuple(self.progress(module) for module in row.modules)
        return replace(self.observed(competency), modules=modules, needs=self._needs(row))

    def last_outcome_on(self, competency: str) -> date | None:
        """The day on which the last sheet of a competency ended."""
        row = self.rows.competencies.get(competency)
        ended_at = moment_of(row.last_outcome_at) if row is not None else None
        return ended_at.date() if ended_at is not None else None

    def observed(self, competency: str) -> CompetencyFacts:
        """What was observed, recognised, restricted and asked, without the theory."""
        row = self.board.scheme.competencies[competency]
        state, request = self.rows.competencies.get(competency), self.rows.requests.get(competency)
        asked_at = request[1] if request else None
        if state is None:
            return CompetencyFacts(competency, row.months, row.observers, asked_at=asked_at)
        return CompetencyFacts(
            competency,
            row.months,
            row.observers,
            events=_events(state),
            restrictions=_restrictions(state),
            sheet_open_since=moment_of(state.open_sheet_at),
            asked_at=asked_at,
            withdrawn_at=moment_of(state.withdrawn_at),
        )

    def module_facts(self, module: Module) -> ModuleFacts:
        """What the person did in a module, as the rules want it."""
        return ModuleFacts(
            module.id,
            module.title,
            lessons=tuple(
                self._lesson(lesson.id, lesson.title, module) for lesson in module.lessons
            ),
            cautions=tuple(self._cautions(module)),
            exercises=tuple(
                self._exercise(exercise.id, exercise.title, module)
                for exercise in module.exercises.values()
            ),
            check=_check(module),
        )

    def caution_seen_at(self, module: Module, caution: str) -> datetime | None:
        """When the present wording of a caution was acknowledged in this module."""
        seen = self.rows.cautions.get((module.id, caution))
        if seen is None:
            return None
        again = self.board.house.carried(seen[0], module).acknowledge_again
        return None if caution in again else seen[1]

    def _progress_of(self, module_id: str) -> ModuleProgress:
        module = self._modules.get(module_id)
        if module is None:
            missing = Missing("read", module_id, f"Module {module_id} is not in force.")
            return ModuleProgress(module_id, "", is_begun=False, missing=(missing,))
        if self._is_begun(module):
            return module_progress(self.module_facts(module), self.board.today)
        return _UNTOUCHED.get(module.hash, lambda: untouched_progress(module))

    def _lesson(self, lesson: str, title: str, module: Module) -> LessonFacts:
        read = self.rows.reads.get(lesson)
        if read is None:
            return LessonFacts(lesson, title)
        again = lesson in self.board.house.carried(read[0], module).read_again
        return LessonFacts(lesson, title, read[1], is_changed=again)

    def _cautions(self, module: Module) -> list[CautionFacts]:
        return [
            CautionFacts(caution, lesson, self.caution_seen_at(module, caution))
            for caution, lesson in cautions_shown(module)
        ]

    def _exercise(self, exercise: str, title: str, module: Module) -> ExerciseFacts:
        state, opened = self.rows.exercises.get(exercise), self.rows.opened.get(exercise)
        opened_at = state.last_at if state is not None else opened[1] if opened else None
        if state is None or state.done_edition is None:
            return ExerciseFacts(exercise, title, opened_at)
        again = not self.board.house.still_counts(state.done_edition, module, exercise)
        return ExerciseFacts(exercise, title, opened_at, state.done_at, is_changed=again)

    def _needs(self, competency: Competency) -> tuple[Need, ...]:
        known, needs = self.board.scheme.competencies, []
        self._asked.add(competency.id)
        for need in competency.needs:
            # A circle never makes anything held, nor does a competency the scheme has not.
            is_open = need in known and need not in self._asked
            is_held = is_open and self.state(need).is_held
            needs.append(Need(need, known[need].short if need in known else "", is_held=is_held))
        self._asked.discard(competency.id)
        return tuple(needs)


def cautions_shown(module: Module) -> tuple[tuple[str, str], ...]:
    """Each caution of a module with the first lesson that shows it."""
    shown: dict[str, str] = {}
    for lesson in module.lessons:
        for caution in lesson.hazards:
            shown.setdefault(caution, lesson.id)
    return tuple(shown.items())


def _check(module: Module) -> StepFacts | None:
    return StepFacts(module.id, "module check") if module.check is not None else None


def untouched_progress(module: Module) -> ModuleProgress:
    """The progress of somebody who did nothing in a module."""
    nothing = ModuleFacts(
        module.id,
        module.title,
        lessons=tuple(LessonFacts(lesson.id, lesson.title) for lesson in module.lessons),
        cautions=tuple(CautionFacts(caution, at) for caution, at in cautions_shown(module)),
        exercises=tuple(ExerciseFacts(one.id, one.title) for one in module.exercises.values()),
        check=_check(module),
    )
    return module_progress(nothing, date.max)


def _events(state: Row[Any]) -> tuple[Event, ...]:
    """The observations of a folded row that still matter.

    A recognition before the last ended sheet counts no more: a sheet signed while it was in date
    renewed it by a sign-off of its own, and any other outcome ended it.
    """
    events = []
    last_at, recognised_at = moment_of(state.last_outcome_at), moment_of(state.recognised_at)
    if recognised_at is not None and (last_at is None or recognised_at >= last_at):
        months = int(state.recognised_months or 0)
        events.append(Event("recognised", recognised_at, months=months))
    if last_at is not None and state.last_outcome != "competent":
        stopped = state.last_outcome == "stopped for safety"
        events.append(Event("stopped for safety" if stopped else "not yet competent", last_at))
        return tuple(events)
    signed_off_at = moment_of(state.signed_off_at)
    for signer, sheet, moment in json.loads(state.signatures or "[]"):
        at = datetime.fromisoformat(moment)
        completes = at == signed_off_at
        events.append(Event("competent", at, signer, str(sheet), completes=completes))
    return tuple(events)


def _restrictions(state: Row[Any]) -> tuple[Restriction, ...]:
    return tuple(
        Restriction(
            datetime.fromisoformat(since),
            "",
            until=datetime.fromisoformat(until).date() if until else None,
            grinder_type=grinder_type,
        )
        for _id, grinder_type, since, until in json.loads(state.restrictions or "[]")
    )
