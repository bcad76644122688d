"""A person's roles in one line, as job card, matrix and sheets print it: 'trainee, week 3'."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from trainer.records.people import RoleHeld
from trainer.rules.roles import Role


def line_of(roles: Iterable[tuple[str, datetime]], now: datetime) -> str:
    """Roles held now with the moment each began, in one line."""
    words: list[str] = []
    for role, since in sorted(roles):
        if role == Role.TRAINEE:
            words.insert(0, f"trainee, week {max(0, (now - since).days) // 7 + 1}")
        else:
            words.append(role)
    return ", ".join(words)


def role_line(session: Session, person_id: int, now: datetime) -> str:
    """The line of one person; one statement."""
    rows = session.execute(
        select(RoleHeld.role, RoleHeld.since).where(
            RoleHeld.person_id == person_id, RoleHeld.until.is_(None)
        )
    )
    return line_of([(row.role, row.since) for row in rows], now)
