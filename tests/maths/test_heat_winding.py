"""Winding temperature by resistance and insulation classes; own readings are made up."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import InputError
from trainer.maths import ranges
from trainer.maths.heat_winding import (
    CLASS_DEGC,
    CLASSES,
    HOT_SPOT_ALLOWANCE_K,
    MATERIAL_CONSTANTS_K,
    coefficient_per_k,
    hot_spot_limit_degc,
    resistance_ratio,
    rise_limit_k,
    switch_off_ohm,
    winding_degc,
    winding_rise_k,
)

near = pytest.approx


def test_published_winding() -> None:
    # a physics forum's worked problem: 80 ohm at 20 degC, 100 ohm after 4 h, alpha 1/234.5 from
    # 0 degC, printed with a rounded alpha: 83.63 degC and 63.63 K
    assert winding_degc(80, 100, 20, 234.5) == near(83.63, abs=0.006)
    assert winding_degc(80, 100, 20, 234.5) == near(83.625, abs=1e-9)
    assert winding_rise_k(80, 100, 20, 20, 234.5) == near(63.625, abs=1e-9)
    assert winding_degc(80, 100, 20, 235) == near(83.75, abs=1e-9)


def test_own_readings() -> None:
    assert winding_degc(6.20, 8.05, 21.0, 234.5) == near(97.237903, abs=1e-6)
    assert winding_rise_k(6.20, 8.05, 21.0, 24.0, 234.5) == near(73.237903, abs=1e-6)
    assert winding_degc(3.40, 4.55, 25, 234.5) == near(112.772059, abs=1e-6)
    copper = winding_rise_k(3.40, 4.55, 25, 27, 234.5)
    assert copper == near(85.772059, abs=1e-6)
    assert rise_limit_k("B", "600 W and more") < copper < rise_limit_k("F", "600 W and more")
    assert winding_degc(3.40, 4.55, 25, 225) == near(109.558824, abs=1e-6)
    assert winding_rise_k(3.40, 4.55, 25, 27, 225) == near(82.558824, abs=1e-6)


@pytest.mark.parametrize(
    ("hot", "ratio"), [(100, 1.314341847), (125, 1.412573674), (145, 1.491159136)]
)
def test_resistance_ratios_of_copper(hot: float, ratio: float) -> None:
    assert resistance_ratio(20, hot, 234.5) == near(ratio, abs=1e-9)


def test_a_coefficient_belongs_to_its_temperature() -> None:
    at_zero, at_20 = coefficient_per_k(0, 234.5), coefficient_per_k(20, 234.5)
    assert at_zero == near(0.004264, abs=1e-6)
    assert at_20 == near(0.00392927, abs=1e-8)
    assert at_20 == near(0.00393, abs=1e-6)  # an engineering portal
    # 234.5 is 1/0.00393 - 20: appendix of a resistance meter's book
    assert coefficient_per_k(20, 1 / 0.00393 - 20) == near(at_20, rel=1e-3)
    # 50 to 58 ohm from 20 degC: right, and with the coefficient of 0 degC used from 20 degC
    right = winding_degc(50, 58, 20, 234.5)
    assert right == near(60.72, abs=0.005)
    assert 20 + (58 / 50 - 1) / at_20 == near(right)
    wrong = 20 + (58 / 50 - 1) / at_zero
    assert wrong == near(57.52, abs=0.005)
    assert wrong != near(right, abs=1)


def test_resistance_at_switch_off() -> None:
    times, readings = [20, 40, 60], [8.06, 7.99, 7.93]
    by_logarithm = switch_off_ohm(times, readings)
    assert by_logarithm == near(8.124192, abs=1e-6)
    assert switch_off_ohm(times, readings, "straight") == near(8.123333, abs=1e-6)
    assert winding_degc(6.20, by_logarithm, 21, 234.5) == near(100.295341, abs=1e-5)
    assert winding_degc(6.20, 8.06, 21, 234.5) == near(97.65, abs=0.005)


def test_material_constants_differ_by_document() -> None:
    # 234.5 and 225: a trade page; 235: appendix of a resistance meter's book; 228: an engineering
    # portal, in conflict with 225
    assert sorted(MATERIAL_CONSTANTS_K.values()) == [225, 228, 234.5, 235]
    with pytest.raises(TypeError, match="material_k"):
        winding_degc(80, 100, 20)  # type: ignore[call-arg]


@pytest.mark.parametrize(
    ("thermal_class", "large", "small", "appliance"),
    [
        ("A", 60, 65, 75),  # from memory
        ("E", 75, 75, 90),  # from memory
        ("B", 80, 85, 95),  # 80: a motor manual; the others from memory
        ("F", 105, 110, 115),  # 105: a motor manual; the others from memory
        ("H", 125, 130, 140),  # 125: a motor manual; the others from memory
    ],
)
def test_rise_limits(thermal_class: str, large: float, small: float, appliance: float) -> None:
    assert rise_limit_k(thermal_class, "600 W and more") == large
    assert rise_limit_k(thermal_class, "below 600 W") == small
    assert rise_limit_k(thermal_class, "appliance") == appliance
    # coolant, rise and allowance come to the class's number: 40 + 105 + 10 = 155 (a trade page)
    allowance = HOT_SPOT_ALLOWANCE_K[thermal_class]
    assert 40 + large + allowance == hot_spot_limit_degc(thermal_class)


def test_classes() -> None:
    # IEC 60085 letters and numbers, as a motor manual prints them
    assert CLASSES == ("A", "E", "B", "F", "H")
    assert list(CLASS_DEGC.values()) == [105, 120, 130, 155, 180]
    with pytest.raises(InputError, match="thermal_class is 'C'"):
        rise_limit_k("C", "below 600 W")
    with pytest.raises(InputError, match="size is 'small'"):
        rise_limit_k("B", "small")
    with pytest.raises(InputError, match="thermal_class"):
        hot_spot_limit_degc("b")


def test_guards() -> None:
    for bad in (0, -5, math.nan):
        with pytest.raises(InputError, match="cold_ohm"):
            winding_degc(bad, 8, 20, 234.5)
        with pytest.raises(InputError, match="hot_ohm"):
            winding_degc(6, bad, 20, 234.5)
        with pytest.raises(InputError, match="material_k"):
            winding_degc(6, 8, 20, bad)
    with pytest.raises(InputError, match=r"hot_ohm is 5.*colder, or it was"):
        winding_degc(6, 5, 20, 234.5)
    assert winding_degc(6, 6, 20, 234.5) == near(20)
    for temperature in (-235, -300):
        with pytest.raises(InputError, match="cold_degc"):
            winding_degc(6, 8, temperature, 234.5)
        with pytest.raises(InputError, match="at_degc"):
            coefficient_per_k(temperature, 234.5)
    with pytest.raises(InputError, match=r"coolant_degc is -273\.16"):
        winding_rise_k(6, 8, 20, -273.16, 234.5)
    assert winding_rise_k(6, 6, 20, -273.15, 234.5) == near(293.15)
    with pytest.raises(InputError, match="resistance_ohm holds 1"):
        switch_off_ohm([20, 40], [8.0])
    with pytest.raises(InputError, match="fit is 'cubic'"):
        switch_off_ohm([20, 40], [8.0, 7.9], "cubic")
    with pytest.raises(InputError) as caught:
        switch_off_ohm([20, 20], [8.0, 7.9])
    assert caught.value.code == ranges.no_result


@given(st.floats(0.5, 500), st.floats(-20, 40), st.floats(0, 150), st.sampled_from([225, 234.5]))
def test_ratio_and_temperature_undo_each_other(
    cold: float, cold_degc: float, rise: float, material: float
) -> None:
    hot = cold * resistance_ratio(cold_degc, cold_degc + rise, material)
    if hot >= cold:
        assert winding_degc(cold, hot, cold_degc, material) == near(cold_degc + rise, abs=1e-6)
    one_way = resistance_ratio(cold_degc, cold_degc + rise, material)
    assert one_way * resistance_ratio(cold_degc + rise, cold_degc, material) == near(1)


@given(
    st.lists(st.integers(0, 300), min_size=2, max_size=8, unique=True),
    st.lists(st.floats(5, 9), min_size=8, max_size=8),
)
def test_the_fit_against_numpy(times: list[int], readings: list[float]) -> None:
    values = readings[: len(times)]
    straight = float(np.polyfit(times, values, 1)[1])
    assert switch_off_ohm(times, values, "straight") == near(straight, rel=1e-6, abs=1e-6)
    logarithm = float(np.exp(np.polyfit(times, np.log(values), 1)[1]))
    assert switch_off_ohm(times, values) == near(logarithm, rel=1e-6)
