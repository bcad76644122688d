"""Coming in: the password, and sign-ins kept as rows on the server's side."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from trainer import clock
from trainer.actions import keys, passwords, throttle
from trainer.actions.actor import Actor
from trainer.actions.plain import plain_text
from trainer.errors import BusyError, RefusedError, register
from trainer.records.people import (
    Credential,
    Membership,
    Person,
    PersonName,
    RoleHeld,
)
from trainer.records.sign_ins import SignIn

if TYPE_CHECKING:
    from trainer.actions.house import House

WRONG_PASSWORD = register(
    "PEO-004",
    "That is not your password.",
    "Type it again; after several wrong tries there is a wait.",
    audience="trainee",
    status=403,
)
WAIT = register(
    "PEO-005",
    "Too many wrong tries: wait {seconds} s.",
    "Then type it again.",
    audience="trainee",
    status=429,
)
_NOT_IN = "Name and password do not belong together, or the account is closed."
_SEEN_EVERY = timedelta(seconds=60)


@dataclass(frozen=True, slots=True)
class SignedIn:
    """A fresh sign-in: the token goes into the cookie and is stored only as its hash."""

    token: str
    person_id: int


@dataclass(frozen=True, slots=True)
class NotSignedIn:
    """A refused sign-in: one sentence, the same for every cause, and how long to wait."""

    sentence: str
    wait_seconds: int = 0


def name_as_typed(text: str) -> str:
    """A sign-in name in the one form it is stored in."""
    return unicodedata.normalize("NFKC", plain_text(text, 200)).strip().casefold()


def sign_in(
    house: House, *, sign_in_name: str, password: str, address: str
) -> SignedIn | NotSignedIn:
    """Check name and password and open a sign-in; ``address`` is the client's, for the throttle."""
    name, now = name_as_typed(sign_in_name), clock.now()
    key = throttle.key_of(name, address)
    wait = house.database.write(lambda session: throttle.count_try(session, key, now))
    if wait:
        return NotSignedIn(_NOT_IN, wait)
    with house.database.reading() as session:
        found = session.execute(
            select(Person.id, Person.disabled_at, Credential.password_hash)
            .outerjoin(Credential, Credential.person_id == Person.id)
            .where(Person.sign_in_name == name)
        ).first()
    stored = found.password_hash if found else None
    is_right = passwords.is_right(password, stored)
    if not is_right or found is None or found.disabled_at is not None:
        return NotSignedIn(_NOT_IN)
    assert stored is not None
    renewed = passwords.hashed(password) if passwords.is_outdated(stored) else None
    fresh = keys.new_token()

    def act(session: Session) -> None:
        throttle.forget(session, key)
        if renewed:
            session.execute(
                update(Credential)
                .where(Credential.person_id == found.id, Credential.password_hash == stored)
                .values(password_hash=renewed)
            )
        open_sign_in(session, found.id, fresh, now)

    house.database.write(act)
    return SignedIn(fresh, found.id)


def actor_of(house: House, token: str) -> Actor | None:
    """Who holds this sign-in token now; None when unknown, ended, idle too long or disabled."""
    now = clock.now()
    with house.database.reading() as session:
        rows = session.execute(_HOLDER.where(SignIn.token_hash == keys.token_hash(token))).all()
    if not rows:
        return None
    row = rows[0]
    idle = timedelta(minutes=house.settings.idle_minutes)
    longest = timedelta(hours=house.settings.sign_in_hours)
    if row.ended_at is not None or row.disabled_at is not None:
        return None
    if now - row.seen_at > idle or now - row.started_at > longest:
        return None
    if now - row.seen_at > _SEEN_EVERY:
        _seen(house, row.sign_in_id, now)
    return Actor(
        row.person_id,
        row.number,
        row.full_name or row.number,
        row.short_name or row.number,
        frozenset(one.role for one in rows if one.role),
        frozenset(one.team_id for one in rows if one.team_id),
        row.confirmed_at,
        row.sign_in_id,
    )


def sign_out(house: House, *, token: str) -> None:
    """End this sign-in."""
    now, token_hash = clock.now(), keys.token_hash(token)
    house.database.write(
        lambda session: session.execute(
            update(SignIn)
            .where(SignIn.token_hash == token_hash, SignIn.ended_at.is_(None))
            .values(ended_at=now)
        )
    )


def confirm_password(house: House, actor: Actor, *, token: str, password: str) -> bool:
    """Give the password again in a running sign-in; True moves ``confirmed_at`` to now."""
    if not is_password_of(house, actor, password):
        return False
    now, token_hash = clock.now(), keys.token_hash(token)
    house.database.write(
        lambda session: session.execute(
            update(SignIn)
            .where(SignIn.token_hash == token_hash, SignIn.person_id == actor.person_id)
            .values(confirmed_at=now)
        )
    )
    return True


def is_password_of(house: House, actor: Actor, password: str) -> bool:
    """Whether this is the actor's password; wrong tries count towards a wait.

    Raises:
        RefusedError: PEO-005 while the wait lasts.
    """
    now, key = clock.now(), throttle.key_of(f"again {actor.person_id}", "")
    wait = house.database.write(lambda session: throttle.count_try(session, key, now))
    if wait:
        raise RefusedError(WAIT, seconds=wait)
    with house.database.reading() as session:
        row = session.get(Credential, actor.person_id)
        stored = row.password_hash if row else None
    if not passwords.is_right(password, stored):
        return False
    house.database.write(lambda session: throttle.forget(session, key))
    return True


def needs_password(house: House, actor: Actor) -> bool:
    """Whether a signature has to ask for the password again."""
    if actor.confirmed_at is None:
        return True
    age = clock.now() - actor.confirmed_at
    return not timedelta(0) <= age <= timedelta(minutes=house.settings.confirm_minutes)


def require_password(house: House, actor: Actor, password: str) -> None:
    """Refuse an act that has to be signed, unless the password was given now or lately.

    Raises:
        RefusedError: PEO-004 for a wrong or missing password, PEO-005 while a wait lasts.
    """
    if not password and not needs_password(house, actor):
        return
    if not password or not is_password_of(house, actor, password):
        raise RefusedError(WRONG_PASSWORD)


def change_password(house: House, actor: Actor, *, token: str, old: str, new: str) -> None:
    """Set a new password; every other sign-in of the person ends.

    Raises:
        InputError: PWD-001 to PWD-003.
        RefusedError: PEO-004, PEO-005.
    """
    if not is_password_of(house, actor, old):
        raise RefusedError(WRONG_PASSWORD)
    passwords.check_new_password(new, (house.settings.firm, actor.name))
    password_hash, now, token_hash = passwords.hashed(new), clock.now(), keys.token_hash(token)

    def act(session: Session) -> None:
        store_password(session, actor.person_id, password_hash, now)
        session.execute(
            update(SignIn)
            .where(
                SignIn.person_id == actor.person_id,
                SignIn.token_hash != token_hash,
                SignIn.ended_at.is_(None),
            )
            .values(ended_at=now)
        )

    house.database.write(act)


_HOLDER = (
    select(
        SignIn.id.label("sign_in_id"),
        SignIn.person_id,
        SignIn.started_at,
        SignIn.seen_at,
        SignIn.confirmed_at,
        SignIn.ended_at,
        Person.number,
        Person.disabled_at,
        PersonName.full_name,
        PersonName.short_name,
        RoleHeld.role,
        Membership.team_id,
    )
    .join(Person, Person.id == SignIn.person_id)
    .outerjoin(PersonName, PersonName.person_id == Person.id)
    .outerjoin(RoleHeld, (RoleHeld.person_id == Person.id) & RoleHeld.until.is_(None))
    .outerjoin(Membership, (Membership.person_id == Person.id) & Membership.until.is_(None))
)


def _seen(house: House, sign_in_id: int, now: datetime) -> None:
    try:
        house.database.write(
            lambda session: session.execute(
                update(SignIn)
                .where(SignIn.id == sign_in_id, SignIn.seen_at < now)
                .values(seen_at=now)
            )
        )
    except BusyError:  # being seen can wait for the next request
        return


def store_password(session: Session, person_id: int, password_hash: str, now: datetime) -> None:
    """Set the password's hash, within the caller's write."""
    row = session.get(Credential, person_id)
    if row is None:
        session.add(Credential(person_id=person_id, password_hash=password_hash, changed_at=now))
        return
    row.password_hash, row.changed_at, row.must_change = password_hash, now, False


def end_all(session: Session, person_id: int, now: datetime) -> None:
    """End every sign-in of a person, within the caller's write."""
    session.execute(
        update(SignIn)
        .where(SignIn.person_id == person_id, SignIn.ended_at.is_(None))
        .values(ended_at=now)
    )


def open_sign_in(session: Session, person_id: int, token: str, now: datetime) -> None:
    """Open a sign-in for a token, within the caller's write."""
    session.add(
        SignIn(
            token_hash=keys.token_hash(token),
            person_id=person_id,
            started_at=now,
            seen_at=now,
            confirmed_at=now,
        )
    )
