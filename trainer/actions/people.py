"""Who is here: invitations, roles and teams over time, leaving, recognition of earlier evidence."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from trainer import clock
from trainer.actions import keys
from trainer.actions.actor import Actor
from trainer.actions.house import House
from trainer.actions.one_time_links import (
    InvitationSeen,
    accept_invitation,
    enter_by_link,
    look_at_invitation,
)
from trainer.actions.permission import refuse_own, require, require_person, required_text
from trainer.actions.recording import log
from trainer.actions.roles_and_teams import (
    NO_PERSON,
    add_team,
    join_team,
    person_row,
    plain_name,
    role_word,
    set_role,
    set_team,
)
from trainer.actions.sign_ins import (
    NotSignedIn,
    SignedIn,
    actor_of,
    change_password,
    confirm_password,
    end_all,
    name_as_typed,
    sign_in,
    sign_out,
)
from trainer.errors import NotFoundError, StateError, register
from trainer.records import states
from trainer.records.free_text import FreeText
from trainer.records.people import Invitation as InvitationRow
from trainer.records.people import Membership, Person, PersonName, RoleHeld
from trainer.records.signoffs import Recognition
from trainer.rules.roles import Role

__all__ = [
    "Invitation",
    "InvitationSeen",
    "NotSignedIn",
    "SignedIn",
    "accept_invitation",
    "acting",
    "actor_of",
    "add_team",
    "change_password",
    "confirm_password",
    "disable",
    "enable",
    "enter_by_link",
    "invite",
    "look_at_invitation",
    "new_link",
    "recognise",
    "set_role",
    "set_team",
    "sign_in",
    "sign_out",
]

NAME_TAKEN = register(
    "PEO-007",
    "The sign-in name {name} is taken.",
    "Take another one, such as first name and the first letter of the family name.",
    audience="operator",
    status=409,
)


@dataclass(frozen=True, slots=True)
class Invitation:
    """A one-time link, shown once: the token is stored only as its hash."""

    person_id: int
    number: str
    token: str
    expires_at: datetime


def invite(
    house: House,
    actor: Actor,
    *,
    full_name: str,
    short_name: str,
    sign_in_name: str,
    roles: Collection[str],
    team_id: int | None = None,
) -> Invitation:
    """Take a person in and make the one-time link with which the password is set.

    Raises:
        InputError: PEO-008 for a name, PEO-009 for a role.
        RefusedError: SEP-002 unless the actor is a scheme administrator.
        StateError: PEO-007 when the sign-in name is taken.
    """
    require(actor, Role.SCHEME_ADMINISTRATOR)
    full, short = (
        plain_name("The full name", full_name, 120),
        plain_name("The name", short_name, 60),
    )
    name = plain_name("The sign-in name", name_as_typed(sign_in_name), 60)
    held = [role_word(role) for role in roles]
    token, now = keys.new_token(), clock.now()
    expires_at = now + timedelta(hours=house.settings.invitation_hours)

    def act(session: Session) -> Invitation:
        if session.scalar(select(Person.id).where(Person.sign_in_name == name)):
            raise StateError(NAME_TAKEN, name=name)
        number = f"P-{(session.scalar(select(func.max(Person.id))) or 0) + 1:04d}"
        person = Person(number=number, sign_in_name=name, created_at=now)
        session.add(person)
        session.flush()
        session.add(PersonName(person_id=person.id, full_name=full, short_name=short))
        log(session, actor, "person taken in", person.id, {"roles": sorted(set(held))})
        for role in sorted(set(held)):
            session.add(RoleHeld(person_id=person.id, role=role, since=now))
        if team_id is not None:
            join_team(session, actor, person.id, team_id, now)
        _link(session, actor, person.id, token, expires_at)
        return Invitation(person.id, number, token, expires_at)

    return house.database.write(act)


def new_link(house: House, actor: Actor, *, person_id: int) -> Invitation:
    """A fresh one-time link for a person already taken in (lost link, forgotten password).

    Raises:
        NotFoundError: PEO-006.
        RefusedError: SEP-002.
    """
    require(actor, Role.SCHEME_ADMINISTRATOR)
    token, now = keys.new_token(), clock.now()
    expires_at = now + timedelta(hours=house.settings.invitation_hours)

    def act(session: Session) -> Invitation:
        person = person_row(session, person_id)
        _link(session, actor, person_id, token, expires_at)
        log(session, actor, "one-time link", person_id, {})
        return Invitation(person_id, person.number, token, expires_at)

    return house.database.write(act)


def acting(house: House, person: str | int) -> Actor:
    """The actor for a command given with ``--as``: by person number, sign-in name or id.

    Raises:
        NotFoundError: PEO-006 for an unknown or closed account.
    """
    with house.database.reading() as session:
        key = Person.id == person if isinstance(person, int) else None
        if key is None:
            text = str(person).strip()
            key = (Person.number == text.upper()) | (Person.sign_in_name == name_as_typed(text))
        row = session.scalars(select(Person).where(key, Person.disabled_at.is_(None))).first()
        if row is None:
            raise NotFoundError(NO_PERSON, person=person)
        name = session.get(PersonName, row.id)
        roles = session.scalars(
            select(RoleHeld.role).where(RoleHeld.person_id == row.id, RoleHeld.until.is_(None))
        ).all()
        teams = session.scalars(
            select(Membership.team_id).where(
                Membership.person_id == row.id, Membership.until.is_(None)
            )
        ).all()
        full = name.full_name if name else row.number
        short = name.short_name if name else row.number
        return Actor(row.id, row.number, full, short, frozenset(roles), frozenset(teams))


def disable(house: House, actor: Actor, *, person_id: int, reason: str) -> None:
    """Close a person's account: every sign-in ends, nothing recorded is lost.

    Raises:
        InputError: PEO-012 without a reason.
        NotFoundError: PEO-006.
        RefusedError: SEP-001, SEP-002.
    """
    _open_or_close(house, actor, person_id, reason, is_open=False)


def enable(house: House, actor: Actor, *, person_id: int, reason: str) -> None:
    """Open a closed account again; raises as ``disable`` does."""
    _open_or_close(house, actor, person_id, reason, is_open=True)


def recognise(
    house: House, actor: Actor, *, person_id: int, competency: str, evidence: str, months: int = 0
) -> int:
    """Recognise a competency on earlier evidence (months 0: the competency's own); gives its id.

    Raises:
        InputError: PEO-012 without evidence.
        NotFoundError: PEO-006 for the person, HOU-002 for the competency.
        RefusedError: SEP-001, SEP-002, PEO-013.
    """
    require(actor, Role.SCHEME_ADMINISTRATOR)
    refuse_own(actor, person_id)
    by = require_person(actor)
    text = required_text("The evidence", evidence)
    scheme = house.scheme()
    row = house.competency(competency, scheme)
    validity, now = months or row.months, clock.now()

    def act(session: Session) -> int:
        person_row(session, person_id)
        payload = {"competency": competency, "months": validity, "scheme": scheme.hash}
        index = log(session, actor, "recognition", person_id, payload)
        recognition = Recognition(
            person_id=person_id,
            competency=competency,
            by_person_id=by,
            at=now,
            months=validity,
            log_index=index,
            evidence=FreeText(text=text),
        )
        session.add(recognition)
        session.flush()
        states.fold_competency(session, person_id, competency)
        return recognition.id

    return house.database.write(act)


def _open_or_close(
    house: House, actor: Actor, person_id: int, reason: str, *, is_open: bool
) -> None:
    require(actor, Role.SCHEME_ADMINISTRATOR)
    refuse_own(actor, person_id)
    required_text("The reason", reason)
    now = clock.now()

    def act(session: Session) -> None:
        person = person_row(session, person_id)
        if (person.disabled_at is None) == is_open:
            return
        person.disabled_at = None if is_open else now
        log(session, actor, "account", person_id, {"open": is_open})
        end_all(session, person_id, now)

    house.database.write(act)


def _link(session: Session, actor: Actor, person_id: int, token: str, expires_at: datetime) -> None:
    session.add(
        InvitationRow(
            token_hash=keys.token_hash(token),
            person_id=person_id,
            expires_at=expires_at,
            made_by_id=actor.recorded_id,
        )
    )
