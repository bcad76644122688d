"""An observation sheet as a page shows it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select

from trainer import clock
from trainer.actions.house import Actor, House
from trainer.actions.observation_facts import SheetFacts, read_sheet, which_observation
from trainer.actions.permission import NOT_YOURS, may_see
from trainer.actions.role_lines import role_line
from trainer.errors import RefusedError
from trainer.records.free_text import FreeText
from trainer.records.signoffs import Signature
from trainer.rules.recheck import sheet_open_until
from trainer.rules.separation import Refusal, may_sign


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


def sheet(house: House, actor: Actor, *, sheet_id: int) -> ObservationSheetView:
    """The observation sheet for whoever may see it.

    Raises:
        NotFoundError: OBS-001.
        RefusedError: PEO-001.
    """
    with house.database.reading() as session:
        facts = read_sheet(house, session, sheet_id, actor.person_id)
        row = facts.row
        if actor.person_id != row.observer_id and not may_see(session, actor, row.person_id):
            raise RefusedError(NOT_YOURS)
        details = session.get(FreeText, row.details_id) if row.details_id else None
        signature = session.scalars(
            select(Signature).where(Signature.sheet_id == sheet_id).order_by(Signature.number)
        ).first()
        role = role_line(session, row.person_id, clock.now())
    refusal = _why_not_sign(facts, actor)
    verdict, is_open = facts.verdict, row.state == "open"
    return ObservationSheetView(
        id=row.id,
        number=facts.number,
        competency=row.competency,
        title=facts.competency.title,
        safety_critical=facts.competency.safety_critical,
        cautions=facts.competency.hazards,
        person_id=row.person_id,
        person_name=facts.person.name,
        person_role=role,
        observer_id=row.observer_id,
        observer_name=facts.observer.name,
        which=which_observation(facts.standing, facts.competency, is_open=is_open),
        machine=row.machine,
        site=row.site,
        begun_at=row.begun_at,
        open_until=sheet_open_until(row.begun_at.date()),
        state=row.state,
        scheme_number=house.number(row.scheme_hash),
        criteria=_criterion_rows(facts),
        note=details.text if details is not None else "",
        outcome_if_signed=verdict.outcome,
        still_to_see=verdict.still_to_see,
        may_sign=refusal.sentence if refusal is not None else "",
        signed_at=signature.signed_at if signature is not None else None,
        signed_by=facts.observer.name if signature is not None else "",
        outcome=signature.outcome if signature is not None else "",
    )


def _criterion_rows(facts: SheetFacts) -> tuple[CriterionRow, ...]:
    rows = []
    for one in facts.competency.criteria:
        mark = facts.marks.get(one.id)
        value, note, at = (mark.value, mark.note, mark.at) if mark else ("", "", None)
        rows.append(CriterionRow(one.id, one.text, one.critical, value, note, at))
    return tuple(rows)


def _why_not_sign(facts: SheetFacts, actor: Actor) -> Refusal | None:
    row = facts.row
    return may_sign(
        facts.people[actor.person_id],
        facts.person,
        [row.begun_at, clock.now()],
        observer=(row.observer_id, facts.observer.name),
        competency=row.competency,
        own_state=facts.own_state(actor.person_id),
    )
