"""The skills matrix: people by competencies, a letter for each state."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import Session

from trainer import clock
from trainer.actions.house import Actor, House
from trainer.actions.permission import NOT_YOURS, SEES_ALL, require
from trainer.actions.role_lines import line_of
from trainer.actions.standing import Standing, read_board
from trainer.errors import RefusedError
from trainer.records.people import Membership, Person, PersonName, RoleHeld, Team
from trainer.rules.roles import Role

if TYPE_CHECKING:
    from trainer.library.catalogue import Scheme

MOST_PEOPLE = 200
"""So many people at most on one page; a larger house chooses a team."""
_SHOWN = (Role.TRAINEE, Role.TECHNICIAN, Role.SUPERVISOR, Role.TRAINER, Role.SECOND_READER)


@dataclass(frozen=True, slots=True)
class MatrixCell:
    """One person's competency: letter, state in words, and the reason for the title text."""

    letter: str
    state: str
    sentence: str


@dataclass(frozen=True, slots=True)
class MatrixRow:
    """One person of the matrix."""

    person_id: int
    number: str
    name: str  # full name as stored; the order of its parts is the page's business
    short_name: str
    role_line: str
    cells: tuple[MatrixCell, ...]  # in the order of MatrixView.competencies


@dataclass(frozen=True, slots=True)
class MatrixView:
    """The matrix of one team or of all the actor may see."""

    teams: tuple[tuple[int, str], ...]  # teams the actor may choose from
    team_id: int | None
    title: str
    as_on: date
    competencies: tuple[tuple[str, str, bool, str], ...]  # id, short, safety-critical, first module
    rows: tuple[MatrixRow, ...]
    cover: tuple[int, ...]  # how many may do each competency alone


@dataclass(slots=True)
class _Member:
    id: int
    number: str
    name: str
    short_name: str
    roles: dict[str, datetime] = field(default_factory=dict)


def matrix(house: House, actor: Actor, *, team_id: int | None = None) -> MatrixView:
    """The skills matrix: a supervisor sees the own teams, trainers and scheme people see all.

    Five statements, however many people the team has.

    Raises:
        RefusedError: SEP-002, PEO-001 for a team that is not the actor's.
    """
    require(actor, Role.SUPERVISOR, *sorted(SEES_ALL))
    with house.database.reading() as session:
        teams = _teams(session, actor)
        if team_id is not None and team_id not in teams:
            raise RefusedError(NOT_YOURS)
        people = _people(session, [team_id] if team_id is not None else list(teams))
        board = read_board(house, session, [one.id for one in people])
    scheme = board.scheme
    rows = tuple(_row(board.of(one.id), one, scheme) for one in people)
    held = [[cell.state in {"competent", "due"} for cell in row.cells] for row in rows]
    return MatrixView(
        tuple(teams.items()),
        team_id,
        teams[team_id] if team_id is not None else " and ".join(teams.values()),
        board.today,
        tuple(
            (one.id, one.short, one.safety_critical, one.modules[0] if one.modules else "")
            for one in scheme.competencies.values()
        ),
        rows,
        tuple(sum(column) for column in zip(*held, strict=True)),
    )


def _teams(session: Session, actor: Actor) -> dict[int, str]:
    query = select(Team.id, Team.name).order_by(Team.name)
    if not actor.has(*SEES_ALL):
        query = query.where(Team.id.in_(actor.team_ids))
    return {row.id: row.name for row in session.execute(query)}


def _people(session: Session, team_ids: list[int]) -> list[_Member]:
    members = (
        select(Membership.person_id)
        .join(Person, Person.id == Membership.person_id)
        .where(
            Membership.team_id.in_(team_ids),
            Membership.until.is_(None),
            Person.disabled_at.is_(None),
        )
        .distinct()
        .order_by(Membership.person_id)
        .limit(MOST_PEOPLE)
    )
    rows = session.execute(
        select(
            Person.id,
            Person.number,
            PersonName.full_name,
            PersonName.short_name,
            RoleHeld.role,
            RoleHeld.since,
        )
        .outerjoin(PersonName, PersonName.person_id == Person.id)
        .join(RoleHeld, (RoleHeld.person_id == Person.id) & RoleHeld.until.is_(None))
        .where(Person.id.in_(members), RoleHeld.role.in_([role.value for role in _SHOWN]))
    )
    found: dict[int, _Member] = {}
    for row in rows:
        name, short = row.full_name or row.number, row.short_name or row.number
        member = found.setdefault(row.id, _Member(row.id, row.number, name, short))
        member.roles[row.role] = row.since
    return sorted(found.values(), key=lambda one: (one.name.split()[-1].casefold(), one.number))


def _row(standing: Standing, member: _Member, scheme: Scheme) -> MatrixRow:
    states = [standing.state(competency) for competency in scheme.competencies]
    return MatrixRow(
        member.id,
        member.number,
        member.name,
        member.short_name,
        line_of(member.roles.items(), clock.now()),
        tuple(MatrixCell(one.letter, one.state.value, one.reason) for one in states),
    )
