"""The skills matrix: people by competencies, a letter for each state."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from trainer.actions.house import Actor, House


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
    name: str  # 'Marrowick, Delphine' order is the page's business: full name as stored
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


def matrix(house: House, actor: Actor, *, team_id: int | None = None) -> MatrixView:
    """The skills matrix: a supervisor sees the own teams, trainers and scheme people see all."""
    raise NotImplementedError
