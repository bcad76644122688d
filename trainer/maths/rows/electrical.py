"""Rows of ``electrical``: power, current, energy, torque, leakage."""

from __future__ import annotations

from trainer.maths.catalogue import Argument, Entry

_BOOK = "any electrical textbook (from memory)"
_DRIVES = "any drives textbook (from memory)"
_LIVE = (
    "Measuring mains with the cover open is for a qualified person under the local code; find it "
    "dead if it can be found dead."
)
_PLATE = "The name plate and the local code come first; never raise a fuse to cure tripping."
_STOP = (
    "A start current that stays means a jam, a dead capacitor or a stuck start switch: switch off "
    "at once, then isolate."
)
_TURNING = "Burrs turn while speed is measured: guard closed, hair and sleeves away."
_EARTH = "Test the protective earth first; follow the local code for what may leak."
_VOLTAGE = Argument("voltage_v", "V", "voltage", 0)
_LINES = Argument("voltage_v", "V", "voltage between lines", 0)
_VOLTAGE_ABOVE = Argument("voltage_v", "V", "voltage", 0, above=True)
_LINES_ABOVE = Argument("voltage_v", "V", "voltage between lines", 0, above=True)
_CURRENT = Argument("current_a", "A", "current", 0)
_FACTOR = Argument("power_factor", "", "cos phi", 0, 1)
_FACTOR_ABOVE = Argument("power_factor", "", "cos phi", 0, 1, above=True)
_POWER = Argument("power_w", "W", "power taken", 0)
_SHAFT = Argument("shaft_w", "W", "power at the shaft", 0)

ROWS = (
    Entry(
        name="single_phase_power",
        meaning="The power a single-phase motor takes.",
        arguments=(_VOLTAGE, _CURRENT, _FACTOR),
        unit="W",
        formula="voltage times current times power factor",
        source=_BOOK,
        where="electrical:single_phase_power_w",
        example="voltage_v=230 current_a=3.2 power_factor=0.92",
        caution=_LIVE,
    ),
    Entry(
        name="three_phase_power",
        meaning="The power a three-phase motor takes.",
        arguments=(_LINES, _CURRENT, _FACTOR),
        unit="W",
        formula="root of 3 times voltage between lines times current times power factor",
        source=_BOOK,
        where="electrical:three_phase_power_w",
        example="voltage_v=400 current_a=1.9 power_factor=0.80",
        caution=_LIVE,
    ),
    Entry(
        name="apparent_power",
        meaning="The apparent power of a single-phase load.",
        arguments=(_VOLTAGE, _CURRENT),
        unit="V A",
        formula="voltage times current",
        source=_BOOK,
        where="electrical:apparent_power_v_a",
        example="voltage_v=230 current_a=3.2",
        caution=_LIVE,
    ),
    Entry(
        name="reactive_power",
        meaning="The reactive power that goes with an apparent and an active power.",
        arguments=(
            Argument("apparent_v_a", "V A", "apparent power", 0),
            Argument("active_w", "W", "active power, at most the apparent", 0),
        ),
        unit="V A",
        formula="root of (apparent squared minus active squared)",
        source=_BOOK,
        where="electrical:reactive_power_v_a",
        example="apparent_v_a=736 active_w=677.12",
        caution=_LIVE,
    ),
    Entry(
        name="single_phase_current",
        meaning="The current a single-phase motor takes for a power.",
        arguments=(_POWER, _VOLTAGE_ABOVE, _FACTOR_ABOVE),
        unit="A",
        formula="power over (voltage times power factor)",
        source=_BOOK,
        where="electrical:single_phase_current_a",
        example="power_w=569.23 voltage_v=230 power_factor=0.90",
        caution=_PLATE,
    ),
    Entry(
        name="three_phase_current",
        meaning="The line current a three-phase motor takes for a power.",
        arguments=(_POWER, _LINES_ABOVE, _FACTOR_ABOVE),
        unit="A",
        formula="power over (root of 3 times voltage between lines times power factor)",
        source=_BOOK,
        where="electrical:three_phase_current_a",
        example="power_w=1000 voltage_v=400 power_factor=0.78",
        caution=_PLATE,
    ),
    Entry(
        name="input_power",
        meaning="The power a motor takes for a power at its shaft.",
        arguments=(_SHAFT, Argument("efficiency", "", "efficiency", 0, 1, above=True)),
        unit="W",
        formula="shaft power over efficiency",
        source=_BOOK,
        where="electrical:input_power_w",
        example="shaft_w=370 efficiency=0.65",
        caution=_PLATE,
    ),
    Entry(
        name="energy_used",
        meaning="The energy of a power over a time.",
        arguments=(_POWER, Argument("time_h", "h", "time", 0)),
        unit="kWh",
        formula="power in kilowatts times hours",
        source=_BOOK,
        where="electrical:energy_kwh",
        example="power_w=677.12 time_h=450",
        caution=_LIVE,
    ),
    Entry(
        name="shaft_torque",
        meaning="The torque of a shaft power at a speed.",
        arguments=(_SHAFT, Argument("speed_per_min", "1/min", "speed", 0, above=True)),
        unit="N m",
        formula="60 times power over (2 pi times speed)",
        source=f"{_DRIVES}; the trade's shortcut 9550 kW over speed rounds it",
        where="electrical:torque_n_m",
        example="shaft_w=370 speed_per_min=1390",
        caution="A blocked burr holds torque and may jump when it comes free: isolate first.",
    ),
    Entry(
        name="synchronous_speed",
        meaning="The speed of the field of a motor.",
        arguments=(
            Argument("frequency_hz", "Hz", "mains frequency", 0, above=True),
            Argument("pole_pairs", "", "pairs of poles; a four-pole motor has two", 1,
                     shape="whole"),
        ),
        unit="1/min",
        formula="60 times frequency over pole pairs",
        source="120 f over poles on a trade page",
        where="electrical:synchronous_speed_per_min",
        example="frequency_hz=50 pole_pairs=2",
        caution=_TURNING,
    ),
    Entry(
        name="slip_share",
        meaning="How far a motor lags behind its field.",
        arguments=(
            Argument("synchronous_per_min", "1/min", "speed of the field", 0, above=True),
            Argument("speed_per_min", "1/min", "speed", 0),
        ),
        unit="",
        formula="(synchronous speed minus speed) over synchronous speed",
        source=_DRIVES,
        where="electrical:slip_share",
        example="synchronous_per_min=1500 speed_per_min=1390",
        caution=_TURNING,
    ),
    Entry(
        name="starting_current",
        meaning="The current at standstill of a motor switched on directly.",
        arguments=(
            Argument("rated_a", "A", "rated current", 0),
            Argument("start_ratio", "", "start over rated current; 3 to 8 is usual", 1, 12),
        ),
        unit="A",
        formula="rated current times start ratio",
        source="two trade pages (3 to 6, and 5 to 8)",
        where="electrical:starting_current_a",
        example="rated_a=3.2 start_ratio=6",
        validity="falls in 0.2 to 1 s on a free grinder (common practice, no source)",
        caution=_STOP,
    ),
    Entry(
        name="capacitive_leakage",
        meaning="The current that a capacitor to earth leaks.",
        arguments=(
            _VOLTAGE,
            Argument("frequency_hz", "Hz", "mains frequency", 0),
            Argument("capacitance_nf", "nF", "capacitance to earth", 0, 1000),
        ),
        unit="mA",
        formula="voltage times 2 pi times frequency times capacitance",
        source=_BOOK,
        where="electrical:capacitive_leakage_ma",
        example="voltage_v=230 frequency_hz=50 capacitance_nf=4.7",
        caution=_EARTH,
    ),
    Entry(
        name="resistive_leakage",
        meaning="The current that an insulation resistance leaks.",
        arguments=(
            _VOLTAGE,
            Argument("insulation_megaohm", "Mohm", "insulation resistance", 0, above=True),
        ),
        unit="mA",
        formula="voltage over insulation resistance",
        source="Ohm's law",
        where="electrical:resistive_leakage_ma",
        example="voltage_v=230 insulation_megaohm=1",
        caution=_EARTH,
    ),
)  # fmt: skip
