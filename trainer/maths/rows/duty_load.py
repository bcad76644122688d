"""Rows of ``duty_types`` and ``duty_load``: rating plates and equivalent loads."""

from __future__ import annotations

from trainer.maths.catalogue import Argument, Entry, Result
from trainer.maths.duty_types import DUTY_TYPES

_DRIVES = "any drives textbook (from memory)"
_IEC = "IEC 60034-1 cl. 4.2.1 to 4.2.10 and 5.2.3 (from memory)"
_PRACTICE = "common practice, no source"
_PLATE = "The plate and the maker's instructions come first."
_SHORT = "cycles under about five minutes (trade article of a motor engineer); speed near constant"
_TORQUE = "The largest torque is checked by itself. Small single-phase motors: use the current."
_RUNS = Argument("run_s", "s", "how long each acts", 0, shape="sequence")
_STOP = Argument("stop_s", "s", "standstill in the cycle", 0)
_COOLING = Argument(
    "cooling_share", "", "cooling at standstill over running: 1 own fan, about 1/3 shaft fan", 0, 1,
    above=True,
)  # fmt: skip
_RATED = Argument("rated_share", "", "share on of the plate", 0, 1, above=True)
_CYCLE = Argument("cycle_s", "s", "cycle; ten minutes unless the plate says otherwise", 0,
                  above=True, required=False)  # fmt: skip
_SQUARES = (
    "root of (sum of squares times time) over (run times plus cooling share times standstill)"
)


def _time(name: str, meaning: str) -> Argument:
    return Argument(name, "s", meaning, 0, required=False)


ROWS = (
    Entry(
        name="duty_type_meaning",
        meaning="What a duty type of a rating plate means.",
        arguments=(
            Argument("duty_type", "", "S1 to S10", shape="text", choices=tuple(DUTY_TYPES)),
        ),
        unit="",
        formula="looked up",
        source="IEC 60034-1 cl. 4.2.1 to 4.2.10, in own words (clauses and figures from memory)",
        where="duty_types:duty_type_meaning",
        example="duty_type=S3",
        is_text=True,
    ),
    Entry(
        name="cyclic_share",
        meaning="The cyclic duration factor of one cycle of S3, S4, S5 or S6.",
        arguments=(
            Argument("duty_type", "", "S3, S4, S5 or S6", shape="text",
                     choices=("S3", "S4", "S5", "S6")),
            Argument("loaded_s", "s", "loaded run", 0, above=True),
            _time("standstill_s", "standstill; not of S6"),
            _time("start_s", "start; S4 and S5"),
            _time("braking_s", "electric braking; S5"),
            _time("idle_s", "running without load; S6"),
        ),
        unit="",
        formula="loaded (with start and braking where the type has them) over the whole cycle",
        source="IEC 60034-1 cl. 4.2.3 to 4.2.6 (from memory)",
        where="duty_types:cyclic_share",
        example="duty_type=S4 loaded_s=238 standstill_s=360 start_s=2",
    ),
    Entry(
        name="rated_times",
        meaning="Seconds on and off that a rating allows in one cycle.",
        arguments=(_RATED, _CYCLE),
        unit="",
        formula="share times cycle; the rest is off",
        source="IEC 60034-1 cl. 5.2.3 (from memory); ten minutes as trade pages give it",
        where="duty_types:rated_times",
        example="rated_share=0.4",
        caution=_PLATE,
        results=(Result("on_s", "s", "seconds on"), Result("off_s", "s", "seconds off")),
    ),
    Entry(
        name="rating_check",
        meaning="Whether a log keeps to an intermittent rating: two tests, not one.",
        arguments=(
            Argument("runs_s", "s", "run log, not overlapping", shape="log"),
            _RATED,
            _CYCLE,
            Argument("begin_s", "s", "begin of the observation; the first start", required=False),
            Argument("end_s", "s", "end of the observation; the last stop", required=False),
        ),
        unit="",
        formula="on-time in any window of one cycle, and each run, at most share times cycle",
        source=f"{_IEC}; the two tests: {_PRACTICE}",
        where="duty_types:rating_check",
        example="runs_s=0..200,400..600,1000..1010 rated_share=0.4",
        caution=_PLATE,
        results=(
            Result("allowed_s", "s", "seconds on allowed in one cycle, and in one run"),
            Result("busiest_s", "s", "seconds on in the busiest window"),
            Result("longest_s", "s", "longest run"),
            Result("window_keeps", "", "whether the busiest window keeps to it"),
            Result("run_keeps", "", "whether the longest run keeps to it"),
        ),
    ),
    Entry(
        name="counts_as_continuous",
        meaning="Whether the European motor rule takes an S3 rating for continuous running.",
        arguments=(_RATED,),
        unit="",
        formula="share of 0.8 or more",
        source="the European motor regulation as a trade page reads it",
        where="duty_types:counts_as_continuous",
        example="rated_share=0.8",
        caution="Follow the local code: ask the text in force.",
    ),
    Entry(
        name="starts_of_cycle",
        meaning="Starts an hour when every cycle has one start.",
        arguments=(Argument("cycle_s", "s", "cycle", 0, above=True),),
        unit="1/h",
        formula="3600 over the cycle",
        source=_PRACTICE,
        where="duty_types:starts_of_cycle_per_h",
        example="cycle_s=60",
    ),
    Entry(
        name="equivalent_power",
        meaning="The steady power that heats like several loads and a standstill.",
        arguments=(
            Argument("power_w", "W", "loads", 0, shape="sequence"), _RUNS, _STOP, _COOLING,
        ),
        unit="W",
        formula=_SQUARES,
        source=f"{_DRIVES}; the share 1/3 as a trade page gives it for NEMA MG 1 practice",
        where="duty_load:equivalent_power_w",
        example="power_w=1000,600 run_s=20,40 stop_s=60 cooling_share=0.3333333333",
        validity=_SHORT,
        caution=_TORQUE,
    ),
    Entry(
        name="equivalent_current",
        meaning="The steady current that heats like several currents and a standstill.",
        arguments=(
            Argument("current_a", "A", "currents", 0, shape="sequence"), _RUNS, _STOP, _COOLING,
        ),
        unit="A",
        formula=_SQUARES,
        source=_DRIVES,
        where="duty_load:equivalent_current_a",
        example="current_a=8,4.5 run_s=5,25 stop_s=30 cooling_share=1",
        validity=_SHORT,
        caution="Starts belong in the row of currents. " + _TORQUE,
    ),
    Entry(
        name="equivalent_torque",
        meaning="The steady torque that heats like several torques and a standstill.",
        arguments=(
            Argument("torque_n_m", "N m", "torques", shape="sequence"), _RUNS, _STOP, _COOLING,
        ),
        unit="N m",
        formula=_SQUARES,
        source=_DRIVES,
        where="duty_load:equivalent_torque_n_m",
        example="torque_n_m=25000,-83775.8 run_s=10,5 stop_s=1 cooling_share=1",
        validity=_SHORT,
        caution=_TORQUE,
    ),
    Entry(
        name="ramp_power",
        meaning="The steady power that heats like one rising or falling evenly.",
        arguments=(
            Argument("first_w", "W", "power at the begin", 0),
            Argument("second_w", "W", "power at the end", 0),
        ),
        unit="W",
        formula="root of (first squared plus first times second plus second squared) over 3",
        source="Soni, Gupta, Bhatnagar, Chakrabarti, A Textbook on Power System Engineering, "
        "2nd ed., Ex. 1.27; between two powers from memory",
        where="duty_load:ramp_power_w",
        example="first_w=0 second_w=300",
    ),
    Entry(
        name="equivalent_load_ratio",
        meaning="Equivalent load over the one load of an intermittent duty.",
        arguments=(Argument("on_share", "", "share on", 0, 1, above=True), _COOLING),
        unit="",
        formula="root of share on over (share on plus cooling share times the rest)",
        source=_DRIVES,
        where="duty_load:equivalent_load_ratio",
        example="on_share=0.25 cooling_share=1",
        caution="Its inverse is no permission to overload a motor: constant losses and torque "
        "limits are not in it.",
    ),
    Entry(
        name="start_heat_share",
        meaning="How much of the heating of one run comes from its start.",
        arguments=(
            Argument("start_a", "A", "start current", 0),
            Argument("start_s", "s", "how long it flows", 0),
            Argument("running_a", "A", "running current", 0, above=True),
            Argument("running_s", "s", "how long it flows", 0, above=True),
        ),
        unit="",
        formula="start current squared times its time, over that of the whole run",
        source=_PRACTICE,
        where="duty_load:start_heat_share",
        example="start_a=19.2 start_s=0.5 running_a=3.2 running_s=11.5",
        caution="Many short runs heat start winding and capacitor: report starts an hour.",
    ),
)  # fmt: skip
