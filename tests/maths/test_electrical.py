"""Power, current, torque and leakage; inputs made up where no source stands beside them."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import InputError
from trainer.maths.catalogue import ENTRIES
from trainer.maths.electrical import (
    HORSEPOWER_W,
    START_RATIOS,
    apparent_power_v_a,
    capacitive_leakage_ma,
    energy_kwh,
    input_power_w,
    reactive_power_v_a,
    resistive_leakage_ma,
    single_phase_current_a,
    single_phase_power_w,
    slip_share,
    starting_current_a,
    synchronous_speed_per_min,
    three_phase_current_a,
    three_phase_power_w,
    torque_n_m,
)

near = pytest.approx


def test_a_single_phase_grinder() -> None:
    power = single_phase_power_w(230, 3.2, 0.92)
    assert power == near(677.12)
    assert apparent_power_v_a(230, 3.2) == near(736)
    assert reactive_power_v_a(736, 677.12) == near(288.451912, abs=1e-6)
    assert energy_kwh(power, 1.5 * 300) == near(304.704, abs=1e-9)


def test_from_shaft_to_current() -> None:
    power = input_power_w(370, 0.65)
    assert power == near(569.230769, abs=1e-6)
    assert single_phase_current_a(power, 230, 0.90) == near(2.749907, abs=1e-6)
    three = input_power_w(750, 0.75)
    assert three == near(1000)
    assert three_phase_current_a(three, 400, 0.78) == near(1.850482, abs=1e-6)
    assert three_phase_power_w(400, 1.9, 0.80) == near(1053.086891, abs=1e-6)


def test_slip_and_torque() -> None:
    # 120 f over poles, and 9550 kW over speed: a trade page
    field = synchronous_speed_per_min(50, 2)
    assert field == 1500 == 120 * 50 / 4
    assert slip_share(field, 1390) == near(0.073333, abs=1e-6)
    assert torque_n_m(370, 1390) == near(2.541899, abs=1e-6)
    shortcut = 9550 * 0.37 / 1390
    assert shortcut == near(2.542086, abs=1e-6)
    assert torque_n_m(370, 1390) != near(shortcut, abs=1e-5)
    assert synchronous_speed_per_min(60, 1) == 3600


def test_horsepower_and_starts() -> None:
    # 745.7 from memory; 746 as the trade rounds it
    assert near(HORSEPOWER_W, abs=0.5) == 746
    # a one-horsepower row of 8 A at 230 V hides efficiency times power factor of 0.405
    assert single_phase_power_w(230, 8, 0.405272) == near(HORSEPOWER_W, abs=1e-2)
    # 3 to 6 and 5 to 8: two trade pages
    assert START_RATIOS == (3, 8)
    assert starting_current_a(3.2, 6) == near(19.2)


@pytest.mark.parametrize(
    ("voltage", "frequency", "capacitance", "current"),
    [
        (230, 50, 4.7, 0.339606),
        (230, 50, 2 * 4.7, 0.679212),
        (230, 50, 10, 0.722566),
        (120, 60, 4.7, 0.212623),
    ],
)
def test_capacitive_leakage(
    voltage: float, frequency: float, capacitance: float, current: float
) -> None:
    assert capacitive_leakage_ma(voltage, frequency, capacitance) == near(current, abs=1e-6)


def test_resistive_leakage_at_the_limit_of_insulation() -> None:
    assert resistive_leakage_ma(230, 1) == near(0.23)
    assert resistive_leakage_ma(230, 4) == near(0.0575)


def test_guards() -> None:
    with pytest.raises(InputError, match="power_factor is 92"):
        single_phase_power_w(230, 3.2, 92)  # per cent is not a share
    with pytest.raises(InputError, match="active_w is 800; it must be at most the apparent"):
        reactive_power_v_a(736, 800)
    with pytest.raises(InputError, match="efficiency"):
        input_power_w(370, 0)
    with pytest.raises(InputError, match="pole_pairs"):
        synchronous_speed_per_min(50, 0)
    with pytest.raises(InputError, match="speed_per_min"):
        torque_n_m(370, 0)
    with pytest.raises(InputError, match="capacitance_nf"):
        capacitive_leakage_ma(230, 50, 4700)  # a microfarad given in picofarads
    with pytest.raises(InputError, match="start_ratio"):
        starting_current_a(3.2, 0.5)
    with pytest.raises(InputError, match="insulation_megaohm"):
        resistive_leakage_ma(230, 0)
    for bad in (math.nan, math.inf, -1):
        with pytest.raises(InputError, match="voltage_v"):
            single_phase_current_a(500, bad, 0.9)


def test_every_electrical_row_carries_a_caution() -> None:
    rows = [row for row in ENTRIES.values() if row.where.startswith("electrical")]
    assert len(rows) > 30
    for row in rows:
        assert len(row.caution) > 30, row.name
        if any(argument.name == "regime" for argument in row.arguments):
            assert "ollow the local code" in row.caution, row.name
            assert row.is_text or not row.results or any(r.name == "words" for r in row.results)


@given(st.floats(1, 1000), st.floats(0.01, 100), st.floats(0.05, 1))
def test_power_and_current_undo_each_other(voltage: float, current: float, factor: float) -> None:
    one = single_phase_power_w(voltage, current, factor)
    assert single_phase_current_a(one, voltage, factor) == near(current)
    three = three_phase_power_w(voltage, current, factor)
    assert three_phase_current_a(three, voltage, factor) == near(current)
    assert three == near(float(Decimal(3).sqrt()) * one)
    apparent = apparent_power_v_a(voltage, current)
    assert math.hypot(one, reactive_power_v_a(apparent, one)) == near(apparent)


@given(st.floats(1, 5000), st.floats(10, 20_000))
def test_torque_times_turning_is_power(shaft: float, speed: float) -> None:
    assert torque_n_m(shaft, speed) * speed / 60 * 2 * math.pi == near(shaft)
