"""Writing editions: stored whole, every step an event, the pointer moved with its log entry."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from trainer.actions.actor import Actor
from trainer.actions.recording import log
from trainer.canonical import canonical_bytes
from trainer.records.editions import Edition, EditionEvent, EditionPages, EditionState, InForce

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.canonical import Plain


def store_edition(
    session: Session,
    actor: Actor | None,
    *,
    edition: tuple[str, str],
    canonical: Mapping[str, Plain],
    pages: Mapping[str, Plain] | None,
    now: datetime,
    note: str,
) -> Edition:
    """The row of an edition (subject, hash), added with the next number when it is new."""
    subject, edition_hash = edition
    row = session.get(Edition, edition_hash)
    if row is not None:
        return row
    newest = session.scalar(select(func.max(Edition.number)).where(Edition.subject == subject))
    row = Edition(
        hash=edition_hash,
        kind="scheme" if subject == "scheme" else "module",
        subject=subject,
        number=(newest or 0) + 1,
        canonical=canonical_bytes(canonical),
        made_at=now,
        made_by_id=actor.recorded_id if actor is not None else None,
        note=note,
    )
    session.add(row)
    session.flush()
    if pages is not None:
        session.add(EditionPages(edition_hash=edition_hash, pages=canonical_bytes(pages)))
    return row


def add_event(
    session: Session,
    actor: Actor | None,
    edition_hash: str,
    state: EditionState,
    *,
    now: datetime,
    reason: str,
) -> None:
    """One step in the life of an edition."""
    by = actor.recorded_id if actor is not None else None
    session.add(
        EditionEvent(edition_hash=edition_hash, state=state, at=now, by_person_id=by, reason=reason)
    )


def move_pointer(
    session: Session, actor: Actor | None, row: Edition, *, now: datetime, reason: str
) -> None:
    """Let an edition be the one in force; the one before is superseded."""
    pointer = session.get(InForce, row.subject)
    before = pointer.edition_hash if pointer is not None else None
    if pointer is not None:
        add_event(session, actor, pointer.edition_hash, "superseded", now=now, reason=reason)
        pointer.edition_hash, pointer.since = row.hash, now
    else:
        session.add(InForce(subject=row.subject, edition_hash=row.hash, since=now))
    add_event(session, actor, row.hash, "in force", now=now, reason=reason)
    facts = {
        "subject": row.subject,
        "edition": row.hash,
        "number": row.number,
        "before": before,
        "first start": actor is None,
    }
    log(session, actor, "edition in force", None, facts)


def last_state(session: Session, edition_hash: str) -> str:
    """The state an edition is in; '' for one that is not stored."""
    found = session.scalar(
        select(EditionEvent.state)
        .where(EditionEvent.edition_hash == edition_hash)
        .order_by(EditionEvent.id.desc())
        .limit(1)
    )
    return found or ""
