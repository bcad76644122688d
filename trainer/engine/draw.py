"""From a draw key to values: the same on every machine and under every version of Python.

The stream. Word number n (from 0) is the first 8 bytes, big-endian, of SHA-256(draw key ‖ n as 8
bytes, big-endian). To choose one of m values, take the next word w; if w is not below the largest
multiple of m that fits in 2^64, take the next; the value's number is w modulo m. So every value is
exactly as likely as every other.

The order. Each quantity of ``[given]`` and then of ``[hidden]``, as written, takes one number. A
quantity with a single value, and one that is tied to another, takes none; each reading takes twelve
words, and a run log one number a run (see ``rows``). When a draw is not kept, the next one goes on
in the same stream. A shuffle follows the values of the draw that was kept: for i from the last
place down to the second, place i changes with place (number below i + 1).
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import product
from math import prod
from typing import TYPE_CHECKING, Any

from trainer.engine.figures import Cell, Column, Figures, NotKept, Plan, plan_of
from trainer.engine.formula import computing
from trainer.engine.rows import WORDS_A_READING, rest_of, run_count
from trainer.errors import StateError, register

if TYPE_CHECKING:
    from trainer.engine.definition import Exercise

MOST_REDRAWS = 1000
_WORDS = 2**64

nothing_kept = register(
    "ENG-300",
    "No draw of {exercise} was kept after {redraws} redraws. The last was refused: {words}",
    "Widen the ranges, loosen only_when, or tie the values with [hidden].",
    status=500,
)
endless = register(
    "ENG-301",
    "The draws of {exercise} cannot be walked one by one: readings or a run log are drawn.",
    "Draw by number instead.",
    status=500,
)


@dataclass(frozen=True, slots=True)
class Draw:
    """The drawn and derived values by symbol, in the author's units, and how many were refused."""

    values: dict[str, Any]
    redraws: int


class Stream:
    """Words from a draw key, without end."""

    __slots__ = ("_counter", "_key")

    def __init__(self, draw_key: bytes) -> None:
        self._key = hashlib.sha256(draw_key)
        self._counter = 0

    def word(self) -> int:
        """The next word of 64 bits."""
        hashed = self._key.copy()
        hashed.update(self._counter.to_bytes(8, "big"))
        self._counter += 1
        return int.from_bytes(hashed.digest()[:8], "big")

    def below(self, count: int) -> int:
        """A number from 0 to ``count - 1``; for a count of 1 no word is taken."""
        if count == 1:
            return 0
        limit = _WORDS - _WORDS % count
        while True:
            word = self.word()
            if word < limit:
                return word % count

    def shuffled(self, count: int) -> tuple[int, ...]:
        """The numbers 0 to ``count - 1`` in a drawn order."""
        order = list(range(count))
        for place in range(count - 1, 0, -1):
            other = self.below(place + 1)
            order[place], order[other] = order[other], order[place]
        return tuple(order)


def draw_key_for(exercise_hash: str, number: int) -> bytes:
    """The draw key of draw number N: SHA-256("draw" ‖ exercise hash ‖ N as 8 bytes, big-endian).

    Args:
        exercise_hash: 64 hexadecimal digits, taken as their 32 bytes.
        number: from 0 on.
    """
    return hashlib.sha256(
        b"draw" + bytes.fromhex(exercise_hash) + number.to_bytes(8, "big")
    ).digest()


def kept_draw(exercise: Exercise, stream: Stream) -> tuple[Figures, int]:
    """The first draw of a stream that may be set, and how many were refused before it.

    Raises:
        StateError: ENG-300 when none of very many is kept.
    """
    plan = plan_of(exercise)

    def draws() -> tuple[Figures, int]:
        refused: NotKept | None = None
        for redraws in range(MOST_REDRAWS + 1):
            figures = drawn_figures(plan, stream)
            if isinstance(figures, Figures):
                return figures, redraws
            refused = figures
        assert refused is not None
        raise StateError(
            nothing_kept, exercise=exercise.id, redraws=MOST_REDRAWS, words=refused.words
        )

    found: tuple[Figures, int] = computing(draws)
    return found


def drawn_figures(plan: Plan, stream: Stream) -> Figures | NotKept:
    """The figures of one draw, or why it is not kept."""
    try:
        cells = drawn_cells(plan, stream)
    except (ArithmeticError, ValueError):
        words = "The middle or the spread of the readings cannot be worked out."
        return NotKept("cannot be worked out", "readings", words)
    return plan.figures(cells)


def drawn_cells(plan: Plan, stream: Stream) -> dict[str, Cell]:
    """One draw of every quantity, kept or not."""
    indices: list[Any] = []
    for column, tie in zip(plan.columns, plan.ties, strict=True):
        given = column.given
        if given.sample is not None:
            indices.append([_sum(stream) for _ in range(given.sample.count)])
        elif given.run_log is not None:
            places = rest_of(given.run_log) + 1
            indices.append([stream.below(places) for _ in range(run_count(given.run_log))])
        else:
            indices.append(0 if tie >= 0 else stream.below(column.count))
    for number, tie in enumerate(plan.ties):
        if tie >= 0:
            indices[number] = indices[tie]
    return plan.cells(indices)


def _sum(stream: Stream) -> int:
    return sum(stream.word() for _ in range(WORDS_A_READING))


def values_for(exercise: Exercise, draw_key: bytes) -> Draw:
    """The values of a draw key: given, hidden and derived.

    Raises:
        StateError: ENG-300 when none of very many draws is kept.
    """
    figures, redraws = kept_draw(exercise, Stream(draw_key))
    return Draw({symbol: cell.bare for symbol, cell in figures.cells.items()}, redraws)


def index_count(exercise: Exercise) -> int:
    """How many different draws the grid has, kept or not; samples and logs count as 2^64 each."""
    plan = plan_of(exercise)
    return prod(
        _WORDS if is_endless(column) else column.count
        for column, tie in zip(plan.columns, plan.ties, strict=True)
        if tie < 0
    )


def is_endless(column: Column) -> bool:
    """Whether a quantity is drawn anew each time rather than chosen from a grid."""
    return column.given.sample is not None or column.given.run_log is not None


def every(exercise: Exercise) -> Iterator[dict[str, Decimal]]:
    """Every draw of the grid, the last quantity changing fastest; only what is drawn is in it.

    Raises:
        StateError: ENG-301 when readings or a run log are drawn: there is no grid to walk.
    """
    plan = plan_of(exercise)
    if any(is_endless(column) for column in plan.columns):
        raise StateError(endless, exercise=exercise.id)
    free = [number for number, tie in enumerate(plan.ties) if tie < 0]
    indices = [0] * len(plan.columns)
    for chosen in product(*(range(plan.columns[number].count) for number in free)):
        for number, index in zip(free, chosen, strict=True):
            indices[number] = index
        for number, tie in enumerate(plan.ties):
            if tie >= 0:
                indices[number] = indices[tie]
        yield {
            column.symbol: column.at(index).bare
            for column, index in zip(plan.columns, indices, strict=True)
        }
