"""The restrictions of a person that stand now, as the page that releases them prints them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select

from trainer import clock
from trainer.actions.house import Actor, House
from trainer.actions.permission import require_sight
from trainer.records.free_text import FreeText
from trainer.records.people import Person, PersonName
from trainer.records.signoffs import Restriction


@dataclass(frozen=True, slots=True)
class RestrictionLine:
    """One restriction: what is taken away, since when, until when, by whom and why."""

    id: int
    competency: str
    grinder_type: str  # '' for every type
    since: datetime
    until: datetime | None
    by_person_id: int
    by: str
    reason: str


def restrictions(house: House, actor: Actor, *, person_id: int) -> tuple[RestrictionLine, ...]:
    """What stands restricted for a person now, oldest first.

    Raises:
        RefusedError: PEO-001.
    """
    now = clock.now()
    query = (
        select(
            Restriction.id,
            Restriction.competency,
            Restriction.grinder_type,
            Restriction.since,
            Restriction.until,
            Restriction.by_person_id,
            Person.number,
            PersonName.short_name,
            FreeText.text,
        )
        .join(Person, Person.id == Restriction.by_person_id)
        .outerjoin(PersonName, PersonName.person_id == Restriction.by_person_id)
        .outerjoin(FreeText, FreeText.id == Restriction.reason_id)
        .where(Restriction.person_id == person_id, Restriction.released_at.is_(None))
        .order_by(Restriction.id)
    )
    with house.database.reading() as session:
        require_sight(session, actor, person_id)
        rows = session.execute(query).all()
    return tuple(
        RestrictionLine(
            id=row.id,
            competency=row.competency,
            grinder_type=row.grinder_type,
            since=row.since,
            until=row.until,
            by_person_id=row.by_person_id,
            by=row.short_name or row.number,
            reason=row.text or "",
        )
        for row in rows
        if row.until is None or row.until > now
    )
