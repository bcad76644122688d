"""Axis scales: round steps, ends on ticks, labels."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from trainer.drawing.scale import Label, label, scale_for, with_room


@pytest.mark.parametrize(
    ("low", "high", "majors"),
    [
        ("4.6", "5.6", ["4.6", "4.8", "5.0", "5.2", "5.4", "5.6"]),
        ("0", "18", ["0", "5", "10", "15", "20"]),
        ("-7", "7", ["-10", "-5", "0", "5", "10"]),
        ("0.2", "0.93", ["0.2", "0.4", "0.6", "0.8", "1.0"]),
    ],
)
def test_round_ticks(low: str, high: str, majors: list[str]) -> None:
    scale = scale_for(Decimal(low), Decimal(high), most=5)
    assert [scale.label(value) for value in scale.majors()] == majors


def test_short_ticks_stand_between() -> None:
    scale = scale_for(Decimal(0), Decimal(20), most=5)
    assert scale.step == 5
    assert scale.minors()[:5] == (Decimal(1), Decimal(2), Decimal(3), Decimal(4), Decimal(6))


def test_whole_numbers_get_no_finer_ticks() -> None:
    scale = scale_for(Decimal(5), Decimal(7), most=5, least_step=Decimal(1))
    assert scale.majors() == (Decimal(5), Decimal(6), Decimal(7))
    assert scale.minors() == ()


@pytest.mark.parametrize(
    ("value", "step", "text"),
    [
        ("5", "0.2", "5.0"),
        ("-0.0", "0.01", "0.00"),
        ("1500", "500", "1500"),
        ("12345678900", "100000000", "1.23e10"),
        ("0.00000125", "0.00000005", "1.25e-6"),
        ("0", "0.00000005", "0e0"),
    ],
)
def test_labels(value: str, step: str, text: str) -> None:
    assert label(Decimal(value), Decimal(step)) == text


def test_a_label_without_room_is_left_out() -> None:
    row = [
        Label("4.6", Decimal(0), "start"),
        Label("4.8", Decimal(9)),
        Label("5.0", Decimal(50)),
        Label("5", Decimal(100), "end"),
    ]
    assert with_room(row, 30) == (True, False, True, True)


finite = st.decimals(min_value=-(10**9), max_value=10**9, places=6)


@settings(max_examples=200)
@given(low=finite, width=st.decimals(Decimal("0.000001"), 10**9, places=6), most=st.integers(2, 9))
def test_a_scale_holds_its_span_in_few_steps(low: Decimal, width: Decimal, most: int) -> None:
    scale = scale_for(low, low + width, most=most)
    assert scale.low <= low
    assert low + width <= scale.high
    assert 2 <= len(scale.majors()) <= most + 1
    assert scale.majors()[-1] == scale.high
    assert scale.at(scale.low) == 0
    assert scale.at(scale.high) == 100
    # Never more than five times too wide.
    assert scale.high - scale.low <= 5 * most * width
