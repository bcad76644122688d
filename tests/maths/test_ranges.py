"""What a number may be, and how a refusal reads."""

from __future__ import annotations

from decimal import Decimal

import pytest

from trainer.errors import InputError
from trainer.maths.ranges import (
    allowed_words,
    not_negative,
    number,
    one_of,
    positive,
    same_length,
    sequence,
    share,
    whole,
)


@pytest.mark.parametrize(
    ("low", "high", "above", "below", "words"),
    [
        (None, None, False, False, "a finite number"),
        (0, None, False, False, "at least 0"),
        (0, None, True, False, "above 0"),
        (None, 7, False, False, "at most 7"),
        (None, 7, False, True, "below 7"),
        (0, 1, True, True, "above 0 and below 1"),
    ],
)
def test_words(low: float | None, high: float | None, above: bool, below: bool, words: str) -> None:
    assert allowed_words(low, high, above=above, below=below) == words


def test_edges() -> None:
    assert number("x", 0, 0) == 0.0
    assert number("x", Decimal("0.5"), 0, 1) == 0.5
    assert not_negative("x", 0) == 0
    assert positive("x", 1e-300) == 1e-300
    assert share("x", 0.5) == 0.5
    assert number("x", 1, 0, 1) == 1
    assert sequence("x", [0, 1], 1, 0, 1) == (0, 1)
    with pytest.raises(InputError, match="at most 1"):
        sequence("x", [1.5], 1, 0, 1)
    with pytest.raises(InputError, match="x holds 0 values"):
        sequence("x", [])
    assert one_of("x", "a", ("a", "b")) == "a"
    with pytest.raises(InputError, match="x is 'c'; it must be one of a, b"):
        one_of("x", "c", ("a", "b"))
    for bad in (0, -1, float("nan"), float("inf")):
        with pytest.raises(InputError, match=r"x is .*above 0"):
            positive("x", bad)
    for bad in (0, 1, -0.1, 1.1):
        with pytest.raises(InputError, match="above 0 and below 1"):
            share("x", bad)
    with pytest.raises(InputError, match="at least 0"):
        not_negative("x", -1e-9)


@pytest.mark.parametrize("value", ["5", None, True, [1], 1j])
def test_only_numbers_are_numbers(value: object) -> None:
    with pytest.raises(InputError, match="a number"):
        number("x", value)  # type: ignore[arg-type]


def test_whole_numbers() -> None:
    assert whole("n", 3.0, 1, 5) == 3
    assert (whole("n", 1, 1, 5), whole("n", 5, 1, 5), whole("n", 0)) == (1, 5, 0)
    assert whole("n", 10**9) == 10**9
    with pytest.raises(InputError, match="a whole number at least 0"):
        whole("n", -1)
    for bad in (0, 6, 2.5):
        with pytest.raises(InputError, match="a whole number at least 1 and at most 5"):
            whole("n", bad, 1, 5)


def test_sequences() -> None:
    assert sequence("x", [1, Decimal(2)], 2, 0) == (1.0, 2.0)
    with pytest.raises(InputError, match=r"x\[1\] is -1"):
        sequence("x", [1, -1], 1, 0)
    with pytest.raises(InputError, match=r"x\[0\] is 0; it must be above 0"):
        sequence("x", [0], 1, 0, above=True)
    with pytest.raises(InputError, match="x holds 1 values; at least 2 are needed"):
        sequence("x", [1], 2)
    same_length("x", [1], "y", [2])
    with pytest.raises(InputError, match=r"y holds 2 values; as many as x holds \(1\)"):
        same_length("x", [1], "y", [2, 3])
