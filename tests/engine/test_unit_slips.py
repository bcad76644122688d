"""Unit slips: the wrong values a unit mistake gives, worked by hand, and their names."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from trainer.engine.unit_slips import half_unit, is_near, slip_at, unit_slips
from trainer.maths.units import parse_unit


def named(expected: str, unit: str) -> dict[str, Decimal]:
    return {slip.name: slip.value for slip in unit_slips(Decimal(expected), parse_unit(unit))}


@pytest.mark.parametrize(
    ("expected", "unit", "name", "value"),
    [
        # A pitch of 1.5 mm over 60 marks is 25 um; left in millimetres it is 0.025.
        ("25", "um/mark", "1000 times too small", "0.025"),
        # 40.3 kg given away in a year, left in grams.
        ("40.3", "kg", "1000 times too large", "40300"),
        ("5.19", "s", "10 times too large", "51.9"),
        ("5.19", "s", "100 times too small", "0.0519"),
        ("3161.2", "mm2", "1 000 000 times too small", "0.0031612"),
        ("2", "m3", "1 000 000 000 times too large", "2000000000"),
        # 5.497787144 m/s left per minute: 329.8672286 (edge speed of a 75 mm burr at 1400 1/min).
        ("5.497787144", "m/s", "60 times too large", "329.86722864"),
        # 44.7761194 m3/h left per second: 0.0124378109.
        ("44.7761194", "m3/h", "3600 times too small", "0.01243781094444"),
        ("3.4", "kg/day", "24 times too large", "81.6"),
        ("2", "m/s", "86 400 times too large", "172800"),
        # 26.67 % given as a share.
        ("26.67", "%", "share given for percent", "0.2667"),
        ("0.2667", "", "percent given for the plain number", "26.67"),
        # 5 kg in pounds: 5 / 0.45359237 = 11.02.
        ("5", "kg", "pounds given for kilograms", "11.02311310924"),
        ("18", "g", "ounces given for grams", "0.63493131509245"),
        # 93.96 degC in kelvin; a rise of 40.6 K with 273.15 added.
        ("93.96", "degC", "273.15 added", "367.11"),
        ("40.6", "K", "273.15 added", "313.75"),
        ("40.6", "K", "273.15 taken off", "-232.55"),
        # Grams per second turned upside down: 18.2 g in 4.9 s; 4.9/18.2 = 0.2692307692.
        ("4", "g/s", "upside down", "0.25"),
        # 8 s on and 22 s off: 100*8/30 = 26.67 %; turned over, 100*30/8 = 375 %.
        ("25", "%", "upside down", "400"),
        ("3.148", "%", "sign turned", "-3.148"),
    ],
)
def test_a_slip_has_its_name_and_value(expected: str, unit: str, name: str, value: str) -> None:
    assert float(named(expected, unit)[name]) == pytest.approx(float(value), rel=1e-12)


def test_what_does_not_belong_to_a_unit_is_not_offered() -> None:
    seconds = named("5.19", "s")
    assert "273.15 added" not in seconds
    assert "pounds given for kilograms" not in seconds
    assert "share given for percent" not in seconds
    # A joule holds a kilogram in its base units, but nobody mixes pounds into it.
    assert "pounds given for kilograms" not in named("10.4", "J")
    assert "273.15 added" not in named("3", "J/(kg K)")
    assert "24 times too large" not in named("6", "lock")


def test_of_zero_only_the_offsets_are_left() -> None:
    assert unit_slips(Decimal(0), parse_unit("s")) == ()
    assert set(named("0", "degC")) == {"273.15 added", "273.15 taken off"}


def test_one_value_has_one_name() -> None:
    # 10 upside down is 0.1, which is also 100 times too small: the first in the order is the name.
    slips = unit_slips(Decimal(10), parse_unit("s"))
    assert [slip.name for slip in slips if slip.value == Decimal("0.1")] == ["100 times too small"]


def test_every_slip_has_a_remark_in_whole_sentences() -> None:
    for unit in ("s", "kg", "g", "%", "", "degC", "K", "um/mark", "lock", "m3/h"):
        for slip in unit_slips(Decimal("7.3"), parse_unit(unit)):
            assert slip.remark[0].isupper() or slip.remark[0].isdigit()
            assert slip.remark.endswith(".")


@pytest.mark.parametrize(
    ("expected", "unit", "reach", "near"),
    [
        ("1", "", "0", True),  # one upside down is one
        ("1.01", "s", "0.02", True),  # 1/1.01 = 0.990, 0.0199 away
        ("1.01", "s", "0.01", False),
        ("0.004", "g", "0.01", True),  # the sign turned is 0.008 away
        ("5.19", "s", "0.1", False),
        ("5.19", "s", "4.8", True),  # ten times too small is 4.67 away
        ("2", "kg", "1.1", True),  # pounds: 2 * 0.4536 = 0.907, 1.093 away
        ("2", "kg", "1.0", False),
        ("100", "%", "0", True),
    ],
)
def test_near_the_answer(expected: str, unit: str, reach: str, *, near: bool) -> None:
    assert is_near(Decimal(expected), parse_unit(unit), Decimal(reach)) is near


values = st.decimals(-(10**8), 10**8, allow_nan=False, places=6)
units = st.sampled_from(["s", "kg", "g/s", "%", "", "degC", "K", "lock", "um/mark", "m3/h"])


@settings(max_examples=200)
@given(expected=values, unit=units)
def test_no_slip_is_the_right_value_and_no_value_comes_twice(expected: Decimal, unit: str) -> None:
    found = [slip.value for slip in unit_slips(expected, parse_unit(unit))]
    assert expected not in found
    assert len(found) == len(set(found))


@settings(max_examples=200)
@given(expected=values, unit=units, reach=st.decimals(0, 1000, allow_nan=False, places=4))
def test_nearness_agrees_with_the_slips_themselves(
    expected: Decimal, unit: str, reach: Decimal
) -> None:
    parsed = parse_unit(unit)
    distances = [abs(slip.value - expected) for slip in unit_slips(expected, parsed)]
    if any(distance <= reach for distance in distances):
        assert is_near(expected, parsed, reach)
    elif expected not in (1, -1, 100, -100):
        assert not is_near(expected, parsed, reach)


def percent(value: Decimal) -> Decimal:
    return abs(value) / 100


@settings(max_examples=300)
@given(
    expected=values.filter(lambda value: abs(value) > 1),
    unit=units,
    place=st.integers(0, 40),
    off=st.decimals(Decimal("-0.02"), Decimal("0.02"), places=4),
)
def test_a_slip_is_found_where_the_accept_rule_takes_it(
    expected: Decimal, unit: str, place: int, off: Decimal
) -> None:
    """The quick search finds what looking at every slip in turn finds."""
    parsed = parse_unit(unit)
    slips = unit_slips(expected, parsed)
    answer = slips[place % len(slips)].value * (1 + off)
    tolerance = percent(expected)
    found = slip_at(answer, expected, parsed, tolerance, percent)
    fitting = [
        slip
        for slip in slips
        if abs(answer - slip.value) <= max(percent(slip.value), half_unit(slip.value))
    ]
    if abs(off) < Decimal("0.0099"):
        assert found is not None
    if found is not None:
        assert found.name == fitting[0].name
    elif fitting:
        # Beyond the find's own tolerance, scaled, by no more than the last figure of 28.
        edge = min(abs(abs(answer - slip.value) - percent(slip.value)) for slip in fitting)
        assert edge < abs(answer) * Decimal("1e-20")


@pytest.mark.parametrize(
    ("answer", "name"),
    [
        # Within 0.05 s of 0.00519 s lies 0.04 s as well; scaled, the tolerance is 0.00005 s.
        ("0.00519", "1000 times too small"),
        ("0.00523", "1000 times too small"),
        ("0.04", ""),
        ("0", ""),
        # A thousand times too large: half a unit in the third figure counts.
        ("5190", "1000 times too large"),
        ("5194", "1000 times too large"),
        ("5196", ""),
    ],
)
def test_a_stated_tolerance_scales_with_a_slip_that_is_a_ratio(answer: str, name: str) -> None:
    found = slip_at(
        Decimal(answer),
        Decimal("5.19"),
        parse_unit("s"),
        Decimal("0.05"),
        lambda _: Decimal("0.05"),
    )
    assert (found.name if found else "") == name


def test_a_tolerance_wider_than_the_value_still_names_a_slip() -> None:
    found = slip_at(Decimal(1000), Decimal(1), parse_unit("s"), Decimal(2), lambda _: Decimal(2))
    assert found is not None
    assert found.name == "1000 times too large"
