"""Rows of ``electrical_capacitor``: charged capacitors, waiting times, bleed resistors, rules."""

from __future__ import annotations

from trainer.maths.catalogue import Argument, Entry, Result
from trainer.maths.electrical_capacitor import LARGEST_UF, LOCKOUT_REGIMES, RULE_NAMES

_BOOK = "any electrical textbook (from memory)"
_CHARGED = (
    "Treat a capacitor as charged until it is measured: unplug, wait, discharge through an "
    "insulated resistor probe, measure, and measure again before touching. The waiting time is a "
    "hint, the measurement is the proof."
)
_CODE = _CHARGED + " Follow the local code."
_UF = Argument("capacitance_uf", "uF", "capacitance", 0, LARGEST_UF, above=True)
_OHM = Argument("resistance_ohm", "ohm", "resistance", 0, above=True)
_START = Argument("start_v", "V", "voltage at the begin", 0)
_VOLTAGE = Argument("voltage_v", "V", "voltage", 0)
_MORE_UF = Argument(
    "capacitance_tolerance", "", "how much the capacitance may be larger", 0, 1, required=False
)
_MORE_OHM = Argument(
    "resistance_tolerance", "", "how much the resistor may be larger", 0, 1, required=False
)

ROWS = (
    Entry(
        name="capacitor_peak_voltage",
        meaning="The worst voltage a capacitor is left with when the mains is cut.",
        arguments=(Argument("rms_v", "V", "rms voltage across the capacitor", 0),),
        unit="V",
        formula="root of 2 times the rms voltage across the capacitor",
        source=_BOOK,
        where="electrical_capacitor:peak_voltage_v",
        example="rms_v=230",
        validity="a run capacitor can carry more than the mains voltage: take its own",
        caution=_CHARGED,
    ),
    Entry(
        name="capacitor_voltage",
        meaning="The voltage left after a time of discharging.",
        arguments=(_START, Argument("time_s", "s", "time", 0), _UF, _OHM),
        unit="V",
        formula="start voltage times exp(minus time over (resistance times capacitance))",
        source=_BOOK,
        where="electrical_capacitor:voltage_after_v",
        example="start_v=325.269119 time_s=1 capacitance_uf=16 resistance_ohm=100000",
        caution=_CHARGED,
    ),
    Entry(
        name="discharge_time",
        meaning="The time a capacitor needs to fall to a voltage.",
        arguments=(
            _START, Argument("target_v", "V", "voltage to fall to", 0, above=True), _UF, _OHM,
        ),
        unit="s",
        formula="resistance times capacitance times ln(start over target)",
        source=_BOOK,
        where="electrical_capacitor:discharge_time_s",
        example="start_v=325.269119 target_v=60 capacitance_uf=16 resistance_ohm=100000",
        validity="0 when it is there already",
        caution=_CHARGED,
    ),
    Entry(
        name="stored_energy",
        meaning="The energy in a charged capacitor.",
        arguments=(_UF, _VOLTAGE),
        unit="J",
        formula="half of capacitance times voltage squared",
        source=_BOOK,
        where="electrical_capacitor:stored_energy_j",
        example="capacitance_uf=16 voltage_v=325.269119",
        caution=_CHARGED,
    ),
    Entry(
        name="stored_charge",
        meaning="The charge in a capacitor, in microampere seconds (microcoulombs).",
        arguments=(_UF, _VOLTAGE),
        unit="uA s",
        formula="capacitance times voltage",
        source=_BOOK,
        where="electrical_capacitor:stored_charge_ua_s",
        example="capacitance_uf=16 voltage_v=325.269119",
        caution=_CHARGED,
    ),
    Entry(
        name="bleed_resistor",
        meaning="The largest resistor that lets a capacitor fall to a voltage in a time.",
        arguments=(
            Argument("start_v", "V", "voltage at the begin", 0, above=True),
            Argument("target_v", "V", "voltage to fall to, below the start", 0, above=True),
            Argument("time_s", "s", "time", 0, above=True),
            _UF, _MORE_UF, _MORE_OHM,
        ),
        unit="ohm",
        formula="time over (capacitance times ln(start over target)), over both tolerances",
        source=f"{_BOOK}; the margins: common practice, no source",
        where="electrical_capacitor:bleed_resistor_ohm",
        example="start_v=325.269119 target_v=60 time_s=5 capacitance_uf=16",
        validity="must also stand the voltage and twice its continuous loss",
        caution=_CHARGED,
    ),
    Entry(
        name="bleed_loss",
        meaning="The loss of a resistor at a voltage.",
        arguments=(_VOLTAGE, _OHM),
        unit="W",
        formula="voltage squared over resistance",
        source="Ohm's law; choose twice the loss: common practice, no source",
        where="electrical_capacitor:bleed_loss_w",
        example="voltage_v=230 resistance_ohm=150000",
        caution=_CHARGED,
    ),
    Entry(
        name="discharge_check_by_code",
        meaning="Whether a capacitor falls as fast as a rule asks.",
        arguments=(
            Argument("regime", "", "whose rule", shape="text", choices=RULE_NAMES),
            _START, _UF, _OHM, _MORE_UF, _MORE_OHM,
        ),
        unit="",
        formula="voltage after the rule's time, with both tolerances, against the rule's voltage",
        source="named in the answer",
        where="electrical_capacitor:discharge_check",
        example="regime=NEC 460.6 start_v=325.269119 capacitance_uf=16 resistance_ohm=150000",
        caution=_CODE,
        results=(
            Result("voltage_v", "V", "voltage left"),
            Result("limit_v", "V", "voltage it must fall to"),
            Result("time_s", "s", "time allowed"),
            Result("is_exempt", "", "whether it is too small to count"),
            Result("keeps", "", "whether it keeps to the rule"),
            Result("words", "", "what comes first"),
            Result("source", "", "where the figure is from"),
        ),
    ),
    Entry(
        name="stored_energy_rule",
        meaning="Whether stored energy asks for full lockout in cord-and-plug work.",
        arguments=(
            Argument("regime", "", "whose rule", shape="text", choices=LOCKOUT_REGIMES),
            _VOLTAGE,
            Argument("energy_j", "J", "energy stored", 0),
        ),
        unit="",
        formula="full lockout from 100 V together with 10 J",
        source="a laboratory's safety alert on 29 CFR 1910.147(a)(2)(iii)(A)",
        where="electrical_capacitor:stored_energy_rule",
        example="regime=US laboratory practice voltage_v=566 energy_j=2.56",
        caution=_CODE,
        is_text=True,
    ),
)  # fmt: skip
