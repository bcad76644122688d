"""The observation list: who asked to be observed, which sheets are open, what was signed lately."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from trainer.actions.house import Actor, House


@dataclass(frozen=True, slots=True)
class ObservationRow:
    """One request or one sheet."""

    person_id: int
    person_name: str
    person_number: str
    competency: str
    title: str
    safety_critical: bool
    at: datetime
    state: str  # 'asked' or the sheet's state
    request_id: int | None
    sheet_id: int | None
    observer_name: str
    which: str  # 'observation', 'first of 2', 'second of 2', 're-check'
    refusal: str  # '' or why this actor may not observe or sign


@dataclass(frozen=True, slots=True)
class ObservationList:
    """A supervisor's work: requests, open sheets, and the last signed ones."""

    requests: tuple[ObservationRow, ...]
    open_sheets: tuple[ObservationRow, ...]
    signed: tuple[ObservationRow, ...]
    people: tuple[tuple[int, str], ...]  # of the actor's teams, for a sheet without a request
    competencies: tuple[tuple[str, str], ...]


def observation_list(house: House, actor: Actor) -> ObservationList:
    """The observation list of a supervisor's teams (of the person himself for a trainee)."""
    raise NotImplementedError
