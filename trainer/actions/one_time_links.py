"""One-time links: the first password, a forgotten one, or a single way in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from trainer import clock
from trainer.actions import keys, passwords
from trainer.actions.sign_ins import SignedIn, end_all, open_sign_in, store_password
from trainer.errors import StateError, register
from trainer.records.people import Credential, Invitation, Person, PersonName

if TYPE_CHECKING:
    from trainer.actions.house import House

LINK_DEAD = register(
    "PEO-002",
    "This link does not work any more.",
    "Ask the scheme administrator for a new one.",
    audience="trainee",
    status=410,
)
LINK_FOR_PASSWORD = register(
    "PEO-003",
    "This link is for setting the first password.",
    "Choose a password on its page.",
    audience="trainee",
    status=409,
)


@dataclass(frozen=True, slots=True)
class InvitationSeen:
    """What the page of a one-time link shows before anything is done; no ``problem``: it works."""

    sign_in_name: str
    full_name: str
    has_password: bool
    problem: str = ""


def look_at_invitation(house: House, token: str) -> InvitationSeen:
    """What the page of a one-time link shows; changes nothing."""
    with house.database.reading() as session:
        found = _invitation(session, token, clock.now())
        if found is None:
            return InvitationSeen("", "", has_password=False, problem=str(StateError(LINK_DEAD)))
        person, name = session.get_one(Person, found.person_id), _name(session, found.person_id)
        has_password = session.get(Credential, person.id) is not None
        return InvitationSeen(person.sign_in_name, name, has_password=has_password)


def accept_invitation(house: House, *, token: str, password: str) -> SignedIn:
    """Set the password with a one-time link and sign in; every older sign-in of the person ends.

    Raises:
        InputError: PWD-001 to PWD-003 for the password.
        StateError: PEO-002 for a link that is unknown, used or over.
    """
    seen = look_at_invitation(house, token)
    if seen.problem:
        raise StateError(LINK_DEAD)
    passwords.check_new_password(password, (house.settings.firm, seen.sign_in_name, seen.full_name))
    password_hash = passwords.hashed(password)
    fresh, now = keys.new_token(), clock.now()

    def act(session: Session) -> int:
        person_id = _use_up(session, token, now)
        store_password(session, person_id, password_hash, now)
        end_all(session, person_id, now)
        open_sign_in(session, person_id, fresh, now)
        return person_id

    return SignedIn(fresh, house.database.write(act))


def enter_by_link(house: House, *, token: str) -> SignedIn:
    """Sign in with a one-time link that was made for a person who already has a password.

    Raises:
        StateError: PEO-002 for a dead link, PEO-003 when there is no password yet.
    """
    fresh, now = keys.new_token(), clock.now()

    def act(session: Session) -> int:
        person_id = _use_up(session, token, now)
        if session.get(Credential, person_id) is None:
            raise StateError(LINK_FOR_PASSWORD)
        open_sign_in(session, person_id, fresh, now)
        return person_id

    return SignedIn(fresh, house.database.write(act))


def _invitation(session: Session, token: str, now: datetime) -> Invitation | None:
    found = session.scalars(
        select(Invitation)
        .join(Person, Person.id == Invitation.person_id)
        .where(
            Invitation.token_hash == keys.token_hash(token),
            Invitation.used_at.is_(None),
            Person.disabled_at.is_(None),
        )
    ).first()
    return found if found is not None and now < found.expires_at else None


def _use_up(session: Session, token: str, now: datetime) -> int:
    found = _invitation(session, token, now)
    if found is None:
        raise StateError(LINK_DEAD)
    session.execute(
        update(Invitation)
        .where(Invitation.person_id == found.person_id, Invitation.used_at.is_(None))
        .values(used_at=now)
    )
    return found.person_id


def _name(session: Session, person_id: int) -> str:
    row = session.get(PersonName, person_id)
    return row.full_name if row else ""
