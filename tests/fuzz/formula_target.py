"""The formula compiler under fuzzing: what must hold for every text whatsoever.

Run at length with the coverage-guided fuzzer, where it is installed (``pip install atheris``):

    python tests/fuzz/formula_target.py tests/fuzz/corpus/formula -max_len=400 -runs=1000000

Inputs that once failed stand in ``regress/formula`` and, with the corpus, are run by every test
run.
"""

from __future__ import annotations

import importlib
import sys
from decimal import Decimal
from typing import Any

from trainer.engine.formula import Formula, FormulaError, Sort, compile_formula, computing
from trainer.engine.formula_sorts import DATE, LOG
from trainer.maths.units import parse_unit

KNOWN: dict[str, Sort] = {
    "m": Sort.of(parse_unit("g")),
    "q": Sort.of(parse_unit("g/s")),
    "t": Sort.of(parse_unit("degC")),
    "n": Sort.of(parse_unit("")),
    "x": Sort.of(parse_unit("g"), "series"),
    "w": LOG,
    "d": DATE,
}
VALUES: dict[str, Any] = {
    "m": Decimal("0.018"),
    "q": Decimal("0.0038"),
    "t": Decimal("295.15"),
    "n": Decimal(7),
    "x": (Decimal("0.017"), Decimal("0.018"), Decimal("0.019")),
    "w": ((Decimal(0), Decimal(12)), (Decimal(30), Decimal(42))),
    "d": Decimal(739_677 * 86_400),
}
SHAPES = {"number": Decimal, "date": Decimal, "truth": bool, "series": tuple, "log": tuple}


def run(data: bytes) -> Formula | None:
    """Compile the bytes as a formula (the first says: bare or not); hold every promise to it."""
    if not data:
        return None
    bare, text = bool(data[0] & 1), data[1:].decode("utf-8", "replace")
    try:
        formula = compile_formula(text, bare=bare)
    except FormulaError as refused:
        _told(refused, text)
        return None
    assert len(text) <= 2000
    assert compile_formula(text, bare=bare) == formula
    sorts = {name: Sort(sort.shape) for name, sort in KNOWN.items()} if bare else KNOWN
    sort, problems = formula.check(sorts)
    for problem in problems:
        _told(problem, text)
    assert sort is not None or problems
    if problems or sort is None:
        return formula
    assert formula.names <= KNOWN.keys()
    formula.symbols()
    formula.figures(dict.fromkeys(formula.names, "-3 g"))
    try:
        value = computing(lambda: formula.run(VALUES))
    except (ArithmeticError, ValueError):
        return formula
    assert isinstance(value, SHAPES[sort.shape])
    if isinstance(value, Decimal):
        assert value.is_finite()
        assert abs(value.adjusted()) <= 1300
    return formula


def _told(refused: FormulaError, text: str) -> None:
    """A problem stands inside the text, says what to do, and is no longer than a person reads."""
    assert 1 <= refused.column <= len(text) + 1
    assert refused.cure
    assert len(refused.cure) + len(str(refused)) < 5000


def main() -> None:
    """Run the coverage-guided fuzzer with the arguments of the command line."""
    atheris = importlib.import_module("atheris")  # not among the project's requirements

    def target(data: bytes) -> None:
        run(data)

    atheris.instrument_all()
    atheris.Setup(sys.argv, target)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
