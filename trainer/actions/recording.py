"""Entries of the record log: what auditors rely on, appended in the transaction of the act."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from sqlalchemy.orm import Session

from trainer.actions.actor import Actor
from trainer.records import record_log

Kind = Literal[
    "person taken in",
    "one-time link",
    "account",
    "role change",
    "team change",
    "edition in force",
    "edition withdrawn",
    "edition in review",
    "edition turned back",
    "recognition",
    "observation sheet",
    "safety stop",
    "signature",
    "restriction",
    "release",
    "candidacy",
    "certificate act",
    "competency withdrawn",
]
"""What an entry is about."""


def log(
    session: Session,
    actor: Actor | None,
    kind: Kind,
    person_id: int | None,
    facts: Mapping[str, Any],
) -> int:
    """Append an entry: by whom (None: the server's first start), about whom, and plain facts."""
    by = actor.recorded_id if actor is not None else None
    return record_log.append(session, kind=kind, person=person_id, payload={"by": by, **facts})
