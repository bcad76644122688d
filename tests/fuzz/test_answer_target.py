"""The kept inputs of the answer reader's fuzzing, and random bytes; and that a fault is found."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from tests.fuzz import answer_target
from trainer.engine import answer_numbers

HERE = Path(__file__).parent
KEPT = sorted((HERE / "corpus" / "answer").iterdir()) + sorted(
    (HERE / "regress" / "answer").iterdir()
)


@pytest.mark.parametrize("file", KEPT, ids=lambda file: f"{file.parent.parent.name}-{file.name}")
def test_kept_inputs(file: Path) -> None:
    data = file.read_bytes()
    assert len(data) <= 4096
    answer_target.run(data)


def test_inputs_that_reached_new_ground() -> None:
    """What the coverage-guided fuzzer kept, one input a line in hexadecimal digits."""
    lines = (HERE / "corpus" / "answer-found.hex").read_text(encoding="ascii").split()
    assert len(lines) > 300
    for line in lines:
        answer_target.run(bytes.fromhex(line))


def test_the_corpus_reaches_values_questions_and_refusals() -> None:
    readings = [answer_target.run(file.read_bytes()) for file in KEPT]
    found = [reading for reading in readings if reading is not None]
    assert sum(reading.value is not None for reading in found) > 60
    assert sum(bool(reading.problem) for reading in found) > 40


@settings(max_examples=400)
@given(data=st.binary(max_size=60))
def test_any_bytes(data: bytes) -> None:
    answer_target.run(data)


@settings(max_examples=400)
@given(
    choice=st.integers(0, 255),
    text=st.text(alphabet="0123456789.,' -+/:eE%kgsmin\u00a0", max_size=20),
)
def test_near_numbers(choice: int, text: str) -> None:
    answer_target.run(bytes([choice]) + text.encode())


def test_a_planted_fault_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """Grouping taken without three digits after the separator: the target must not let it pass."""
    honest = answer_numbers.read_digits

    def careless(written: str) -> tuple[Decimal, ...] | None:
        values = honest(written)
        return values or (Decimal(written.replace(" ", "") or "0"),)

    monkeypatch.setattr(answer_numbers, "read_digits", careless)
    with pytest.raises(AssertionError):
        answer_target.run(b"\x00" + b"12 05")
