"""Editions: look at a folder, put it in force, let a second reader confirm, withdraw at once."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from trainer.actions.house import Actor, House

if TYPE_CHECKING:
    from trainer.findings import Finding
    from trainer.library.catalogue import Library

PutOutcome = Literal["in force", "unchanged", "kept out", "waits for a second reader"]


@dataclass(frozen=True, slots=True)
class PutResult:
    """What became of one module (or of 'scheme') that was to go in force."""

    subject: str
    outcome: PutOutcome
    number: int  # 0 when it was kept out
    edition_hash: str
    findings: tuple[Finding, ...]
    changes: tuple[str, ...]  # differences in words
    is_safety_change: bool = False


def look(house: House, folder: Path | None = None) -> tuple[Library, tuple[Finding, ...]]:
    """Read the content folder (the setting's unless given) with every finding; changes nothing."""
    raise NotImplementedError


def put_in_force(
    house: House,
    actor: Actor,
    *,
    subjects: Collection[str] | None = None,
    reason: str,
    folder: Path | None = None,
) -> tuple[PutResult, ...]:
    """Take the folder in: each changed subject without errors goes in force, others keep theirs."""
    raise NotImplementedError


def confirm_safety_change(
    house: House, actor: Actor, *, edition_hash: str, reason: str
) -> PutResult:
    """The second reader confirms an edition that waits, and it goes in force."""
    raise NotImplementedError


def turn_back(house: House, actor: Actor, *, edition_hash: str, reason: str) -> None:
    """The second reader sends an edition that waits back to draft, with the reason."""
    raise NotImplementedError


def withdraw(house: House, actor: Actor, *, module: str, reason: str) -> None:
    """Take the edition in force away at once; open sheets of it end and say why."""
    raise NotImplementedError
