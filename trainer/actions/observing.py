"""Watching work: the sheet criterion by criterion, the stop for safety, restrictions."""

from __future__ import annotations

from datetime import datetime
from typing import Literal, get_args

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from trainer import clock
from trainer.actions.house import Actor, House
from trainer.actions.observation_facts import (
    NO_SHEET,
    job_of,
    jobs_counted,
    own_state,
    sheet_number,
)
from trainer.actions.observation_requests import ask_to_be_observed, withdraw_request
from trainer.actions.observation_view import CriterionRow, ObservationSheetView, sheet
from trainer.actions.parties import parties
from trainer.actions.permission import (
    hold,
    required_text,
)
from trainer.actions.plain import plain_text
from trainer.actions.recording import log
from trainer.actions.restricting import release, restrict, restriction_of
from trainer.actions.roles_and_teams import NO_PERSON, plain_name
from trainer.actions.standing import read_board
from trainer.errors import InputError, NotFoundError, RefusedError, StateError, register
from trainer.records import states
from trainer.records.free_text import FreeText
from trainer.records.observations import ObservationMark, ObservationRequest, ObservationSheet
from trainer.rules.recheck import sheet_open_until
from trainer.rules.separation import (
    NOT_THE_OBSERVER,
    Refusal,
    another_job,
    may_be_observed,
    may_observe,
)

__all__ = [
    "CriterionRow",
    "CriterionValue",
    "ObservationSheetView",
    "ask_to_be_observed",
    "open_observation",
    "release",
    "restrict",
    "sheet",
    "stop_for_safety",
    "tick",
    "withdraw_request",
]

SHEET_ENDED = register(
    "OBS-003",
    "Sheet {number} is {state} and takes nothing more.",
    "Open a new sheet for another observation.",
    audience="trainee",
    status=409,
)
SHEET_OVER = register(
    "OBS-004",
    "Sheet {number} was open to {until} and is over.",
    "Open a new sheet and watch the job again.",
    audience="trainee",
    status=409,
)
NO_CRITERION = register(
    "OBS-005",
    "Sheet {number} has no criterion {criterion}.",
    "Load the sheet again.",
    audience="trainee",
    status=404,
)
NO_VALUE = register(
    "OBS-006",
    "A criterion is done, not done or not seen.",
    "Choose one of the three.",
    audience="trainee",
)
LONGEST_NOTE = 1000

CriterionValue = Literal["done", "not done", "not seen"]


def open_observation(
    house: House, actor: Actor, *, person_id: int, competency: str, machine: str, site: str
) -> int:
    """Open an observation sheet on a job; answers a standing request.

    Returns:
        The sheet id; the actor's open one for the same person and competency if there is one.

    Raises:
        InputError: PEO-008 without machine or site.
        NotFoundError: HOU-002, PEO-006.
        RefusedError: SEP-001 to SEP-008.
    """
    tag, place, now = (
        plain_name("The machine", machine, 60),
        plain_name("The site", site, 120),
        clock.now(),
    )
    with house.database.reading() as session:
        job = job_of(place, tag, now)
        hold(
            why_not_observe(
                house, session, actor, person_id=person_id, competency=competency, job=job
            )
        )
        pointers = house.in_force(session)
    scheme = house.scheme(pointers)

    def act(session: Session) -> int:
        known = session.scalar(
            select(ObservationSheet.id).where(
                ObservationSheet.person_id == person_id,
                ObservationSheet.competency == competency,
                ObservationSheet.observer_id == actor.person_id,
                ObservationSheet.state == "open",
            )
        )
        if known is not None:
            return known
        row = ObservationSheet(
            person_id=person_id,
            observer_id=actor.person_id,
            competency=competency,
            scheme_hash=scheme.hash,
            machine=tag,
            site=place,
            begun_at=now,
            details=FreeText(text=""),  # its salt goes into the signed statement
        )
        session.add(row)
        session.flush()
        request = session.scalars(
            select(ObservationRequest).where(
                ObservationRequest.person_id == person_id,
                ObservationRequest.competency == competency,
                ObservationRequest.withdrawn_at.is_(None),
                ObservationRequest.sheet_id.is_(None),
            )
        ).first()
        if request is not None:
            request.sheet_id = row.id
        facts = {"sheet": row.id, "competency": competency, "scheme": scheme.hash}
        log(session, actor, "observation sheet", person_id, facts)
        states.fold_competency(session, person_id, competency)
        return row.id

    return house.database.write(act)


def why_not_observe(
    house: House, session: Session, actor: Actor, *, person_id: int, competency: str, job: str
) -> Refusal | None:
    """Why the actor may not open a sheet for this person and competency on this job, now.

    Raises:
        NotFoundError: HOU-002, PEO-006.
    """
    board = read_board(house, session, {person_id, actor.person_id})
    row = house.competency(competency, board.scheme)
    people = parties(session, {person_id, actor.person_id})
    if person_id not in people or actor.person_id not in people:
        raise NotFoundError(NO_PERSON, person=person_id)
    standing = board.of(person_id)
    refusal = may_observe(
        people[actor.person_id],
        people[person_id],
        [clock.now()],
        competency=competency,
        own_state=own_state(board, row, actor.person_id),
    )
    refusal = refusal or may_be_observed(standing.state(competency), competency=competency)
    if refusal is not None:
        return refusal
    jobs = jobs_counted(session, standing, competency)
    return another_job(actor.person_id, job, jobs, competency=competency)


def tick(
    house: House,
    actor: Actor,
    *,
    sheet_id: int,
    criterion: str,
    value: CriterionValue,
    note: str = "",
) -> datetime:
    """Mark one criterion; the last mark holds; the same again changes nothing.

    Returns:
        The moment the mark was saved.

    Raises:
        InputError: OBS-006.
        NotFoundError: OBS-001, OBS-005.
        RefusedError: SEP-005 for anybody but the observer.
        StateError: OBS-003, OBS-004 when the sheet has ended.
    """
    if value not in get_args(CriterionValue):
        raise InputError(NO_VALUE)
    row = own_open_sheet(house, actor, sheet_id)
    competency = house.scheme_edition(row.scheme_hash).competencies[row.competency]
    if criterion not in {one.id for one in competency.criteria}:
        raise NotFoundError(NO_CRITERION, number=sheet_number(row), criterion=criterion[:20])
    text, now = plain_text(note.strip(), LONGEST_NOTE), clock.now()

    def act(session: Session) -> datetime:
        require_open(session.get_one(ObservationSheet, sheet_id))
        last = session.execute(
            select(ObservationMark.value, ObservationMark.at, FreeText.text)
            .outerjoin(FreeText, FreeText.id == ObservationMark.note_id)
            .where(ObservationMark.sheet_id == sheet_id, ObservationMark.criterion == criterion)
            .order_by(ObservationMark.seq.desc())
            .limit(1)
        ).first()
        if last is not None and (last.value, last.text or "") == (value, text):
            at: datetime = last.at
            return at
        newest = select(func.max(ObservationMark.seq)).where(
            ObservationMark.sheet_id == sheet_id, ObservationMark.criterion == criterion
        )
        session.add(
            ObservationMark(
                sheet_id=sheet_id,
                criterion=criterion,
                seq=(session.scalar(newest) or 0) + 1,
                value=value,
                at=now,
                note=FreeText(text=text) if text else None,
            )
        )
        return now

    return house.database.write(act)


def stop_for_safety(house: House, actor: Actor, *, sheet_id: int, what_happened: str) -> None:
    """End the sheet for danger: the competency is restricted at once, and the record log has it.

    Raises:
        InputError: PEO-012 without what happened.
        NotFoundError: OBS-001.
        RefusedError: SEP-005.
        StateError: OBS-003, OBS-004.
    """
    text = required_text("What happened", what_happened)
    row = own_open_sheet(house, actor, sheet_id)
    now = clock.now()

    def act(session: Session) -> None:
        found = session.get_one(ObservationSheet, sheet_id)
        require_open(found)
        found.state, found.ended_at = "stopped for safety", now
        found.details = FreeText(text=text)
        session.flush()
        facts = {"sheet": sheet_id, "competency": row.competency}
        log(session, actor, "safety stop", row.person_id, facts)
        restriction = restriction_of(
            session, actor, person_id=row.person_id, competency=row.competency, now=now, reason=text
        )
        session.add(restriction)
        states.fold_competency(session, row.person_id, row.competency)

    house.database.write(act)


def own_open_sheet(house: House, actor: Actor, sheet_id: int) -> ObservationSheet:
    """The actor's own sheet while it is open.

    Raises:
        NotFoundError: OBS-001.
        RefusedError: SEP-005.
        StateError: OBS-003, OBS-004.
    """
    with house.database.reading() as session:
        row = session.get(ObservationSheet, sheet_id)
        if row is None:
            raise NotFoundError(NO_SHEET, sheet=sheet_id)
        if row.observer_id != actor.person_id:
            observer = parties(session, {row.observer_id})[row.observer_id]
            raise RefusedError(NOT_THE_OBSERVER, observer=observer.name)
    require_open(row)
    return row


def require_open(row: ObservationSheet) -> None:
    """Refuse a sheet that has ended or is over.

    Raises:
        StateError: OBS-003, OBS-004.
    """
    if row.state != "open":
        raise StateError(SHEET_ENDED, number=sheet_number(row), state=row.state)
    until = sheet_open_until(row.begun_at.date())
    if clock.today() > until:
        raise StateError(SHEET_OVER, number=sheet_number(row), until=until)
