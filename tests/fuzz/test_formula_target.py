"""The kept inputs of the formulas' fuzzing, and random bytes; and that a fault is found."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from tests.fuzz import formula_target
from trainer.engine import formula_functions
from trainer.engine.formula import Formula, compile_formula

HERE = Path(__file__).parent
KEPT = sorted((HERE / "corpus" / "formula").iterdir()) + sorted(
    path for path in (HERE / "regress" / "formula").iterdir() if path.suffix != ".md"
)
PIECES = [
    "m", "q", "t", "n", "x", "w", "d", "2", "0.5", "3 g", "5 degC", "10 min", "+", "-", "*", "/",
    "^", "(", ")", ",", "max(", "mean(", "sqrt(", "when(", "exp(", "<", "==", " and ",
    " not ", "pi",
]  # fmt: skip


@pytest.mark.parametrize("file", KEPT, ids=lambda file: f"{file.parent.parent.name}-{file.name}")
def test_kept_inputs(file: Path) -> None:
    data = file.read_bytes()
    assert len(data) <= 4096
    formula_target.run(data)


def test_the_corpus_reaches_formulas_and_refusals() -> None:
    found = [formula_target.run(file.read_bytes()) for file in KEPT]
    formulas = [each for each in found if isinstance(each, Formula)]
    assert len(formulas) > 30
    assert len(found) - len(formulas) > 15


@settings(max_examples=400)
@given(data=st.binary(max_size=60))
def test_any_bytes(data: bytes) -> None:
    formula_target.run(data)


@settings(max_examples=400)
@given(bare=st.integers(0, 1), pieces=st.lists(st.sampled_from(PIECES), max_size=14))
def test_near_formulas(bare: int, pieces: list[str]) -> None:
    formula_target.run(bytes([bare]) + "".join(pieces).encode())


def test_a_planted_fault_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """The logarithm of zero as decimals give it, without end: the target must not let it pass."""
    monkeypatch.setitem(formula_functions.ONE_NUMBER, "ln", lambda value: value.ln())
    compile_formula.cache_clear()
    try:
        with pytest.raises(AssertionError):
            formula_target.run(b"\x01ln(n - 7)")
    finally:
        compile_formula.cache_clear()
