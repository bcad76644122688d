"""What the standard TOML reader refuses, in words that an author can act on."""

from __future__ import annotations

import re
from dataclasses import dataclass

_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_UNSEEN = re.compile(r"(?:Illegal|invalid) character '(.*?)'")
_WORDS = (
    (
        "scape",
        "A backslash stands before a letter that it cannot change.",
        "Write the text between ' and ': there a backslash is itself.",
    ),
    (
        "Cannot",
        "A key is both a value and a table, or a table is opened twice.",
        "Keep one of the two.",
    ),
    ("date", "There is no such date or time.", "Write 2026-03-02 or 07:30."),
    (
        "",
        "The value is neither a text, a number, true or false, nor a list.",
        "Texts stand between ' and '; numbers are written 12.5.",
    ),
)


@dataclass(frozen=True, slots=True)
class Refusal:
    """Where a text stops being TOML, what is wrong (or which unseen character), and the cure."""

    line: int
    column: int
    what: str
    cure: str
    is_unseen: bool = False


def refusal_of(message: str, text: str) -> Refusal:
    r"""The reader's own message, understood.

    Example:
        >>> refusal_of("Invalid value (at line 2, column 5)", "a = 1\nb = x").column
        5
    """
    place = _PLACE.search(message)
    lines = text.split("\n")
    line, column = len(lines), len(lines[-1]) + 1
    if place and place.group(1):
        line, column = int(place.group(1)), int(place.group(2))
    unseen = _UNSEEN.search(message)
    if unseen:
        return Refusal(line, column, unseen.group(1), "", is_unseen=True)
    what, cure = next(row[1:] for row in _WORDS if row[0] in message)
    return Refusal(line, column, what, cure)
