"""The people page: who is here, in which roles and teams."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from trainer.actions.house import Actor, House
from trainer.actions.permission import require, require_sight
from trainer.actions.roles_and_teams import NO_PERSON
from trainer.errors import NotFoundError
from trainer.records.people import Credential, Membership, Person, PersonName, RoleHeld, Team
from trainer.records.sign_ins import SignIn
from trainer.rules.roles import ALL, Role


@dataclass(frozen=True, slots=True)
class PersonRow:
    """One person of the people page."""

    id: int
    number: str
    sign_in_name: str
    full_name: str
    short_name: str
    roles: tuple[str, ...]
    teams: tuple[tuple[int, str], ...]
    created_at: datetime
    disabled_at: datetime | None
    has_password: bool
    last_seen_at: datetime | None


@dataclass(frozen=True, slots=True)
class TeamRow:
    """One team."""

    id: int
    name: str
    site: str
    people: int


@dataclass(frozen=True, slots=True)
class PeopleList:
    """The people page."""

    people: tuple[PersonRow, ...]
    teams: tuple[TeamRow, ...]
    roles: tuple[str, ...]


def people_list(house: House, actor: Actor) -> PeopleList:
    """Everybody, with roles and teams held now; four statements.

    Raises:
        RefusedError: SEP-002.
    """
    require(actor, Role.SCHEME_ADMINISTRATOR, Role.AUDITOR)
    with house.database.reading() as session:
        teams = session.execute(select(Team.id, Team.name, Team.site).order_by(Team.name)).all()
        people = _people(session, {row.id: row.name for row in teams}, None)
    size: defaultdict[int, int] = defaultdict(int)
    for person in people:
        for team_id, _ in person.teams:
            size[team_id] += person.disabled_at is None
    return PeopleList(
        people,
        tuple(TeamRow(row.id, row.name, row.site, size[row.id]) for row in teams),
        ALL,
    )


def person_card(house: House, actor: Actor, *, person_id: int) -> PersonRow:
    """One person, for those who may see the record.

    Raises:
        NotFoundError: PEO-006.
        RefusedError: PEO-001.
    """
    with house.database.reading() as session:
        require_sight(session, actor, person_id)
        teams = session.execute(select(Team.id, Team.name)).all()
        found = _people(session, {row.id: row.name for row in teams}, person_id)
    if not found:
        raise NotFoundError(NO_PERSON, person=person_id)
    return found[0]


def _people(session: Session, teams: Mapping[int, str], only: int | None) -> tuple[PersonRow, ...]:
    seen = (
        select(SignIn.person_id, func.max(SignIn.seen_at).label("at"))
        .group_by(SignIn.person_id)
        .subquery()
    )
    query = (
        select(
            Person.id,
            Person.number,
            Person.sign_in_name,
            Person.created_at,
            Person.disabled_at,
            PersonName.full_name,
            PersonName.short_name,
            Credential.person_id.label("credential"),
            seen.c.at,
        )
        .outerjoin(PersonName, PersonName.person_id == Person.id)
        .outerjoin(Credential, Credential.person_id == Person.id)
        .outerjoin(seen, seen.c.person_id == Person.id)
        .order_by(Person.id)
    )
    held_roles = select(RoleHeld.person_id, RoleHeld.role).where(RoleHeld.until.is_(None))
    held_teams = select(Membership.person_id, Membership.team_id).where(Membership.until.is_(None))
    if only is not None:
        query = query.where(Person.id == only)
        held_roles = held_roles.where(RoleHeld.person_id == only)
        held_teams = held_teams.where(Membership.person_id == only)
    roles: defaultdict[int, list[str]] = defaultdict(list)
    for person, role in session.execute(held_roles):
        roles[person].append(role)
    member: defaultdict[int, list[tuple[int, str]]] = defaultdict(list)
    for person, team in session.execute(held_teams):
        member[person].append((team, teams[team]))
    return tuple(
        PersonRow(
            row.id,
            row.number,
            row.sign_in_name,
            row.full_name or row.number,
            row.short_name or row.number,
            tuple(sorted(roles[row.id], key=ALL.index)),
            tuple(sorted(member[row.id], key=lambda one: one[1])),
            row.created_at,
            row.disabled_at,
            row.credential is not None,
            row.at,
        )
        for row in session.execute(query)
    )
