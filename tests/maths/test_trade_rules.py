"""Rules of the trade: common practice, no source; pounds printed beside kilograms agree."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import InputError
from trainer.maths.trade_rules import (
    BURR_LIVES,
    CARE,
    COATED_FACTOR,
    RUN_IN_KG,
    printed_duty,
    printed_rest_s,
)
from trainer.maths.units import convert, parse_unit


@pytest.mark.parametrize(
    ("pounds", "kilograms"),
    [
        ("660", "299.4"), ("880", "399.2"), ("1300", "589.7"), ("1640", "743.9"), ("1700", "771.1"),
        ("1800", "816.5"), ("3300", "1496.9"),
    ],
)  # fmt: skip
def test_lives_printed_in_pounds(pounds: str, kilograms: str) -> None:
    exact = convert(Decimal(pounds), parse_unit("lb"), parse_unit("kg"))
    assert round(exact, 1) == Decimal(kilograms)


def test_ranges_are_ranges() -> None:
    for low, high, sure in [
        *((row.low_kg, row.high_kg, row.sure) for row in BURR_LIVES),
        *((row.low_kg, row.high_kg, row.sure) for row in CARE),
    ]:
        assert 0 < low <= high
        assert sure in {"A", "B", "C"}
    assert COATED_FACTOR[0] < COATED_FACTOR[1]
    assert RUN_IN_KG[0] < RUN_IN_KG[1]


def test_an_eight_second_dose_under_twenty_on_thirty_off() -> None:
    assert printed_duty(20, 30) == 0.4
    assert printed_rest_s(8, 20, 30) == 12
    # three minutes on, two off
    assert printed_duty(180, 120) == 0.6


@given(st.floats(0.1, 100), st.floats(0.1, 100), st.floats(0, 100))
def test_run_and_rest_make_the_printed_duty(run: float, on: float, off: float) -> None:
    assert printed_duty(run, printed_rest_s(run, on, off)) == pytest.approx(printed_duty(on, off))


def test_no_seconds_on_is_no_duty() -> None:
    with pytest.raises(InputError, match="on_s"):
        printed_duty(0, 30)
    with pytest.raises(InputError, match="on_s"):
        printed_rest_s(8, 0, 30)
