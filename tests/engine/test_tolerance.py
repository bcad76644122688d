"""Tolerances and bands: stated, for rounding, for safety; the band printed is the band used."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from tests.engine.blocks import LAG, exercise_of
from trainer.engine.definition import Accept, Find
from trainer.engine.draw import draw_key_for
from trainer.engine.outcome import Sheet
from trainer.engine.sheet import make, make_from_values
from trainer.engine.tolerance import band, stated, takes_allowance, tolerance
from trainer.maths.rounding import to_figures, within
from trainer.maths.units import parse_unit

SAMPLE = {"m": Decimal("18.0"), "q": Decimal("3.8"), "z": Decimal("0.45")}


def find(kind: str, value: str = "0", **more: object) -> Find:
    accept = Accept(kind, Decimal(value))  # type: ignore[arg-type]
    return Find("t", "time", parse_unit("s"), accept, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("kind", "value", "expected", "allowed"),
    [
        ("percent", "1", "50", "0.5"),
        ("percent", "2", "-50", "1"),
        ("absolute", "0.05", "0.62", "0.05"),
        ("points", "0.5", "12.5", "0.5"),
        ("figures", "3", "5.187", "0.005"),
        ("figures", "3", "112394", "500"),
        ("figures", "2", "0.0123", "0.0005"),
        ("figures", "3", "0", "0"),
        ("exact", "0", "7", "0"),
        ("whole down", "0", "7", "0"),
    ],
)
def test_stated_tolerances(kind: str, value: str, expected: str, allowed: str) -> None:
    assert stated(find(kind, value).accept, Decimal(expected)) == Decimal(allowed)


def test_rounding_is_allowed_for_unless_strict_exact_or_safe() -> None:
    assert takes_allowance(find("percent", "1"))
    assert not takes_allowance(find("percent", "1", strict=True))
    assert not takes_allowance(find("exact"))
    assert not takes_allowance(find("percent", "1", safe_side="higher"))


def test_the_larger_of_stated_and_rounding() -> None:
    expected = Decimal("5.186842")
    assert tolerance(find("percent", "1"), expected, Decimal("5.19")) == Decimal("0.05186842")
    assert tolerance(find("percent", "0.01"), expected, Decimal("5.19")) == Decimal("0.003158")
    assert tolerance(find("percent", "0.01"), expected, None) == Decimal("0.0005186842")
    strict = find("percent", "0.01", strict=True)
    assert tolerance(strict, expected, Decimal("5.19")) == Decimal("0.0005186842")
    assert tolerance(find("exact"), Decimal(5), Decimal("5.19")) == 0


def test_a_safety_find_allows_for_its_last_line_rounded_to_the_safe_side() -> None:
    # 21.349 s, three figures upwards 21.4 s: 0.051 s more than stated (0.01 %).
    longer = find("percent", "0.01", safe_side="higher")
    assert tolerance(longer, Decimal("21.349"), None) == Decimal("0.051")
    lower = find("percent", "0.01", safe_side="lower")
    assert tolerance(lower, Decimal("21.349"), None) == Decimal("0.049")
    assert tolerance(find("percent", "3", safe_side="higher"), Decimal("21.349"), None) == Decimal(
        "0.64047"
    )


def test_rounding_is_carried_on_from_line_to_line() -> None:
    """18.0 / 3.8 = 4.74 to three figures; 0.45 + 4.74 = 5.19; exact is 5.1868421."""
    block = LAG.replace("within 1 %", "within 0.001 %")
    sheet = make_from_values(exercise_of(block), SAMPLE)
    assert isinstance(sheet, Sheet)
    assert abs(sheet.tolerances["t"] - Decimal("0.0031578947")) < Decimal("1e-9")
    # The band ends on the rounded answer, and that edge is inside.
    assert sheet.bands["t"].high == Decimal("5.190")
    assert within(Decimal("5.19"), sheet.bands["t"].low, sheet.bands["t"].high)


def test_rounding_that_leads_out_of_range_is_not_allowed_for() -> None:
    block = LAG.replace("f = 'm / q'", "f = 'm / q'\nk = '1 s / sqrt(1 - f / (4.737 s))'").replace(
        "t = 'z + f'", "t = 'z + f + 0 * k'"
    )
    sheet = make_from_values(exercise_of(block), SAMPLE)
    assert isinstance(sheet, Sheet), sheet
    assert abs(sheet.tolerances["t"] - Decimal("0.05186842105")) < Decimal("1e-10")


@pytest.mark.parametrize(
    ("expected", "allowed", "low", "high"),
    [
        ("5.186842105", "0.05186842105", "5.14", "5.23"),
        ("0.62", "0.05", "0.57", "0.67"),
        ("112.3936", "1.123936", "111.3", "113.5"),
        ("45213", "452.13", "44770", "45660"),
        ("0.0727272", "0.00145454", "0.0713", "0.0741"),
        ("-3.148", "0.3", "-3.44", "-2.85"),
        ("0", "0.05", "-0.05", "0.05"),
    ],
)
def test_bands_are_rounded_inward(expected: str, allowed: str, low: str, high: str) -> None:
    found = band(find("percent"), Decimal(expected), Decimal(allowed))
    assert (found.low_text, found.high_text) == (low, high)
    assert (found.low, found.high) == (Decimal(low), Decimal(high))
    assert found.unit == "s"


def test_an_exact_band_is_one_number() -> None:
    found = band(find("exact"), Decimal("99.99999999999999999999999998"), Decimal(0))
    assert found.low == found.high == 100
    assert found.low_text == "100"


def test_a_safety_band_is_the_safe_half() -> None:
    longer = band(find("percent", "3", safe_side="higher"), Decimal("21.34893316"), Decimal("0.64"))
    assert (longer.low_text, longer.high_text) == ("21.3489", "21.9")
    # The full figures of a calculator are inside, three figures to the unsafe side are not.
    assert within(Decimal("21.34893316"), longer.low, longer.high)
    assert within(Decimal("21.4"), longer.low, longer.high)
    assert not within(Decimal("21.3"), longer.low, longer.high)
    lower = band(find("percent", "2", safe_side="lower"), Decimal("0.1178"), Decimal("0.0023"))
    assert (lower.low_text, lower.high_text) == ("0.1155", "0.1178")
    assert not within(Decimal("0.118"), lower.low, lower.high)


decimals = st.decimals("0.0001", "100000", places=4, allow_nan=False)


@given(decimals, st.decimals("0.1", "10", places=1, allow_nan=False))
def test_a_band_never_promises_more_than_the_tolerance(expected: Decimal, percent: Decimal) -> None:
    made = find("percent", str(percent))
    allowed = tolerance(made, expected, to_figures(expected, 3))
    found = band(made, expected, allowed)
    assert expected - allowed <= found.low <= expected <= found.high <= expected + allowed
    assert Decimal(found.low_text) == found.low
    assert Decimal(found.high_text) == found.high
    # At most a fifth of the tolerance is lost on a side.
    assert found.high - expected >= allowed * Decimal("0.8")
    # Whoever rounds to three figures is inside.
    assert within(to_figures(expected, 3), found.low, found.high)


@given(decimals, st.sampled_from(["higher", "lower"]))
def test_whoever_rounds_to_the_safe_side_is_inside(expected: Decimal, side: str) -> None:
    made = find("percent", "1", safe_side=side)
    found = band(made, expected, tolerance(made, expected, None))
    for figures in (3, 4, 5, 6):
        rounded = to_figures(expected, figures, "up" if side == "higher" else "down")
        assert within(rounded, found.low, found.high)
    assert within(expected, found.low, found.high)


def test_no_slip_lies_in_the_band_of_a_kept_draw() -> None:
    exercise = exercise_of(LAG)
    for number in range(100):
        sheet = make(exercise, draw_key_for(exercise.hash, number))
        bare = sheet.bare
        for value in (bare["m"] / bare["q"], bare["m"] / bare["q"] - bare["z"]):
            assert not within(value, sheet.bands["t"].low, sheet.bands["t"].high)
            assert abs(value - sheet.bands["t"].expected) > 2 * sheet.tolerances["t"]
