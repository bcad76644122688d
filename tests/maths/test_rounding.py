"""Rounding: ties by hand, bands inward, snapping."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.strategies import plain_decimals
from trainer.errors import InputError
from trainer.maths.quantity import Quantity
from trainer.maths.rounding import (
    inward,
    snapped,
    to_figures,
    to_places,
    to_step,
    within,
)
from trainer.maths.units import parse_unit


@pytest.mark.parametrize(
    ("value", "figures", "mode", "rounded"),
    [
        ("2.345", 3, "half even", "2.34"),
        ("2.355", 3, "half even", "2.36"),
        ("2.345", 3, "half away", "2.35"),
        ("-2.345", 3, "half away", "-2.35"),
        ("2.341", 3, "up", "2.35"),
        ("-2.341", 3, "up", "-2.34"),
        ("2.349", 3, "down", "2.34"),
        ("-2.341", 3, "down", "-2.35"),
        ("99950", 3, "half even", "100000"),
        ("0.00123456", 3, "half even", "0.00123"),
        ("0", 3, "up", "0"),
        ("123", 5, "down", "123"),
    ],
)
def test_figures(value: str, figures: int, mode: str, rounded: str) -> None:
    assert to_figures(Decimal(value), figures, mode) == Decimal(rounded)


@pytest.mark.parametrize(
    ("value", "places", "mode", "rounded"),
    [
        ("2.25", 1, "half even", "2.2"),
        ("2.35", 1, "half even", "2.4"),
        ("2.25", 1, "half away", "2.3"),
        ("2.01", 1, "up", "2.1"),
        ("-2.01", 1, "up", "-2.0"),
        ("2.09", 1, "down", "2.0"),
        ("7", 2, "up", "7.00"),
    ],
)
def test_places(value: str, places: int, mode: str, rounded: str) -> None:
    assert str(to_places(Decimal(value), places, mode)) == rounded


@pytest.mark.parametrize(
    ("value", "step", "mode", "rounded"),
    [
        ("18.13", "0.05", "half even", "18.15"),
        ("18.125", "0.05", "half even", "18.10"),
        ("18.125", "0.05", "half away", "18.15"),
        ("18.11", "0.05", "up", "18.15"),
        ("18.14", "0.05", "down", "18.10"),
        ("346", "100", "half even", "300"),
        ("-7", "5", "down", "-10"),
        ("0.3", "0.1", "down", "0.3"),
    ],
)
def test_step(value: str, step: str, mode: str, rounded: str) -> None:
    assert to_step(Decimal(value), Decimal(step), mode) == Decimal(rounded)


@pytest.mark.parametrize("step", ["0", "-1", "NaN", "Infinity"])
def test_a_step_must_be_above_zero(step: str) -> None:
    with pytest.raises(InputError, match="step"):
        to_step(Decimal(1), Decimal(step))


@pytest.mark.parametrize("mode", ["", "nearest", "HALF EVEN"])
def test_unknown_modes_are_refused(mode: str) -> None:
    with pytest.raises(InputError, match="half even"):
        to_figures(Decimal(1), 3, mode)


@pytest.mark.parametrize("figures", [0, -1, 61])
def test_figures_have_bounds(figures: int) -> None:
    with pytest.raises(InputError, match="figures"):
        to_figures(Decimal(1), figures)


def test_one_figure_and_sixty_are_allowed() -> None:
    assert to_figures(Decimal("2.6"), 1) == 3
    long = Decimal("1." + "3" * 70)
    assert len(str(to_figures(long, 60))) == 61


def test_snapping_keeps_twenty_figures() -> None:
    assert str(snapped(Decimal("1." + "3" * 30))) == "1." + "3" * 19


def test_snapping_finds_the_whole_number_that_was_meant() -> None:
    # 346 kg at 3.46 kg/day last 100 days; kg/day in base units cannot be kept exactly
    days = (
        Quantity.of(Decimal(346), parse_unit("kg"))
        / Quantity.of(Decimal("3.46"), parse_unit("kg/day"))
        / Quantity.of(Decimal(1), parse_unit("day"))
    )
    assert snapped(days.value) == 100
    assert snapped(Decimal("0.1") * 3) == Decimal("0.3")
    # it does not hide a real difference
    assert snapped(Decimal("99.999999999999999")) != 100


@given(st.integers(1, 5000), st.integers(1, 999))
def test_whole_days_survive_the_way_through_base_units(days: int, hundredths: int) -> None:
    rate = Decimal(hundredths) / 100
    total = Quantity.of(rate * days, parse_unit("kg"))
    left = (
        total / Quantity.of(rate, parse_unit("kg/day")) / Quantity.of(Decimal(1), parse_unit("day"))
    )
    assert snapped(left.value) == days


@pytest.mark.parametrize(
    ("low", "high", "places", "band"),
    [
        ("5.1351", "5.2389", 2, ("5.14", "5.23")),
        ("5.13", "5.24", 2, ("5.13", "5.24")),
        ("-1.26", "-1.11", 1, ("-1.2", "-1.2")),
        ("5.131", "5.139", 2, ("5.131", "5.139")),
        ("0", "10", 0, ("0", "10")),
    ],
)
def test_a_band_is_rounded_inward(low: str, high: str, places: int, band: tuple[str, str]) -> None:
    assert inward(Decimal(low), Decimal(high), places) == tuple(map(Decimal, band))


@given(plain_decimals(), plain_decimals("0", "1000"), st.integers(0, 4))
def test_a_printed_band_never_promises_more(low: Decimal, width: Decimal, places: int) -> None:
    inner = inward(low, low + width, places)
    assert low <= inner[0] <= inner[1] <= low + width


def test_the_edge_is_inside() -> None:
    low, high = Decimal("4.95"), Decimal("5.05")
    assert within(low, low, high)
    assert within(high, low, high)
    assert within(Decimal("5.0500000000000000000000000001"), low, high)
    assert not within(Decimal("5.0500001"), low, high)
    assert not within(Decimal("4.9499999"), low, high)
