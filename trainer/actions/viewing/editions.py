"""The editions page: what is in force, what waits, and what came before."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from trainer.actions.house import Actor, House


@dataclass(frozen=True, slots=True)
class EditionRow:
    """One edition of a module or of the scheme."""

    subject: str
    title: str
    number: int
    edition_hash: str
    state: str  # draft, in review, reviewed, in force, superseded, withdrawn
    since: datetime
    by: str
    reason: str
    may_confirm: str  # '' or why this actor may not confirm it; only for 'in review'


@dataclass(frozen=True, slots=True)
class EditionsView:
    """The editions page."""

    in_force: tuple[EditionRow, ...]
    waiting: tuple[EditionRow, ...]
    earlier: tuple[EditionRow, ...]


@dataclass(frozen=True, slots=True)
class EditionPage:
    """One edition with its whole story and its difference to the one before."""

    edition: EditionRow
    story: tuple[EditionRow, ...]
    changes: tuple[str, ...]
    lessons: tuple[tuple[str, str], ...]
    exercises: tuple[tuple[str, str], ...]


def editions(house: House, actor: Actor) -> EditionsView:
    """Every edition in force, those that wait for a second reader, and the earlier ones."""
    raise NotImplementedError


def edition_page(house: House, actor: Actor, *, edition_hash: str) -> EditionPage:
    """One stored edition."""
    raise NotImplementedError
