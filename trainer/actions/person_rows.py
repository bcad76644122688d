"""The rows from which standings are computed: three statements, however many people there are."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    BindParameter,
    Row,
    Text,
    bindparam,
    literal,
    null,
    select,
    type_coerce,
    union_all,
)
from sqlalchemy.orm import Session

from trainer.records.attempts import Attempt, CautionSeen, LessonRead
from trainer.records.editions import InForce
from trainer.records.observations import ObservationRequest
from trainer.records.state_tables import StateCompetency, StateExercise

# Statements are made once: putting one together costs more than running it.
_IDS: BindParameter[Any] = bindparam("ids", expanding=True)


@dataclass(slots=True)
class PersonRows:
    """What one person did, by what it was done to."""

    reads: dict[str, tuple[str, datetime]] = field(default_factory=dict)  # lesson -> edition, at
    cautions: dict[tuple[str, str], tuple[str, datetime]] = field(default_factory=dict)
    opened: dict[str, tuple[int, datetime]] = field(default_factory=dict)  # exercise -> attempt, at
    requests: dict[str, tuple[int, datetime]] = field(default_factory=dict)  # competency -> id, at
    exercises: dict[str, Row[Any]] = field(default_factory=dict)
    competencies: dict[str, Row[Any]] = field(default_factory=dict)
    begun_modules: set[str] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class AllRows:
    """The editions in force, and the rows of everybody who was asked for."""

    in_force: Mapping[str, str]
    in_force_since: Mapping[str, datetime]
    people: Mapping[int, PersonRows]

    def of(self, person_id: int) -> PersonRows:
        """The rows of one person; empty for somebody without any."""
        return self.people.get(person_id) or PersonRows()


def read_rows(session: Session, person_ids: Collection[int]) -> AllRows:
    """Read all that standings need: three statements."""
    ids = sorted(set(person_ids))
    people: defaultdict[int, PersonRows] = defaultdict(PersonRows)
    pointers: dict[str, str] = {}
    since: dict[str, datetime] = {}
    for what, person_id, key, other, number, at in session.execute(_ACTS, {"ids": ids}):
        if what == "in force":
            pointers[key], since[key] = other, at
            continue
        rows = people[person_id]
        if what == "read":
            _newest(rows.reads, key, (other, at))
        elif what == "caution":
            module, _, caution = key.partition(" ")
            _newest(rows.cautions, (module, caution), (other, at))
            rows.begun_modules.add(module)
        elif what == "open":
            rows.opened[key] = (number, at)
            rows.begun_modules.add(other)
        else:
            rows.requests[key] = (number, at)
    for row in session.execute(_EXERCISES, {"ids": ids}):
        rows = people[row.person_id]
        rows.exercises[row.exercise] = row
        rows.begun_modules.add(row.module)
    for folded in session.execute(_COMPETENCIES, {"ids": ids}):
        people[folded[0]].competencies[folded[1]] = folded
    return AllRows(pointers, since, dict(people))


def moment_of(stored: str | datetime | None) -> datetime | None:
    """A moment of a folded row as the driver gave it."""
    if isinstance(stored, str):
        return datetime.fromisoformat(stored)
    return None if stored is None else stored.astimezone(UTC)


def _newest(kept: dict[Any, tuple[str, datetime]], key: Any, found: tuple[str, datetime]) -> None:  # noqa: ANN401 - either kind of key
    known = kept.get(key)
    if known is None or known[1] < found[1]:
        kept[key] = found


def _acts() -> Any:  # noqa: ANN401 - a compound select
    ids = _IDS
    read, seen, attempt, request = LessonRead, CautionSeen, Attempt, ObservationRequest
    return union_all(
        select(
            literal("in force").label("what"),
            literal(0).label("person_id"),
            InForce.subject.label("key"),
            InForce.edition_hash.label("other"),
            literal(0).label("number"),
            InForce.since.label("at"),
        ),
        select(
            literal("read"), read.person_id, read.lesson, read.edition_hash, literal(0), read.at
        ).where(read.person_id.in_(ids)),
        select(
            literal("caution"),
            seen.person_id,
            seen.module + " " + seen.caution,
            seen.edition_hash,
            literal(0),
            seen.at,
        ).where(seen.person_id.in_(ids)),
        select(
            literal("open"),
            attempt.person_id,
            attempt.exercise,
            attempt.module,
            attempt.id,
            attempt.opened_at,
        ).where(attempt.person_id.in_(ids), attempt.state == "open"),
        select(
            literal("request"),
            request.person_id,
            request.competency,
            null(),
            request.id,
            request.at,
        ).where(
            request.person_id.in_(ids),
            request.withdrawn_at.is_(None),
            request.sheet_id.is_(None),
        ),
    )


_ACTS = _acts()
_exercise, _competency = StateExercise.__table__, StateCompetency.__table__
_EXERCISES = select(_exercise).where(_exercise.c.person_id.in_(_IDS))
_COMPETENCIES = select(
    # Moments and lists stay as the driver gives them until a rule asks for them: a row is then
    # cheap to read and is a key as it stands.
    _competency.c.person_id,
    _competency.c.competency,
    *(
        type_coerce(column, Text).label(column.name)
        for column in _competency.c
        if column.name not in {"person_id", "competency", "last_signed_at", "signed_off_scheme"}
    ),
).where(_competency.c.person_id.in_(_IDS))
