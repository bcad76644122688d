"""The observation list: who asked to be observed, which sheets are open, what was signed lately."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from trainer import clock
from trainer.actions.house import Actor, House
from trainer.actions.observation_facts import own_state, which_observation
from trainer.actions.parties import parties
from trainer.actions.permission import SEES_ALL
from trainer.actions.standing import Board, read_board
from trainer.records.observations import ObservationRequest, ObservationSheet
from trainer.records.people import Membership, Person
from trainer.rules.competency import counted
from trainer.rules.roles import LEARNERS, Role
from trainer.rules.separation import (
    Job,
    Party,
    Refusal,
    another_job,
    may_be_observed,
    may_observe,
    may_sign,
)

MOST_SIGNED = 20
MOST_OPEN = 200


@dataclass(frozen=True, slots=True)
class ObservationRow:
    """One request or one sheet."""

    person_id: int
    person_name: str
    person_number: str
    competency: str
    title: str
    safety_critical: bool
    at: datetime
    state: str  # 'asked' or the sheet's state
    request_id: int | None
    sheet_id: int | None
    observer_name: str
    which: str  # 'observation', 'first of 2', 'second of 2', 're-check'
    refusal: str  # '' or why this actor may not observe or sign


@dataclass(frozen=True, slots=True)
class ObservationList:
    """A supervisor's work: requests, open sheets, and the last signed ones."""

    requests: tuple[ObservationRow, ...]
    open_sheets: tuple[ObservationRow, ...]
    signed: tuple[ObservationRow, ...]
    people: tuple[tuple[int, str], ...]  # of the actor's teams, for a sheet without a request
    competencies: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class _Seen:
    """What every row is judged by."""

    actor: Actor
    board: Board
    people: Mapping[int, Party]
    now: datetime


def observation_list(house: House, actor: Actor) -> ObservationList:
    """The observation list of a supervisor's teams; a person without that office sees his own.

    Ten statements, however many rows there are.
    """
    with house.database.reading() as session:
        mine = _team_mates(session, actor) if actor.has(Role.SUPERVISOR) else frozenset()
        # None: everybody's
        whose = None if actor.has(*SEES_ALL) else mine | {actor.person_id}
        requests = session.scalars(
            _of(select(ObservationRequest), ObservationRequest.person_id, whose)
            .where(ObservationRequest.withdrawn_at.is_(None), ObservationRequest.sheet_id.is_(None))
            .order_by(ObservationRequest.id)
            .limit(MOST_OPEN)
        ).all()
        sheets = _of(select(ObservationSheet), ObservationSheet.person_id, whose)
        open_sheets = session.scalars(
            sheets.where(ObservationSheet.state == "open")
            .order_by(ObservationSheet.id)
            .limit(MOST_OPEN)
        ).all()
        ended = session.scalars(
            sheets.where(ObservationSheet.state != "open")
            .order_by(ObservationSheet.id.desc())
            .limit(MOST_SIGNED)
        ).all()
        ids = {
            actor.person_id,
            *mine,
            *(row.person_id for row in (*requests, *open_sheets, *ended)),
        }
        people = parties(session, ids | {row.observer_id for row in (*open_sheets, *ended)})
        board = read_board(house, session, ids)
    seen = _Seen(actor, board, people, clock.now())
    learners = [people[one] for one in mine if _is_learner(people[one], seen.now)]
    return ObservationList(
        tuple(_request_row(seen, row) for row in requests),
        tuple(_sheet_row(seen, row) for row in open_sheets),
        tuple(_sheet_row(seen, row) for row in ended),
        tuple(sorted(((one.person, one.name) for one in learners), key=lambda one: one[1])),
        tuple((one.id, one.title) for one in board.scheme.competencies.values()),
    )


def _team_mates(session: Session, actor: Actor) -> frozenset[int]:
    found = session.scalars(
        select(Membership.person_id)
        .join(Person, Person.id == Membership.person_id)
        .where(
            Membership.team_id.in_(actor.team_ids),
            Membership.until.is_(None),
            Person.disabled_at.is_(None),
        )
    )
    return frozenset(found) - {actor.person_id}


def _of(query: Select[*tuple[Any, ...]], column: Any, whose: Collection[int] | None) -> Any:  # noqa: ANN401 - a select of rows
    return query if whose is None else query.where(column.in_(whose))


def _is_learner(person: Party, now: datetime) -> bool:
    return any(person.has_role(role, now) for role in (*LEARNERS, Role.SUPERVISOR))


def _request_row(seen: _Seen, row: ObservationRequest) -> ObservationRow:
    return _row(seen, row.person_id, row.competency, row.at, request=row.id)


def _sheet_row(seen: _Seen, row: ObservationSheet) -> ObservationRow:
    return _row(seen, row.person_id, row.competency, row.begun_at, sheet=row)


def _row(
    seen: _Seen,
    person_id: int,
    competency: str,
    at: datetime,
    *,
    request: int | None = None,
    sheet: ObservationSheet | None = None,
) -> ObservationRow:
    person = seen.people[person_id]
    known = seen.board.scheme.competencies.get(competency)
    is_open = sheet is None or sheet.state == "open"
    which, refusal = "observation", None
    if known is not None and is_open:
        which = which_observation(seen.board.of(person_id), known, is_open=True)
        refusal = _refusal(seen, person, competency, sheet)
    return ObservationRow(
        person_id,
        person.name,
        f"P-{person_id:04d}",
        competency,
        known.title if known is not None else competency,
        known is not None and known.safety_critical,
        at,
        sheet.state if sheet is not None else "asked",
        request,
        sheet.id if sheet is not None else None,
        seen.people[sheet.observer_id].name if sheet is not None else "",
        which,
        refusal.sentence if refusal is not None else "",
    )


def _refusal(
    seen: _Seen, person: Party, competency: str, sheet: ObservationSheet | None
) -> Refusal | None:
    known = seen.board.scheme.competencies[competency]
    own = own_state(seen.board, known, seen.actor.person_id)
    actor = seen.people[seen.actor.person_id]
    if sheet is not None:
        return may_sign(
            actor,
            person,
            [sheet.begun_at, seen.now],
            observer=(sheet.observer_id, seen.people[sheet.observer_id].name),
            competency=competency,
            own_state=own,
        )
    refusal = may_observe(actor, person, [seen.now], competency=competency, own_state=own)
    standing = seen.board.of(person.person)
    refusal = refusal or may_be_observed(standing.state(competency), competency=competency)
    if refusal is not None or standing.state(competency).is_held:
        return refusal
    done = counted(standing.observed(competency), seen.board.today)
    jobs = [Job(event.by, event.job) for event in done]
    return another_job(actor.person, "", jobs, competency=competency)
