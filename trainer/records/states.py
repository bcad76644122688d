"""Folding the records into one row for each person and exercise, and each person and competency.

A fold holds dates and facts; ``rules`` make a state of them. Folding an exercise costs the same
however many attempts there are, and the order of folding does not matter. ``rebuild`` makes every
row anew from the records and must give what is stored.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from itertools import groupby
from operator import attrgetter
from typing import Any

from sqlalchemy import Select, delete, insert, select
from sqlalchemy.orm import Session

from trainer.records.attempts import Attempt, Marked
from trainer.records.competency_facts import competency_rows
from trainer.records.editions import Edition
from trainer.records.state_tables import StateCompetency, StateExercise

DONE = "inside"
"""The outcome that counts as done when it was reached on own numbers."""
_ROWS_AT_A_TIME = 2_000


@dataclass(frozen=True, slots=True)
class ExerciseFold:
    """What ``state_exercise`` keeps of one person's attempts at one exercise."""

    person_id: int
    exercise: str
    module: str
    attempts: int
    best_mark: int
    marks: int
    last_attempt_id: int
    last_at: datetime
    last_outcome: str
    last_slip: str
    done_edition: str | None
    done_number: int | None
    done_at: datetime | None

    def with_another(self, other: ExerciseFold) -> ExerciseFold:
        """Both folds in one; the same whichever comes first."""
        best = max(
            self, other, key=lambda fold: (fold.best_mark * _scale(self, other, fold), fold.marks)
        )
        last = max(self, other, key=lambda fold: (fold.last_at, fold.last_attempt_id))
        done = min((self, other), key=_done_order)
        return replace(
            last,
            attempts=self.attempts + other.attempts,
            best_mark=best.best_mark,
            marks=best.marks,
            done_edition=done.done_edition,
            done_number=done.done_number,
            done_at=done.done_at,
        )


def _scale(one: ExerciseFold, other: ExerciseFold, fold: ExerciseFold) -> int:
    """Brings marks out of different totals to the same whole number: 3 of 5 against 2 of 3."""
    return (other if fold is one else one).marks


def _done_order(fold: ExerciseFold) -> tuple[int, float]:
    """The newest edition first, and the first time at it; never done last."""
    if fold.done_number is None or fold.done_at is None:
        return (1, 0.0)
    return (-fold.done_number, fold.done_at.timestamp())


def _marked_rows() -> Select[*tuple[Any, ...]]:
    return (
        select(
            Attempt.person_id,
            Attempt.exercise,
            Attempt.module,
            Attempt.id,
            Attempt.own_numbers,
            Attempt.edition_hash,
            Edition.number,
            Marked.mark,
            Marked.marks,
            Marked.outcome,
            Marked.slip,
            Marked.closed_at,
        )
        .join(Marked, Marked.attempt_id == Attempt.id)
        .join(Edition, Edition.hash == Attempt.edition_hash)
    )


def _fold_of(row: Any) -> ExerciseFold:  # noqa: ANN401 - a row of _marked_rows
    is_done = row.outcome == DONE and row.own_numbers
    return ExerciseFold(
        person_id=row.person_id,
        exercise=row.exercise,
        module=row.module,
        attempts=1,
        best_mark=row.mark,
        marks=row.marks,
        last_attempt_id=row.id,
        last_at=row.closed_at,
        last_outcome=row.outcome,
        last_slip=row.slip,
        done_edition=row.edition_hash if is_done else None,
        done_number=row.number if is_done else None,
        done_at=row.closed_at if is_done else None,
    )


def fold_marked(session: Session, attempt_id: int) -> None:
    """Fold one attempt that was just marked into the row of its person and exercise.

    Call it once for each marked attempt, in the transaction that marks it.
    """
    session.flush()
    fold = _fold_of(session.execute(_marked_rows().where(Attempt.id == attempt_id)).one())
    stored = session.get(StateExercise, (fold.person_id, fold.exercise))
    if stored is None:
        session.add(StateExercise(**asdict(fold)))
        return
    names = ExerciseFold.__dataclass_fields__
    before = ExerciseFold(**{name: getattr(stored, name) for name in names})
    for name, value in asdict(before.with_another(fold)).items():
        setattr(stored, name, value)


def fold_competency(session: Session, person_id: int, competency: str) -> None:
    """Make the row of one person and competency anew, after anything about the two was recorded."""
    session.flush()
    rows = competency_rows(session, person_id=person_id, competency=competency)
    session.execute(
        delete(StateCompetency).where(
            StateCompetency.person_id == person_id, StateCompetency.competency == competency
        )
    )
    _insert(session, StateCompetency, rows)


def rebuild(session: Session) -> None:
    """Make every folded row anew from the records."""
    session.flush()
    session.execute(delete(StateExercise))
    session.execute(delete(StateCompetency))
    session.expire_all()
    marked = session.execute(
        _marked_rows()
        .order_by(Attempt.person_id, Attempt.exercise)
        .execution_options(yield_per=_ROWS_AT_A_TIME)
    )
    folds = []
    for _, rows in groupby(marked, key=attrgetter("person_id", "exercise")):
        fold, *others = [_fold_of(row) for row in rows]
        for other in others:
            fold = fold.with_another(other)
        folds.append(asdict(fold))
    _insert(session, StateExercise, folds)
    _insert(session, StateCompetency, competency_rows(session))


def _insert(session: Session, table: type[Any], rows: Iterable[Mapping[str, Any]]) -> None:
    waiting = list(rows)
    for start in range(0, len(waiting), _ROWS_AT_A_TIME):
        session.execute(insert(table), waiting[start : start + _ROWS_AT_A_TIME])
