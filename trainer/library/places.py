"""Where in a text something stands: lines and columns, counted from 1."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something wrong in a text, known by what it says; its place is looked up afterwards."""

    code: str
    text: str
    message: str = ""
    cure: str = ""


def troubles_with_places(
    troubles: Iterable[Trouble], text: str, line: int
) -> Iterator[tuple[Trouble, int, int]]:
    """Each trouble with line and column: the first one of its words stands at their first place."""
    starts = [0]
    for entry in text.split("\n"):
        starts.append(starts[-1] + len(entry) + 1)
    after: dict[str, int] = {}
    row_of: dict[str, int] = {}
    for trouble in troubles:
        at = text.find(trouble.text, after.get(trouble.text, 0)) if trouble.text else -1
        if at < 0:
            yield trouble, line, 0
            continue
        after[trouble.text] = at + len(trouble.text)
        row = row_of.get(trouble.text, 0)
        while starts[row + 1] <= at:
            row += 1
        row_of[trouble.text] = row
        yield trouble, line + row, at - starts[row] + 1
