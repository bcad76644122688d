"""People as the rules of separation see them: roles and teams over time, and who was involved."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping

from sqlalchemy import select, union
from sqlalchemy.orm import Session

from trainer.records.observations import ObservationSheet
from trainer.records.people import Membership, Person, PersonName, RoleHeld
from trainer.records.signoffs import Recognition, Signature
from trainer.rules.separation import Party, Span


def parties(session: Session, person_ids: Collection[int]) -> Mapping[int, Party]:
    """These people with all their roles and teams over time; three statements."""
    ids = sorted(set(person_ids))
    roles: defaultdict[int, list[Span]] = defaultdict(list)
    teams: defaultdict[int, list[Span]] = defaultdict(list)
    for row in session.scalars(select(RoleHeld).where(RoleHeld.person_id.in_(ids))):
        roles[row.person_id].append(Span(row.role, row.since, row.until))
    for held in session.scalars(select(Membership).where(Membership.person_id.in_(ids))):
        teams[held.person_id].append(Span(str(held.team_id), held.since, held.until))
    names = session.execute(
        select(Person.id, Person.number, PersonName.short_name)
        .outerjoin(PersonName, PersonName.person_id == Person.id)
        .where(Person.id.in_(ids))
    )
    return {
        row.id: Party(
            row.id, row.short_name or row.number, tuple(roles[row.id]), tuple(teams[row.id])
        )
        for row in names
    }


def involved(session: Session, person_id: int) -> frozenset[int]:
    """Everybody who observed, signed or recognised this person's work; one statement."""
    found = session.scalars(
        union(
            select(ObservationSheet.observer_id).where(ObservationSheet.person_id == person_id),
            select(Signature.signer_id).where(Signature.person_id == person_id),
            select(Recognition.by_person_id).where(Recognition.person_id == person_id),
        )
    )
    return frozenset(found)
