"""The sign-off: the statement that was shown is the statement that is signed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from trainer.actions.house import Actor, House


@dataclass(frozen=True, slots=True)
class Statement:
    """What would be signed: lines for the page, and the digest the form carries back."""

    sheet_id: int
    lines: tuple[str, ...]
    criteria: tuple[tuple[str, str, str, str], ...]  # id, words, value, note
    outcome: str  # 'competent' or 'not yet competent'
    digest: str
    needs_password: bool  # the password was given longer ago than the setting allows


@dataclass(frozen=True, slots=True)
class Signed:
    """A signature that now stands in the records."""

    signature_id: int
    number: str
    outcome: str
    signed_at: datetime
    state: str  # the person's competency state after it
    sentence: str


def statement(house: House, actor: Actor, *, sheet_id: int) -> Statement:
    """The statement of a sheet as it would be signed now; refused while criteria are not seen."""
    raise NotImplementedError


def sign(
    house: House, actor: Actor, *, sheet_id: int, digest: str, password: str, outcome: str
) -> Signed:
    """Sign the statement with this digest; the outcome must be the one the marks give."""
    raise NotImplementedError
