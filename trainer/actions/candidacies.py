"""The way to a certificate: application, admission, the decision desk."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import Session

from trainer import clock
from trainer.actions.house import Actor, House
from trainer.actions.parties import involved, parties
from trainer.actions.permission import (
    hold,
    refuse_own,
    require,
    require_worker,
    required_text,
)
from trainer.actions.recording import log
from trainer.actions.standing import Board, read_board
from trainer.errors import NotFoundError, RefusedError, StateError, register
from trainer.records.certificates import Candidacy
from trainer.records.people import Person, PersonName
from trainer.rules.roles import Role
from trainer.rules.scheme import Verdict, verdict
from trainer.rules.separation import may_decide

if TYPE_CHECKING:
    from trainer.library.catalogue import Certificate

NO_KIND = register(
    "CRT-002",
    "The scheme grants no certificate {certificate}.",
    "It grants: {known}.",
    audience="trainee",
    status=404,
)
NO_CANDIDACY = register(
    "CRT-003",
    "There is no candidacy {candidacy}.",
    "The decision desk lists the open ones.",
    audience="trainee",
    status=404,
)
DECIDED = register(
    "CRT-004",
    "This candidacy was decided on {day}: {decision}.",
    "A new application starts a new candidacy.",
    audience="trainee",
    status=409,
)
SCOPE_OPEN = register(
    "CRT-005",
    "The scope is not complete: {missing}",
    "Grant it when every competency of the scope is in date.",
    audience="trainee",
    status=409,
)
DESK_ROLES = (Role.DECISION_MAKER, Role.SCHEME_ADMINISTRATOR, Role.AUDITOR)


@dataclass(frozen=True, slots=True)
class CandidacyRow:
    """One line of the decision desk."""

    id: int
    person_id: int
    number: str
    name: str
    certificate: str
    title: str
    state: str  # applied, admitted, under assessment, decided
    applied_at: datetime
    held: int
    needed: int
    refusal: str  # '' or why this actor may not decide on this person


def apply(house: House, actor: Actor, *, certificate: str) -> int:
    """A person asks for a certificate; returns the candidacy, the open one if there is one.

    Raises:
        NotFoundError: CRT-002.
        RefusedError: SEP-002.
    """
    require_worker(actor)
    kind_of(house, certificate, house.in_force())
    now = clock.now()

    def act(session: Session) -> int:
        found = session.scalar(
            select(Candidacy.id).where(
                Candidacy.person_id == actor.person_id,
                Candidacy.certificate == certificate,
                Candidacy.state != "decided",
            )
        )
        if found is not None:
            return found
        row = Candidacy(person_id=actor.person_id, certificate=certificate, applied_at=now)
        session.add(row)
        session.flush()
        log_step(session, actor, row, "applied")
        return row.id

    return house.database.write(act)


def admit(house: House, actor: Actor, *, candidacy: int) -> None:
    """The scheme administrator admits a candidate whose scope is complete.

    Raises:
        NotFoundError: CRT-003.
        RefusedError: SEP-001, SEP-002.
        StateError: CRT-004, CRT-005.
    """
    require(actor, Role.SCHEME_ADMINISTRATOR)
    with house.database.reading() as session:
        row = undecided(session, candidacy)
        refuse_own(actor, row.person_id)
        board = read_board(house, session, {row.person_id})
    found = verdict_on(house, board, row)
    if not found.is_eligible:
        raise StateError(SCOPE_OPEN, missing=" ".join(found.missing))

    def act(session: Session) -> None:
        fresh = undecided(session, candidacy)
        if fresh.state == "applied":
            fresh.state = "admitted"
            log_step(session, actor, fresh, "admitted")

    house.database.write(act)


def desk(house: House, actor: Actor) -> tuple[CandidacyRow, ...]:
    """The decision desk: every open candidacy, oldest first, with why this actor may not decide.

    Raises:
        RefusedError: SEP-002.
    """
    require(actor, *DESK_ROLES)
    with house.database.reading() as session:
        rows = session.scalars(
            select(Candidacy).where(Candidacy.state != "decided").order_by(Candidacy.id)
        ).all()
        board = read_board(house, session, {row.person_id for row in rows})
        names = names_of(session, rows)
        return tuple(candidacy_row((house, session, actor), row, board, names) for row in rows)


def ask_for_more(house: House, actor: Actor, *, candidacy: int, reason: str) -> None:
    """Leave the candidacy open and say what evidence is wanted.

    Raises:
        InputError: PEO-012.
        NotFoundError: CRT-003.
        RefusedError: SEP-001, SEP-002, SEP-009, SEP-010.
        StateError: CRT-004.
    """
    text = required_text("The reason", reason)
    with house.database.reading() as session:
        hold_decision(session, actor, undecided(session, candidacy).person_id)

    def act(session: Session) -> None:
        row = undecided(session, candidacy)
        row.state = "under assessment"
        row.decision = "more evidence"
        log_step(session, actor, row, "more evidence", reason=text)

    house.database.write(act)


def hold_decision(session: Session, actor: Actor, person_id: int) -> None:
    """Refuse a decision maker who is the person, trained him or observed him.

    Raises:
        RefusedError: SEP-001, SEP-002, SEP-009, SEP-010.
    """
    refuse_own(actor, person_id)
    require(actor, Role.DECISION_MAKER)
    people = parties(session, {actor.person_id, person_id})
    watched = involved(session, person_id)
    hold(may_decide(people[actor.person_id], people[person_id], watched, clock.now()))


def kind_of(house: House, certificate: str, pointers: Mapping[str, str]) -> Certificate:
    """A certificate of the scheme in force.

    Raises:
        NotFoundError: CRT-002.
    """
    known = house.scheme(pointers).certificates
    if certificate not in known:
        raise NotFoundError(NO_KIND, certificate=certificate[:40], known=", ".join(known))
    return known[certificate]


def verdict_on(house: House, board: Board, row: Candidacy) -> Verdict:
    """The rule's verdict on a candidacy today."""
    kind = kind_of(house, row.certificate, board.rows.in_force)
    standing = board.of(row.person_id)
    known = [one for one in kind.competencies if one in board.scheme.competencies]
    states = {one: standing.state(one) for one in known}
    return verdict(known, states, board.today, kind.months)


def any_candidacy(session: Session, candidacy: int) -> Candidacy:
    """The row of a candidacy, open or decided.

    Raises:
        NotFoundError: CRT-003.
    """
    row = session.get(Candidacy, candidacy)
    if row is None:
        raise NotFoundError(NO_CANDIDACY, candidacy=candidacy)
    return row


def undecided(session: Session, candidacy: int) -> Candidacy:
    """The row of a candidacy that is still open.

    Raises:
        NotFoundError: CRT-003.
        StateError: CRT-004.
    """
    row = any_candidacy(session, candidacy)
    if row.state == "decided":
        assert row.decided_at is not None
        raise StateError(DECIDED, day=row.decided_at.date(), decision=row.decision)
    return row


def log_step(session: Session, actor: Actor, row: Candidacy, step: str, **more: str) -> None:
    """Append a step of a candidacy to the record log, within the caller's write."""
    facts = {"candidacy": row.id, "certificate": row.certificate, "step": step, **more}
    log(session, actor, "candidacy", row.person_id, facts)


def names_of(session: Session, rows: Sequence[Candidacy]) -> Mapping[int, tuple[str, str]]:
    """Number and name of every candidate; one statement."""
    found = session.execute(
        select(Person.id, Person.number, PersonName.full_name)
        .outerjoin(PersonName, PersonName.person_id == Person.id)
        .where(Person.id.in_({row.person_id for row in rows}))
    )
    return {row.id: (row.number, row.full_name or row.number) for row in found}


def candidacy_row(
    seen: tuple[House, Session, Actor],
    row: Candidacy,
    board: Board,
    names: Mapping[int, tuple[str, str]],
) -> CandidacyRow:
    """One line of the desk as this actor sees it."""
    house, session, actor = seen
    number, name = names[row.person_id]
    known = house.scheme(board.rows.in_force).certificates.get(row.certificate)
    scope = known.competencies if known is not None else ()
    standing = board.of(row.person_id)
    held = [one for one in scope if standing.state(one).is_held]
    try:
        hold_decision(session, actor, row.person_id)
        refusal = ""
    except RefusedError as error:
        refusal = str(error)
    return CandidacyRow(
        row.id,
        row.person_id,
        number,
        name,
        row.certificate,
        known.title if known is not None else row.certificate,
        row.state,
        row.applied_at,
        len(held),
        len(scope),
        refusal,
    )
