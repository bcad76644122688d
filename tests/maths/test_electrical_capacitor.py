"""Capacitors: discharge, waiting times, bleed resistors, rules; made up where no source stands."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from trainer.errors import InputError
from trainer.maths.electrical_capacitor import (
    RULE_NAMES,
    bleed_loss_w,
    bleed_resistor_ohm,
    discharge_check,
    discharge_time_s,
    peak_voltage_v,
    stored_charge_ua_s,
    stored_energy_j,
    stored_energy_rule,
    voltage_after_v,
)

near = pytest.approx
PEAK = 325.269119346  # root of 2 times 230 V
APPLIANCE = "IEC 60335-1 cl. 22.5"
MACHINE = "IEC 60204-1 cl. 6.2.4 live parts"


@pytest.mark.parametrize(
    ("rms", "peak"),
    [(230, 325.269119), (240, 339.411255), (120, 169.705627), (253, 357.796031), (400, 565.685425)],
)
def test_worst_voltage(rms: float, peak: float) -> None:
    assert peak_voltage_v(rms) == near(peak, abs=1e-6)


def test_a_run_capacitor_without_much_of_a_bleeder() -> None:
    assert voltage_after_v(PEAK, 1, 16, 100_000) == near(174.104013, abs=1e-6)
    assert voltage_after_v(PEAK, 5, 16, 100_000) == near(14.291328, abs=1e-6)
    assert voltage_after_v(PEAK, 1.6, 16, 100_000) == near(PEAK / math.e)
    assert discharge_time_s(PEAK, 60, 16, 100_000) == near(2.704493, abs=1e-6)
    assert stored_energy_j(16, PEAK) == near(0.8464, abs=1e-6)
    # resonance with the winding: 400 V rms across it
    assert stored_energy_j(16, peak_voltage_v(400)) == near(2.56, abs=1e-6)


def test_a_mains_filter_that_fails() -> None:
    assert voltage_after_v(PEAK, 1, 0.47, 1e6) == near(38.744675, abs=1e-6)
    check = discharge_check(APPLIANCE, PEAK, 0.47, 1e6)
    assert check.voltage_v == near(38.744675, abs=1e-6)
    assert (check.limit_v, check.time_s, check.is_exempt, check.keeps) == (34, 1, False, False)
    assert check.words == "follow the local code"
    assert bleed_resistor_ohm(PEAK, 34, 1, 0.47) == near(942_154.17, abs=0.01)
    assert discharge_check(APPLIANCE, PEAK, 0.47, 942_000).keeps
    # Japan allows 45 V; small capacitances are exempt
    assert discharge_check("Japan", PEAK, 0.47, 1e6).keeps
    small = discharge_check(APPLIANCE, PEAK, 0.1, 1e9)
    assert (small.is_exempt, small.keeps) == (True, True)
    assert not discharge_check(APPLIANCE, PEAK, 0.11, 1e9).is_exempt
    assert discharge_check("Japan", PEAK, 0.1, 1e9).is_exempt
    assert not discharge_check("Japan", PEAK, 0.11, 1e9).is_exempt
    # no exemption by capacitance for machines, none by charge for appliances, none in the NEC
    assert not discharge_check(MACHINE, 1000, 0.09, 1e9).is_exempt
    assert not discharge_check(APPLIANCE, 1, 0.2, 1e9).is_exempt
    assert not discharge_check("NEC 460.6", 1, 0.01, 1e9).is_exempt


@pytest.mark.parametrize(
    ("start", "target", "time", "capacitance", "ohms"),
    [
        (339.411255, 34, 1, 1, 434_621.61),
        (PEAK, 60, 5, 16, 184_877.51),
        (PEAK, 60, 1, 16, 36_975.50),
        (565.685425, 60, 5, 16, 139_279.27),
        (PEAK, 60, 5, 100, 29_580.40),
    ],
)
def test_bleed_resistors(
    start: float, target: float, time: float, capacitance: float, ohms: float
) -> None:
    assert bleed_resistor_ohm(start, target, time, capacitance) == near(ohms, abs=0.01)


def test_losses_and_tolerances() -> None:
    assert bleed_loss_w(240, 434_621.61) == near(0.132529, abs=1e-6)
    assert voltage_after_v(PEAK, 5, 16, 150_000) == near(40.500712, abs=1e-6)
    assert discharge_time_s(PEAK, 60, 16, 150_000) == near(4.056740, abs=1e-6)
    assert discharge_time_s(PEAK, 60, 16 * 1.1, 150_000 * 1.05) == near(4.685535, abs=1e-6)
    assert bleed_loss_w(230, 150_000) == near(0.352667, abs=1e-6)
    plain = bleed_resistor_ohm(PEAK, 60, 5, 16)
    wide = bleed_resistor_ohm(
        PEAK, 60, 5, 16, capacitance_tolerance=0.10, resistance_tolerance=0.05
    )
    assert plain / wide == near(1.155)
    assert stored_energy_j(100, PEAK) == near(5.29, abs=1e-6)


def test_published_resistors() -> None:
    # a calculator's page: 1000 uF, 12 to 1 V in 5 s, about 2012 ohm
    found = bleed_resistor_ohm(12, 1, 5, 1000)
    assert found == near(2012, abs=1)
    assert found == near(2012.148, abs=1e-3)
    # another calculator's page: 10 uF, 10 to 0.1 V in 0.1 s: 2.17 kohm and 46 mW
    found = bleed_resistor_ohm(10, 0.1, 0.1, 10)
    assert found == near(2170, abs=5)
    assert found == near(2171.472, abs=1e-3)
    assert 1000 * bleed_loss_w(10, found) == near(46.0517, abs=1e-4)


def test_the_web_rule_of_five_time_constants_is_another_rule() -> None:
    # "time over five times capacitance" leaves 0.67 %, whatever the voltage
    by_rule = 5 / (5 * 16e-6)
    assert 100 * voltage_after_v(1, 5, 16, by_rule) == near(0.673795, abs=1e-6)
    assert bleed_resistor_ohm(PEAK, 60, 5, 16) != near(by_rule, rel=0.5)


def test_stored_charge_that_is_exempt() -> None:
    assert stored_charge_ua_s(16, PEAK) == near(5204.306, abs=1e-3)
    # 60 uC at 325 V is 0.184463 uF
    assert stored_charge_ua_s(0.184463, PEAK) == near(60, abs=1e-3)
    assert discharge_check(MACHINE, PEAK, 0.1844, 1e9).is_exempt
    assert not discharge_check(MACHINE, PEAK, 0.1845, 1e9).is_exempt
    assert discharge_check("IEC 60204-1 cl. 6.2.4 plug pins", 60, 1, 1e9).is_exempt
    assert not discharge_check("IEC 60204-1 cl. 6.2.4 plug pins", 60.5, 1, 1e9).is_exempt
    assert discharge_check(MACHINE, 0, 16, 1e9).keeps


def test_a_hand_discharge() -> None:
    assert discharge_time_s(PEAK, 60, 100, 20_000) == near(3.380617, abs=1e-6)
    assert bleed_loss_w(PEAK, 20_000) == near(5.29, abs=1e-6)


@pytest.mark.parametrize(
    ("regime", "limit", "time"),
    [
        (APPLIANCE, 34, 1),  # a Japanese page; clause from memory
        ("Japan", 45, 1),  # the same page
        (MACHINE, 60, 5),  # a Japanese page
        ("IEC 60204-1 cl. 6.2.4 plug pins", 60, 1),  # the same page
        ("NEC 460.6", 50, 60),  # from memory
    ],
)
def test_rules(regime: str, limit: float, time: float) -> None:
    assert regime in RULE_NAMES
    assert len(RULE_NAMES) == 5
    check = discharge_check(regime, PEAK, 16, 1e6)
    assert (check.limit_v, check.time_s) == (limit, time)
    assert check.source
    ohms = bleed_resistor_ohm(PEAK, limit, time, 16)
    assert discharge_check(regime, PEAK, 16, 0.9999 * ohms).keeps
    assert not discharge_check(regime, PEAK, 16, 1.0001 * ohms).keeps
    wide = {"capacitance_tolerance": 0.1, "resistance_tolerance": 0.05}
    assert not discharge_check(regime, PEAK, 16, 0.9 * ohms, **wide).keeps
    assert discharge_check(regime, PEAK, 16, ohms / 1.156, **wide).keeps


def test_stored_energy_in_cord_and_plug_work() -> None:
    # a laboratory's safety alert: 100 V or more and 10 J or more
    rule = "US laboratory practice"
    assert stored_energy_rule(rule, 100, 10).startswith("full lockout")
    for voltage, energy in ((99.9, 50), (500, 9.9), (PEAK, 0.8464)):
        assert stored_energy_rule(rule, voltage, energy).startswith("below")
    for voltage, energy in ((99.9, 50), (500, 50)):
        assert stored_energy_rule(rule, voltage, energy).endswith("follow the local code")


def test_already_there() -> None:
    assert discharge_time_s(60, 60, 16, 1e5) == 0
    assert discharge_time_s(40, 60, 16, 1e5) == 0


def test_guards() -> None:
    for bad in (0, -1, math.nan):
        with pytest.raises(InputError, match="capacitance_uf"):
            voltage_after_v(PEAK, 1, bad, 1e5)
        with pytest.raises(InputError, match="resistance_ohm"):
            voltage_after_v(PEAK, 1, 16, bad)
        with pytest.raises(InputError, match="target_v"):
            discharge_time_s(PEAK, bad, 16, 1e5)
    # picofarads or nanofarads given as microfarads
    for function in (stored_energy_j, stored_charge_ua_s):
        with pytest.raises(InputError, match=r"capacitance_uf is 16000; it must be .* 10000"):
            function(16_000, PEAK)
    with pytest.raises(InputError, match="target_v is 60"):
        bleed_resistor_ohm(60, 60, 5, 16)
    with pytest.raises(InputError, match="time_s"):
        voltage_after_v(PEAK, -1, 16, 1e5)
    with pytest.raises(InputError, match="capacitance_tolerance"):
        bleed_resistor_ohm(PEAK, 60, 5, 16, capacitance_tolerance=10)
    with pytest.raises(InputError, match="resistance_tolerance"):
        discharge_check(MACHINE, PEAK, 16, 1e5, resistance_tolerance=5)
    for act in (
        lambda: discharge_check("IEC", PEAK, 16, 1e5),
        lambda: stored_energy_rule("", PEAK, 5),
    ):
        with pytest.raises(InputError, match="regime"):
            act()


@given(st.floats(5, 800), st.floats(0.01, 0.99), st.floats(0.01, 500), st.floats(1e3, 1e7))
def test_time_and_resistor_undo_the_discharge(
    start: float, left: float, capacitance: float, resistance: float
) -> None:
    target = left * start
    time = discharge_time_s(start, target, capacitance, resistance)
    assert voltage_after_v(start, time, capacitance, resistance) == near(target, rel=1e-9)
    assert bleed_resistor_ohm(start, target, time, capacitance) == near(resistance, rel=1e-9)
    half = voltage_after_v(start, time / 2, capacitance, resistance)
    assert voltage_after_v(half, time / 2, capacitance, resistance) == near(target, rel=1e-9)
    assert stored_energy_j(capacitance, start) * 2e6 == near(
        stored_charge_ua_s(capacitance, start) * start
    )


def test_against_the_differential_equation() -> None:
    solved = solve_ivp(
        lambda _t, v: -v / (1e5 * 16e-6), (0, 5), [PEAK], rtol=1e-11, atol=1e-11, t_eval=[1, 5]
    )
    closed = [voltage_after_v(PEAK, time, 16, 1e5) for time in (1, 5)]
    assert closed == near(list(solved.y[0]), abs=1e-6)
    # what the resistor turns to heat is what was stored
    heat = solve_ivp(
        lambda t, _e: [bleed_loss_w(voltage_after_v(PEAK, t, 16, 1e5), 1e5)], (0, 60), [0.0],
        rtol=1e-10, atol=1e-12, max_step=0.05,
    )  # fmt: skip
    assert float(heat.y[0][-1]) == near(stored_energy_j(16, PEAK), rel=1e-6)
