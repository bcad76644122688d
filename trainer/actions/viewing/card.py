"""The parts of a job card."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal


@dataclass(frozen=True, slots=True)
class CompetencyLine:
    """One competency of the person with its state today and the reason in a sentence."""

    id: str
    title: str
    short: str
    state: str
    letter: str
    sentence: str
    missing: tuple[str, ...]
    until: date | None
    safety_critical: bool
    may_ask: bool  # 'ask to be observed' would be accepted now
    request_id: int | None = None  # a standing request that may be withdrawn


@dataclass(frozen=True, slots=True)
class NextAct:
    """One thing to do next: ``kind`` says which page and button, ``target`` what it is about."""

    kind: Literal["read", "work", "ask", "apply"]
    target: str  # lesson, exercise, competency or certificate id
    title: str
    detail: str
    button: str  # 'open', 'new numbers', 'ask to be observed', 'apply'


@dataclass(frozen=True, slots=True)
class BackToYou:
    """Something that came back: a sheet not yet competent, a new edition to work or read again."""

    kind: Literal["not yet competent", "work again", "read again", "void", "decision"]
    target: str
    sentence: str


@dataclass(frozen=True, slots=True)
class LastSlip:
    """The slip named last."""

    exercise: str
    attempt_id: int
    name: str
    lesson: str
    at: datetime


@dataclass(frozen=True, slots=True)
class JobCard:
    """A person's front page."""

    person_id: int
    number: str
    name: str
    role_line: str  # 'trainee, week 3'
    teams: tuple[str, ...]
    as_on: date
    scheme_number: int
    alone: tuple[CompetencyLine, ...]
    with_someone: tuple[CompetencyLine, ...]
    not_yet: tuple[CompetencyLine, ...]
    next: tuple[NextAct, ...]
    back_to_you: tuple[BackToYou, ...]
    last_slip: LastSlip | None
    open_sheets: tuple[tuple[int, str, str], ...]  # attempt id, exercise, title
    certificates: tuple[tuple[int, str, str, str, date], ...]  # id, number, title, state, end
