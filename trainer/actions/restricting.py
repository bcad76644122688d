"""Taking a competency away, for a time or for good, and giving it back."""

from __future__ import annotations

from datetime import UTC, date, datetime, time

from sqlalchemy.orm import Session

from trainer import clock
from trainer.actions.house import Actor, House
from trainer.actions.parties import parties
from trainer.actions.permission import (
    hold,
    refuse_own,
    require,
    require_person,
    required_text,
)
from trainer.actions.recording import log
from trainer.actions.roles_and_teams import NO_PERSON, person_row
from trainer.errors import InputError, NotFoundError, StateError, register
from trainer.records import states
from trainer.records.free_text import FreeText
from trainer.records.signoffs import CompetencyWithdrawn, Restriction
from trainer.rules.roles import Role
from trainer.rules.separation import may_release, may_supervise

NO_RESTRICTION = register(
    "OBS-010",
    "There is no restriction {restriction}.",
    "The person's card shows what is restricted.",
    audience="trainee",
    status=404,
)
RELEASED = register(
    "OBS-011",
    "This restriction was released on {day}.",
    "Nothing is left to do.",
    audience="trainee",
    status=409,
)
END_PAST = register(
    "OBS-012",
    "The end {day} of the restriction has passed.",
    "Give a day to come, or leave it open until it is released.",
    audience="trainee",
)


def restrict(
    house: House,
    actor: Actor,
    *,
    person_id: int,
    competency: str,
    reason: str,
    grinder_type: str = "",
    until: date | None = None,
) -> int:
    """Take a competency (or one grinder type of it) away for a time; returns the restriction.

    Raises:
        InputError: PEO-012 without a reason, OBS-012 for an end that has passed.
        NotFoundError: HOU-002, PEO-006.
        RefusedError: SEP-001 to SEP-003 unless a supervisor of the team or a scheme administrator.
    """
    text, now = required_text("The reason", reason), clock.now()
    require_person(actor)
    house.competency(competency, house.scheme())
    if until is not None and until < clock.today():
        raise InputError(END_PAST, day=until)
    refuse_own(actor, person_id)
    with house.database.reading() as session:
        people = parties(session, {actor.person_id, person_id})
    if person_id not in people:
        raise NotFoundError(NO_PERSON, person=person_id)
    if not actor.has(Role.SCHEME_ADMINISTRATOR):
        hold(may_supervise(people[actor.person_id], people[person_id], [now]))

    def act(session: Session) -> int:
        row = restriction_of(
            session,
            actor,
            person_id=person_id,
            competency=competency,
            now=now,
            reason=text,
            grinder_type=" ".join(grinder_type.split())[:20],
            until=until,
        )
        session.add(row)
        session.flush()
        states.fold_competency(session, person_id, competency)
        return row.id

    return house.database.write(act)


def restriction_of(
    session: Session,
    actor: Actor,
    *,
    person_id: int,
    competency: str,
    now: datetime,
    reason: str,
    grinder_type: str = "",
    until: date | None = None,
) -> Restriction:
    """A new restriction and its entry in the record log, within the caller's write."""
    facts = {
        "competency": competency,
        "grinder type": grinder_type,
        "until": until.isoformat() if until is not None else None,
    }
    log(session, actor, "restriction", person_id, facts)
    end = datetime.combine(until, time(23, 59, 59), UTC) if until is not None else None
    return Restriction(
        person_id=person_id,
        competency=competency,
        grinder_type=grinder_type,
        by_person_id=actor.person_id,
        since=now,
        until=end,
        reason=FreeText(text=reason),
    )


def release(house: House, actor: Actor, *, restriction: int, reason: str) -> None:
    """End a restriction; refused to the one who set it.

    Raises:
        InputError: PEO-012 without a reason.
        NotFoundError: OBS-010.
        RefusedError: SEP-001 to SEP-003, SEP-012.
        StateError: OBS-011.
    """
    text, now = required_text("The reason", reason), clock.now()
    with house.database.reading() as session:
        row = session.get(Restriction, restriction)
        if row is None:
            raise NotFoundError(NO_RESTRICTION, restriction=restriction)
        people = parties(session, {actor.person_id, row.person_id})
    require_person(actor)
    hold(may_release(people[actor.person_id], people[row.person_id], row.by_person_id, now))

    def act(session: Session) -> None:
        found = session.get_one(Restriction, restriction)
        if found.released_at is not None:
            raise StateError(RELEASED, day=found.released_at.date())
        found.released_at, found.released_by_id = now, actor.person_id
        facts = {"restriction": restriction, "competency": found.competency, "reason": text}
        log(session, actor, "release", found.person_id, facts)
        states.fold_competency(session, found.person_id, found.competency)

    house.database.write(act)


def withdraw_competency(
    house: House, actor: Actor, *, person_id: int, competency: str, reason: str
) -> None:
    """End a competency of a person by the scheme: only a new start leads back.

    Raises:
        InputError: PEO-012 without a reason.
        NotFoundError: HOU-002, PEO-006.
        RefusedError: SEP-001, SEP-002, PEO-013.
    """
    require(actor, Role.SCHEME_ADMINISTRATOR, Role.DECISION_MAKER)
    by, text, now = require_person(actor), required_text("The reason", reason), clock.now()
    refuse_own(actor, person_id)
    house.competency(competency, house.scheme())

    def act(session: Session) -> None:
        person_row(session, person_id)
        index = log(session, actor, "competency withdrawn", person_id, {"competency": competency})
        session.add(
            CompetencyWithdrawn(
                person_id=person_id,
                competency=competency,
                by_person_id=by,
                at=now,
                log_index=index,
                reason=FreeText(text=text),
            )
        )
        states.fold_competency(session, person_id, competency)

    house.database.write(act)
