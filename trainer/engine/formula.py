"""An author's formula: read once, checked for its units, worked out many times.

The text goes through ``formula_tokens`` and ``formula_tree`` (both keep every bound),
``formula_check`` (units) and ``formula_closures``. No text ever reaches Python's own compiler.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal, DivisionByZero, Overflow, getcontext, setcontext
from functools import lru_cache
from typing import Any

from trainer.engine.formula_check import checked
from trainer.engine.formula_closures import Run, closure
from trainer.engine.formula_errors import FormulaError, FormulaValueError, cannot_compute
from trainer.engine.formula_functions import CONTEXT, FUNCTIONS
from trainer.engine.formula_nodes import Call, Name, Node, Number, every_part
from trainer.engine.formula_print import figures_of, symbols_of
from trainer.engine.formula_sorts import Sort, sort_of
from trainer.engine.formula_tree import tree_of
from trainer.maths.quantity import Quantity
from trainer.maths.units import Dimension, Unit

__all__ = ["Formula", "FormulaError", "FormulaValueError", "Sort", "compile_formula", "computing"]

_MOST_SORTS_KEPT = 16


class Formula:
    """A compiled formula. Equal when written alike; it pickles as its text.

    Attributes:
        source: the text as written.
        is_bare: made for bare numbers (a slip), not for quantities.
        names: the symbols it uses, ``pi`` not among them.
        functions: the functions it calls.
        run: the closure itself, for callers that keep values in base units (or bare numbers for a
            slip) and have set the decimal context with ``computing``.
    """

    __slots__ = ("_sorts", "functions", "is_bare", "names", "run", "source", "tree")

    def __init__(self, source: str, *, bare: bool) -> None:
        self.source = source
        self.is_bare = bare
        self.tree: Node = tree_of(source, bare=bare)
        parts = tuple(every_part(self.tree))
        self.names = frozenset(
            part.name for part in parts if isinstance(part, Name) and part.name != "pi"
        )
        self.functions = frozenset(part.name for part in parts if isinstance(part, Call))
        self.run: Run = computing(lambda: closure(self.tree, bare=bare))
        self._sorts: dict[tuple[object, ...], Sort] = {}

    def __repr__(self) -> str:
        return f"Formula({self.source!r})"

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Formula):
            return NotImplemented
        return self.source == other.source and self.is_bare == other.is_bare

    def __hash__(self) -> int:
        return hash((self.source, self.is_bare))

    def __reduce__(self) -> tuple[Any, ...]:
        return _again, (self.source, self.is_bare)

    @property
    def catalogue_functions(self) -> frozenset[str]:
        """The functions it calls that stand in the catalogue, each with a source of its own."""
        return self.functions - FUNCTIONS.keys()

    @property
    def units(self) -> frozenset[Unit]:
        """The units of its literals."""
        return frozenset(
            part.unit for part in every_part(self.tree) if isinstance(part, Number) and part.unit
        )

    def place_of(self, name: str) -> int:
        """Where a symbol first stands in the text, from 0."""
        return min(
            part.start
            for part in every_part(self.tree)
            if isinstance(part, Name) and part.name == name
        )

    def check(
        self, symbols: Mapping[str, Unit | Dimension | Sort]
    ) -> tuple[Sort | None, tuple[FormulaError, ...]]:
        """What the formula measures, and every place where its units do not agree."""
        return checked(
            self.source, self.tree, {name: sort_of(value) for name, value in symbols.items()}
        )

    def sort(self, symbols: Mapping[str, Unit | Dimension | Sort]) -> Sort:
        """What the formula measures.

        Raises:
            FormulaError: the first place where units do not agree.
        """
        sort, problems = self.check(symbols)
        if problems:
            raise problems[0]
        assert sort is not None, "a formula without a problem has a sort"
        return sort

    def dimension(self, env: Mapping[str, Unit | Dimension | Sort]) -> Dimension:
        """The dimension of the result.

        Raises:
            FormulaError: the first place where units do not agree.
        """
        return self.sort(env).dimension

    def quantity(self, env: Mapping[str, Quantity]) -> Quantity:
        """The value over quantities; a condition gives a bare 1 or 0.

        Raises:
            FormulaError: units that do not agree, or a symbol that is not in ``env``.
            FormulaValueError: ENG-140 when there is no value for these figures.
        """
        key = tuple(
            (name, env[name].dimension, env[name].point)
            for name in sorted(self.names)
            if name in env
        )
        sort = self._sorts.get(key)
        if sort is None:
            sort = self.sort(
                {name: Sort("number", dimension, point) for name, dimension, point in key}
            )
            if len(self._sorts) < _MOST_SORTS_KEPT:
                self._sorts[key] = sort
        value = self._worked_out({name: env[name].value for name in self.names})
        return Quantity(value, sort.dimension, sort.point)

    def holds(self, env: Mapping[str, Quantity]) -> bool:
        """Whether a condition is met."""
        return bool(self.quantity(env).value)

    def bare(self, env: Mapping[str, Decimal]) -> Decimal:
        """The value over bare numbers in the shown units.

        Raises:
            FormulaError: a symbol that is not in ``env``.
            FormulaValueError: ENG-140 when there is no value for these figures.
        """
        missing = self.names - env.keys()
        if missing:
            self.sort(dict.fromkeys(self.names - missing, Sort()))
        return self._worked_out(env)

    def _worked_out(self, values: Mapping[str, Any]) -> Decimal:
        try:
            value = computing(lambda: self.run(values))
        except (ArithmeticError, ValueError, TypeError) as problem:
            raise FormulaValueError(
                cannot_compute, source=self.source, why=_why(problem)
            ) from problem
        return Decimal(value) if isinstance(value, bool) else value

    def symbols(self) -> str:
        """The formula as the working prints it, with symbols: ``z + m / q``."""
        return symbols_of(self.tree)

    def figures(self, texts: Mapping[str, str]) -> str:
        """The same with these texts for its symbols: ``0.45 s + 18.0 g / 3.8 g/s``."""
        return figures_of(self.tree, texts)


def computing(work: Callable[[], Any]) -> Any:  # noqa: ANN401 - what the work returns
    """Do decimal work in the engine's own context, whatever the process has set."""
    outer = getcontext()
    setcontext(CONTEXT)
    try:
        return work()
    finally:
        setcontext(outer)


@lru_cache(maxsize=8192)
def compile_formula(text: str, *, bare: bool = False) -> Formula:
    """Read and compile a formula.

    Args:
        text: the formula as the author wrote it.
        bare: for a slip: over bare numbers in the shown units; literals with units are refused.

    Raises:
        FormulaError: with the column of the first thing that cannot be read.

    Example:
        >>> compile_formula("z + m / q").symbols()
        'z + m / q'
    """
    return Formula(text, bare=bare)


def _again(source: str, bare: bool) -> Formula:  # noqa: FBT001 - as pickled
    return compile_formula(source, bare=bare)


def _why(problem: Exception) -> str:
    """A reason in words for the usual failures."""
    if isinstance(problem, DivisionByZero):
        return "something is divided by zero"
    if isinstance(problem, (Overflow, OverflowError)):
        return "the result is too large"
    if isinstance(problem, ArithmeticError):
        return "zero is divided by zero, or a root or logarithm of such a number does not exist"
    return str(problem)
