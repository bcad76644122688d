"""What a proof run sees draw by draw: kept or why not, inside or not, slips alike, extremes."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import product
from typing import TYPE_CHECKING, Any

from trainer.engine import proof_findings as found
from trainer.engine.draw import Stream, drawn_cells, index_count
from trainer.engine.figures import Cell, Figures, NotKept, Plan, plan_of, slip_value
from trainer.engine.formula_functions import snap
from trainer.engine.method_again import finds_again
from trainer.engine.proof_findings import finding
from trainer.engine.tolerance import band, is_exempt
from trainer.maths.quantity import format_figures, with_unit

if TYPE_CHECKING:
    from trainer.engine.definition import Exercise, Find
    from trainer.engine.outcome import Band
    from trainer.findings import Finding

REPORT_EVERY = 250
Report = Callable[[int, int], object]
Cells = dict[str, Cell]


@dataclass(slots=True)
class Seen:
    """What the kept draws have shown about one find; slips by their number in the exercise."""

    find: Find
    lowest: tuple[Decimal, Cells] | None = None
    highest: tuple[Decimal, Cells] | None = None
    alike: Counter[tuple[int, int]] = field(default_factory=Counter)
    valued: set[int] = field(default_factory=set)


class Tally:
    """The counts of one proof run.

    Attributes:
        total: draws in all.
        exhaustive: whether they are the whole grid.
        kept: how many may be set.
        apart: in how many of these all slips of each find are told apart.
        distinct: the shown values of the kept draws.
        refused: how often, by reason and what it is about.
        no_value: the first draw in which something cannot be worked out, with the words for it.
        seen: what was seen of each find.
        findings: what one draw alone has shown to be wrong.
    """

    def __init__(self, exercise: Exercise, draws: int, exhaustive_to: int) -> None:
        self.exercise = exercise
        self.plan = plan_of(exercise)
        count = index_count(exercise)
        self.exhaustive = count <= exhaustive_to
        self.total = count if self.exhaustive else draws
        self.kept = 0
        self.apart = 0
        self.distinct: set[tuple[Any, ...]] = set()
        self.refused: Counter[tuple[str, str]] = Counter()
        self.no_value: dict[str, tuple[str, Cells]] = {}
        self.seen = {find.symbol: Seen(find) for find in exercise.finds}
        self.findings: list[Finding] = []
        # A safety find is rounded in its last line only, to its safe side: that is its band.
        self._rounded = {
            find.symbol for find in exercise.finds if not (is_exempt(find.accept) or find.safe_side)
        }
        self._noted: set[tuple[str, str]] = set()

    def take_all(self, report: Report | None) -> None:
        """Go through every draw; the caller has set the decimal context."""
        for number, cells in enumerate(self._draws(), start=1):
            figures = self.plan.figures(cells)
            if isinstance(figures, NotKept):
                self._refuse(figures, cells)
            else:
                self._keep(figures)
            if report is not None and (number % REPORT_EVERY == 0 or number == self.total):
                report(number, self.total)

    def _draws(self) -> Iterator[Cells]:
        if self.exhaustive:
            yield from _every(self.plan)
            return
        key = hashlib.sha256(b"proof" + bytes.fromhex(self.exercise.hash)).digest()
        stream = Stream(key)
        for _ in range(self.total):
            yield drawn_cells(self.plan, stream)

    def _refuse(self, why: NotKept, cells: Cells) -> None:
        self.refused[why.reason, why.about] += 1
        if why.reason == "cannot be worked out":
            self.no_value.setdefault(why.about, (why.words, dict(cells)))

    def _keep(self, figures: Figures) -> None:
        self.kept += 1
        givens = self.exercise.givens
        self.distinct.add(
            tuple(_hashable(figures.bare[given.symbol]) for given in givens if given.shown)
        )
        chained: dict[str, Decimal] = {}
        if self._rounded:
            base = {given.symbol: figures.base[given.symbol] for given in givens}
            chained = finds_again(self.exercise, base, rounded=True)
        all_apart = True
        for symbol, seen in self.seen.items():
            expected, allowed = figures.expected[symbol], figures.tolerances[symbol]
            span = band(seen.find, expected, allowed)
            if seen.lowest is None or expected < seen.lowest[0]:
                seen.lowest = (expected, figures.cells)
            if seen.highest is None or expected > seen.highest[0]:
                seen.highest = (expected, figures.cells)
            self._check_inside(seen.find, span, figures, chained.get(symbol))
            all_apart &= self._check_slips(seen, span, allowed, figures)
        self.apart += all_apart

    def _check_inside(
        self, find: Find, span: Band, figures: Figures, chained: Decimal | None
    ) -> None:
        """The right answer is inside, and so is whoever rounds."""
        if not _is_in(span.expected, span):
            self._note_band(found.right_outside, find, span, figures, span.expected)
        if chained is not None and find.symbol in self._rounded and not _is_in(chained, span):
            self._note_band(found.rounding_unsafe, find, span, figures, chained)

    def _note_band(
        self, code: str, find: Find, span: Band, figures: Figures, value: Decimal
    ) -> None:
        if (code, find.symbol) in self._noted:
            return
        self._noted.add((code, find.symbol))
        self.findings.append(
            finding(
                self.exercise,
                code,
                "error",
                f"find.{find.symbol}.accept",
                "accept",
                f"find.{find.symbol}",
                text=find.accept.text,
                value=with_unit(format_figures(value, 6), find.unit, value),
                symbol=find.symbol,
                low=span.low_text,
                high=span.high_text,
                draw=drawn_text(figures.cells),
            )
        )

    def _check_slips(self, seen: Seen, span: Band, allowed: Decimal, figures: Figures) -> bool:
        """No slip is inside; whether all of them are told apart from each other."""
        values: list[tuple[int, Decimal]] = []
        for number, slip in enumerate(self.exercise.slips):
            if slip.find != seen.find.symbol:
                continue
            value = slip_value(slip, figures.bare)
            if value is None:
                continue
            seen.valued.add(number)
            values.append((number, value))
            if _is_in(value, span):
                self._note_slip(number, seen.find, figures, value)
        alike = [
            (first, second)
            for place, (first, one) in enumerate(values)
            for second, other in values[place + 1 :]
            if abs(one - other) <= allowed
        ]
        seen.alike.update(alike)
        return not alike

    def _note_slip(self, number: int, find: Find, figures: Figures, value: Decimal) -> None:
        slip = self.exercise.slips[number]
        if ("slip", slip.name) in self._noted:
            return
        self._noted.add(("slip", slip.name))
        self.findings.append(
            finding(
                self.exercise,
                found.slip_in_band,
                "error",
                f"slips.{number}.value",
                f"slips.{number}",
                text=slip.formula.source,
                name=slip.name,
                value=with_unit(format_figures(value), find.unit, value),
                symbol=find.symbol,
                draw=drawn_text(figures.cells),
            )
        )


def drawn_text(cells: Cells) -> str:
    """The values of a draw in words: ``m = 18.0 g, q = 3.8 g/s``."""
    return ", ".join(f"{symbol} = {cell.text}" for symbol, cell in cells.items())


def _every(plan: Plan) -> Iterator[Cells]:
    """Every draw of the grid; what is tied follows what it is tied to."""
    free = [number for number, tie in enumerate(plan.ties) if tie < 0]
    indices = [0] * len(plan.columns)
    for chosen in product(*(range(plan.columns[number].count) for number in free)):
        for number, index in zip(free, chosen, strict=True):
            indices[number] = index
        for number, tie in enumerate(plan.ties):
            if tie >= 0:
                indices[number] = indices[tie]
        yield plan.cells(indices)


def _hashable(value: object) -> object:
    return tuple(value) if isinstance(value, list) else value


def _is_in(value: Decimal, span: Band) -> bool:
    return snap(span.low) <= snap(value) <= snap(span.high)
