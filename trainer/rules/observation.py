"""What an observation sheet amounts to: the outcome follows from the marks, nobody chooses it.

One criterion not done makes the sheet "not yet competent"; all done make it "competent"; while a
criterion is not seen, and none is not done, nothing can be signed. Source: house scheme, INVENTED.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

SheetOutcome = Literal["", "competent", "not yet competent"]


@dataclass(frozen=True, slots=True)
class SheetVerdict:
    """The outcome the marks give ('' while something is still to be seen), and what decides it."""

    outcome: SheetOutcome
    not_done: tuple[str, ...]
    still_to_see: tuple[str, ...]


def sheet_verdict(criteria: Sequence[str], values: Mapping[str, str]) -> SheetVerdict:
    """Judge the marks of a sheet.

    Args:
        criteria: Every criterion of the competency, in order.
        values: Criterion -> 'done', 'not done' or 'not seen'; one without a value was not seen.

    Returns:
        The outcome, the criteria not done, and those still to be seen.

    Example:
        >>> sheet_verdict(["C04.1", "C04.2"], {"C04.1": "done"}).still_to_see
        ('C04.2',)
    """
    not_done = tuple(one for one in criteria if values.get(one) == "not done")
    to_see = tuple(one for one in criteria if values.get(one) not in {"done", "not done"})
    if not_done:
        return SheetVerdict("not yet competent", not_done, to_see)
    return SheetVerdict("" if to_see or not criteria else "competent", (), to_see)
