"""Roles and teams as spans of time: who held what, and who belonged where, when."""

from __future__ import annotations

import unicodedata
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from trainer import clock
from trainer.actions.actor import Actor
from trainer.actions.house import House
from trainer.actions.permission import refuse_own, require
from trainer.actions.recording import log
from trainer.actions.sign_ins import end_all
from trainer.errors import InputError, NotFoundError, StateError, register
from trainer.records.people import Membership, Person, RoleHeld, Team
from trainer.rules.roles import ALL, Role

NO_PERSON = register(
    "PEO-006",
    "There is no person {person}.",
    "The people page lists everybody with number and sign-in name.",
    audience="operator",
    status=404,
)
NAME_WRONG = register(
    "PEO-008",
    "{what} must be 1 to {most} signs of plain text.",
    "Write it as it is spoken of at work.",
    audience="operator",
)
ROLE_UNKNOWN = register(
    "PEO-009",
    "There is no role {role}.",
    "The roles are: {roles}.",
    audience="operator",
)
NO_TEAM = register(
    "PEO-010",
    "There is no team {team}.",
    "The people page lists the teams.",
    audience="operator",
    status=404,
)
TEAM_TAKEN = register(
    "PEO-011",
    "There is a team {name} already.",
    "Use it, or give the new one another name.",
    audience="operator",
    status=409,
)


def set_role(house: House, actor: Actor, *, person_id: int, role: str, held: bool) -> None:
    """Give a role or take it away, from now on; the person signs in anew.

    Raises:
        InputError: PEO-009.
        NotFoundError: PEO-006.
        RefusedError: SEP-001 for the own roles, SEP-002.
    """
    require(actor, Role.SCHEME_ADMINISTRATOR)
    refuse_own(actor, person_id)
    word, now = role_word(role), clock.now()

    def act(session: Session) -> None:
        person_row(session, person_id)
        row = session.scalars(
            select(RoleHeld).where(
                RoleHeld.person_id == person_id, RoleHeld.role == word, RoleHeld.until.is_(None)
            )
        ).first()
        if held == (row is not None):
            return
        if row is None:
            session.add(RoleHeld(person_id=person_id, role=word, since=now))
        else:
            row.until = now
        log(session, actor, "role change", person_id, {"role": word, "held": held})
        end_all(session, person_id, now)

    house.database.write(act)


def add_team(house: House, actor: Actor, *, name: str, site: str) -> int:
    """Make a team and return its id.

    Raises:
        InputError: PEO-008.
        RefusedError: SEP-002.
        StateError: PEO-011.
    """
    require(actor, Role.SCHEME_ADMINISTRATOR)
    called, place = plain_name("The team's name", name, 80), " ".join(site.split())[:120]

    def act(session: Session) -> int:
        if session.scalar(select(Team.id).where(Team.name == called)):
            raise StateError(TEAM_TAKEN, name=called)
        team = Team(name=called, site=place)
        session.add(team)
        session.flush()
        return team.id

    return house.database.write(act)


def set_team(house: House, actor: Actor, *, person_id: int, team_id: int, held: bool) -> None:
    """Let a person join or leave a team, from now on.

    Raises:
        NotFoundError: PEO-006, PEO-010.
        RefusedError: SEP-001 for the own teams, SEP-002.
    """
    require(actor, Role.SCHEME_ADMINISTRATOR)
    refuse_own(actor, person_id)
    now = clock.now()

    def act(session: Session) -> None:
        person_row(session, person_id)
        row = session.scalars(
            select(Membership).where(
                Membership.person_id == person_id,
                Membership.team_id == team_id,
                Membership.until.is_(None),
            )
        ).first()
        if held and row is None:
            join_team(session, actor, person_id, team_id, now)
        elif not held and row is not None:
            row.until = now
            log(session, actor, "team change", person_id, {"team": team_id, "held": False})

    house.database.write(act)


def join_team(session: Session, actor: Actor, person_id: int, team_id: int, now: datetime) -> None:
    """Let a person into a team, within the caller's write.

    Raises:
        NotFoundError: PEO-010.
    """
    if session.get(Team, team_id) is None:
        raise NotFoundError(NO_TEAM, team=team_id)
    session.add(Membership(person_id=person_id, team_id=team_id, since=now))
    log(session, actor, "team change", person_id, {"team": team_id, "held": True})


def person_row(session: Session, person_id: int) -> Person:
    """The row of a person.

    Raises:
        NotFoundError: PEO-006.
    """
    person = session.get(Person, person_id)
    if person is None:
        raise NotFoundError(NO_PERSON, person=person_id)
    return person


def role_word(role: str) -> str:
    """A role in the word it is stored in.

    Raises:
        InputError: PEO-009.
    """
    word = " ".join(role.split()).casefold()
    if word not in ALL:
        raise InputError(ROLE_UNKNOWN, role=role, roles=", ".join(ALL))
    return word


def plain_name(what: str, text: str, most: int) -> str:
    """A name on one line, without signs that cannot be seen.

    Raises:
        InputError: PEO-008.
    """
    name = " ".join(unicodedata.normalize("NFC", text).split())
    if not 1 <= len(name) <= most or any(unicodedata.category(sign)[0] == "C" for sign in name):
        raise InputError(NAME_WRONG, what=what, most=most)
    return name
