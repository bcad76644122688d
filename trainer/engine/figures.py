"""Every figure of one draw: given, hidden, derived, method lines, tolerances, and why not kept.

A ``Plan`` is made once for an exercise. It holds what does not change from draw to draw, so that
one draw costs little more than its arithmetic.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Literal

from trainer.engine import unit_slips
from trainer.engine.formula_functions import floored, snap
from trainer.engine.formula_nodes import Bracket, Call
from trainer.engine.rows import clock_text, date_text, readings_of, runs_of
from trainer.engine.tolerance import CHAIN_FIGURES, ZERO, takes_allowance, tolerance
from trainer.maths.quantity import Quantity, format_decimal, with_unit
from trainer.maths.rounding import to_figures, to_step

if TYPE_CHECKING:
    from trainer.engine.definition import Exercise, Find, Given, MethodLine, Slip
    from trainer.engine.formula import Formula
    from trainer.maths.units import Unit

MOST_CELLS_KEPT = 4096
MOST_PLANS_KEPT = 1024
Reason = Literal["condition", "plausible", "slip", "unit slip", "cannot be worked out"]


@dataclass(frozen=True, slots=True)
class NotKept:
    """Why a draw is not set: the reason, what it is about, and one sentence."""

    reason: Reason
    about: str
    words: str


@dataclass(frozen=True, slots=True)
class Cell:
    """One value of a quantity: as shown, in base units, and printed."""

    bare: Any
    base: Any
    number: str
    text: str
    quantity: Quantity | None


@dataclass(slots=True)
class Figures:
    """All values of one draw by symbol, and for each find its answer and tolerance.

    Attributes:
        cells: given, hidden and derived quantities.
        base: every symbol in base units, what method lines work with.
        bare: every symbol as shown, what slips work with.
        quantities: every single number as a quantity.
        expected: the answer of each find in its unit.
        tolerances: the tolerance of each find in its unit.
    """

    cells: dict[str, Cell]
    base: dict[str, Any]
    bare: dict[str, Any]
    quantities: dict[str, Quantity]
    expected: dict[str, Decimal]
    tolerances: dict[str, Decimal]


class Column:
    """One drawn quantity with its printed values, each made when it is first drawn."""

    __slots__ = ("_cells", "count", "given", "is_row", "symbol")

    def __init__(self, given: Given) -> None:
        self.given = given
        self.symbol = given.symbol
        self.is_row = given.sample is not None
        self.count = len(given.values) if given.values else 1
        self._cells: dict[int, Cell] = {}

    def at(self, index: int) -> Cell:
        """The value of this number; of a column of data there is only one."""
        cell = self._cells.get(index)
        if cell is None:
            value = self.given.values.at(index) if self.given.values else self.given.column
            cell = cell_of(self.given, value)
            if len(self._cells) < MOST_CELLS_KEPT:
                self._cells[index] = cell
        return cell


def cell_of(given: Given, value: Any) -> Cell:  # noqa: ANN401 - a number, or a row of them
    """A value of a given with everything that is printed and worked with."""
    if given.run_log is not None:
        log = given.run_log
        end = clock_text(log.start_s + log.length_s)[:5]
        text = f"{clock_text(log.start_s)[:5]} to {end}"
        return Cell(value, value, text, text, None)
    unit = given.unit
    if isinstance(value, tuple):
        number = ", ".join(format_decimal(each, given.places) for each in value)
        bases = tuple(unit.to_base(each) for each in value)
        return Cell(value, bases, number, with_unit(number, unit, Decimal(2)), None)
    base = unit.to_base(value)
    if given.is_date:
        text = date_text(value)
        return Cell(value, base, text, text, None)
    number = format_decimal(value, given.places)
    quantity = Quantity(base, unit.dimension, unit.is_point)
    return Cell(value, base, number, with_unit(number, unit, value), quantity)


class Plan:
    """What does not change from draw to draw. Use ``plan_of`` to get one."""

    def __init__(self, exercise: Exercise) -> None:
        self.exercise = exercise
        drawn = [given for given in exercise.givens if given.formula is None]
        self.columns = tuple(Column(given) for given in drawn)
        places = {column.symbol: number for number, column in enumerate(self.columns)}
        self.ties = tuple(places.get(column.given.tied_to, -1) for column in self.columns)
        self.derived = tuple(given for given in exercise.givens if given.formula is not None)
        names = {column.symbol for column in self.columns}
        self.early = tuple(c for c in exercise.conditions if c.names <= names)
        self.late = tuple(c for c in exercise.conditions if not c.names <= names)
        self.finds: dict[str, Find] = {find.symbol: find for find in exercise.finds}
        self.needs_chain = any(takes_allowance(find) for find in exercise.finds)
        self.slips: dict[str, tuple[Slip, ...]] = {
            symbol: tuple(slip for slip in exercise.slips if slip.find == symbol)
            for symbol in self.finds
        }

    def cells(self, indices: Sequence[Any]) -> dict[str, Cell]:
        """The drawn values by symbol, from one number (or row of numbers) for each column.

        Raises:
            ArithmeticError, ValueError: when the middle of a sample cannot be worked out.
        """
        cells: dict[str, Cell] = {}
        rows: list[tuple[Column, Any]] = []
        for column, index in zip(self.columns, indices, strict=True):
            if column.is_row:
                rows.append((column, index))
            elif column.given.run_log is not None:
                cells[column.symbol] = cell_of(column.given, runs_of(column.given.run_log, index))
            else:
                cells[column.symbol] = column.at(index)
        if rows:
            base = {symbol: cell.base for symbol, cell in cells.items()}
            for column, index in rows:
                value = readings_of(column.given, index, base)
                cells[column.symbol] = cell_of(column.given, value)
        return cells

    def figures(self, cells: dict[str, Cell]) -> Figures | NotKept:
        """Work everything out from the drawn values; the caller has set the decimal context."""
        figures = Figures(
            cells,
            {symbol: cell.base for symbol, cell in cells.items()},
            {symbol: cell.bare for symbol, cell in cells.items()},
            {symbol: cell.quantity for symbol, cell in cells.items() if cell.quantity},
            {},
            {},
        )
        at = ""
        try:
            refused = self._condition(self.early, figures)
            if refused:
                return refused
            for given in self.derived:
                at = given.symbol
                self._derive(given, figures)
            at = "only_when"
            refused = self._condition(self.late, figures)
            if refused:
                return refused
            for line in self.exercise.method:
                at = line.symbol
                self._work(line, figures)
        except (ArithmeticError, ValueError) as problem:
            words = f"{at} cannot be worked out: {_words(problem)}."
            return NotKept("cannot be worked out", at, words)
        return self._plausible(figures) or self._apart(figures) or figures

    def _condition(self, conditions: Iterable[Formula], figures: Figures) -> NotKept | None:
        for condition in conditions:
            if not condition.run(figures.base):
                words = f"The condition {condition.source} is not met."
                return NotKept("condition", condition.source, words)
        return None

    def _derive(self, given: Given, figures: Figures) -> None:
        assert given.formula is not None
        assert given.step is not None
        exact = given.unit.from_base(given.formula.run(figures.base))
        cell = cell_of(given, to_step(exact, given.step))
        figures.cells[given.symbol] = cell
        figures.base[given.symbol] = cell.base
        figures.bare[given.symbol] = cell.bare
        if cell.quantity is not None:
            figures.quantities[given.symbol] = cell.quantity

    def _work(self, line: MethodLine, figures: Figures) -> None:
        symbol, unit = line.symbol, line.unit
        base = line.formula.run(figures.base)
        bare = unit.from_base(base)
        find = self.finds.get(symbol)
        if find is not None:
            if find.accept.kind == "whole down":
                bare = floored(bare)
                base = unit.to_base(bare)
            figures.expected[symbol] = bare
        figures.base[symbol] = base
        figures.bare[symbol] = bare
        figures.quantities[symbol] = Quantity(base, unit.dimension, unit.is_point)

    def _plausible(self, figures: Figures) -> NotKept | None:
        for symbol, find in self.finds.items():
            expected = figures.expected[symbol]
            if find.plausible and not find.plausible[0] <= snap(expected) <= find.plausible[1]:
                shown = with_unit(f"{expected:.6g}", find.unit, expected)
                return NotKept("plausible", symbol, f"{symbol} is {shown}, which is not plausible.")
        return None

    def _apart(self, figures: Figures) -> NotKept | None:
        """Every slip at least two tolerances from its find, or why the draw is not kept."""
        chained = self._chained(figures.base) if self.needs_chain else {}
        for symbol, find in self.finds.items():
            expected = figures.expected[symbol]
            allowed = tolerance(
                find, expected, chained.get(symbol) if takes_allowance(find) else None
            )
            figures.tolerances[symbol] = allowed
            reach = allowed * 2
            exact = snap(expected)
            for slip in self.slips[symbol]:
                value = slip_value(slip, figures.bare)
                if value is not None and abs(snap(value) - exact) <= reach:
                    words = f"The slip '{slip.name}' lies too near to {symbol}."
                    return NotKept("slip", slip.name, words)
            if unit_slips.is_near(expected, find.unit, reach):
                words = f"A slip of the unit lies too near to {symbol}."
                return NotKept("unit slip", symbol, words)
        return None

    def _chained(self, base: Mapping[str, Any]) -> dict[str, Decimal]:
        """The finds when every method line is rounded to three figures and carried on."""
        rounded_base = dict(base)
        found: dict[str, Decimal] = {}
        try:
            for line in self.exercise.method:
                unit = line.unit
                exact = unit.from_base(line.formula.run(rounded_base))
                value = to_figures(exact, CHAIN_FIGURES)
                find = self.finds.get(line.symbol)
                if find is not None:
                    if find.accept.kind == "whole down":
                        value = floored(exact)
                    found[line.symbol] = value
                rounded_base[line.symbol] = unit.to_base(value)
        except (ArithmeticError, ValueError):
            # Rounding led out of the formula's range: no allowance from here on.
            return found
        return found


def slip_value(slip: Slip, bare: Mapping[str, Any]) -> Decimal | None:
    """What a slip gives for these shown numbers; ``None`` when it cannot be worked out.

    The caller has set the decimal context.
    """
    try:
        value = slip.formula.run(bare)
    except (ArithmeticError, ValueError):
        return None
    return value if isinstance(value, Decimal) else None


def is_whole_by_nature(formula: Formula, unit: Unit) -> bool:
    """Whether a line counts (its unit is a counting word, or it rounds to whole numbers)."""
    tree = formula.tree
    while isinstance(tree, Bracket):
        tree = tree.part
    if isinstance(tree, Call) and tree.name in {"floor", "ceil", "round", "count"}:
        return True
    return bool(unit.counts) and "/" not in unit.symbol


def _words(problem: Exception) -> str:
    if isinstance(problem, ArithmeticError):
        return "a division by zero, a root or logarithm out of range, or a result too large"
    return str(problem).rstrip(".")


_PLANS: dict[int, Plan] = {}


def plan_of(exercise: Exercise) -> Plan:
    """The plan of an exercise, made once as long as the exercise is in use."""
    plan = _PLANS.get(id(exercise))
    if plan is None or plan.exercise is not exercise:
        plan = Plan(exercise)
        if len(_PLANS) >= MOST_PLANS_KEPT:
            _PLANS.clear()
        _PLANS[id(exercise)] = plan
    return plan


__all__ = ["ZERO", "Cell", "Figures", "NotKept", "Plan", "cell_of", "plan_of", "slip_value"]
