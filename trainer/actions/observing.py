"""Watching work: the request, the observation sheet criterion by criterion, and the stop for safety."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from trainer.actions.house import Actor, House

CriterionValue = Literal["done", "not done", "not seen"]


@dataclass(frozen=True, slots=True)
class CriterionRow:
    """One criterion on the sheet with its last mark; ``value`` '' while nothing was ticked."""

    id: str
    text: str
    critical: bool
    value: str
    note: str
    at: datetime | None


@dataclass(frozen=True, slots=True)
class ObservationSheetView:
    """An observation sheet as the observer, the person observed or an auditor sees it."""

    id: int
    number: str  # 'C04-0012'
    competency: str
    title: str
    safety_critical: bool
    cautions: tuple[str, ...]  # hazard ids of the competency
    person_id: int
    person_name: str
    person_role: str  # 'trainee, week 3'
    observer_id: int
    observer_name: str
    which: str  # 'observation', 'first of 2', 'second of 2', 're-check'
    machine: str
    site: str
    begun_at: datetime
    open_until: date
    state: str  # open, signed, countersigned, refused, stopped for safety
    scheme_number: int
    criteria: tuple[CriterionRow, ...]
    note: str
    outcome_if_signed: str  # 'competent', 'not yet competent' or '' while criteria are not seen
    still_to_see: tuple[str, ...]
    may_sign: str  # '' or the sentence why this actor may not
    signed_at: datetime | None = None
    signed_by: str = ""
    outcome: str = ""


def ask_to_be_observed(house: House, actor: Actor, *, competency: str) -> int:
    """A trainee's request; refused while the theory is open; the standing request if there is one."""
    raise NotImplementedError


def withdraw_request(house: House, actor: Actor, *, request: int) -> None:
    """Take back one's own request before a sheet is opened."""
    raise NotImplementedError


def open_observation(
    house: House, actor: Actor, *, person_id: int, competency: str, machine: str, site: str
) -> int:
    """Open an observation sheet on a job; answers a standing request; returns the sheet id."""
    raise NotImplementedError


def sheet(house: House, actor: Actor, *, sheet_id: int) -> ObservationSheetView:
    """The observation sheet for whoever may see it."""
    raise NotImplementedError


def tick(
    house: House,
    actor: Actor,
    *,
    sheet_id: int,
    criterion: str,
    value: CriterionValue,
    note: str = "",
) -> datetime:
    """Mark one criterion; the last mark holds; returns the moment it was saved."""
    raise NotImplementedError


def stop_for_safety(house: House, actor: Actor, *, sheet_id: int, what_happened: str) -> None:
    """End the sheet for danger: the competency is restricted at once, and the record log has it."""
    raise NotImplementedError


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
    """Take a competency (or one grinder type of it) away for a time."""
    raise NotImplementedError


def release(house: House, actor: Actor, *, restriction: int, reason: str) -> None:
    """End a restriction; refused to the one who set it."""
    raise NotImplementedError
