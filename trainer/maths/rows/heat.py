"""Rows of ``heat``, ``heat_cycles`` and ``heat_overload``: one body that heats and cools."""

from __future__ import annotations

from trainer.maths.catalogue import Argument, Entry, Result

_DRIVES = "closed form of the one-body model, any drives textbook (from memory)"
_BODY = "one body; a winding by itself heats faster with a locked rotor or a strong overload"
_HOT = "Hot parts burn: let the machine cool, isolated, before hands go near."
_RESTART = "A self-resetting thermal switch starts the motor by itself: isolate before any work."
_LIMITS = (
    "By heating alone: breakdown torque, about 1.6 to 2.5 times rated (from memory), and the plate "
    "limit it further."
)
_TAU = Argument("tau_s", "s", "time constant", 0, above=True)
_FINAL = Argument("final_k", "K", "rise an endless run would end at", 0)
_START = Argument("start_k", "K", "rise at the begin; 0 from cold", 0, required=False)
_LIMIT = Argument("limit_k", "K", "limit of the rise", 0, above=True)
_TIME = Argument("time_s", "s", "time", 0)
_ON = Argument("on_s", "s", "run", 0)
_ON_ABOVE = Argument("on_s", "s", "run", 0, above=True)
_OFF = Argument("off_s", "s", "rest", 0)
_HEATING = Argument("heating_tau_s", "s", "time constant of heating", 0, above=True)
_COOLING = Argument("cooling_tau_s", "s", "time constant of cooling still", 0, above=True)
_RESISTANCE = Argument("resistance_k_per_w", "K/W", "thermal resistance", 0, above=True)
_ALPHA = Argument(
    "constant_loss_ratio", "", "constant over copper loss at rated load", 0, required=False
)
_PEAKS = (
    Result("peak_k", "K", "rise at the end of the run"),
    Result("trough_k", "K", "rise at the end of the rest"),
)

ROWS = (
    Entry(
        name="final_rise",
        meaning="The rise that a steady loss ends at.",
        arguments=(Argument("loss_w", "W", "heat", 0), _RESISTANCE),
        unit="K",
        formula="loss times thermal resistance",
        source=_DRIVES,
        where="heat:final_rise_k",
        example="loss_w=160 resistance_k_per_w=0.5",
        validity=_BODY,
    ),
    Entry(
        name="time_constant",
        meaning="The time constant of a body.",
        arguments=(
            Argument("capacity_j_per_k", "J/K", "heat capacity", 0, above=True), _RESISTANCE,
        ),
        unit="s",
        formula="heat capacity times thermal resistance",
        source=_DRIVES,
        where="heat:time_constant_s",
        example="capacity_j_per_k=2400 resistance_k_per_w=0.5",
        validity=_BODY,
    ),
    Entry(
        name="rise_after",
        meaning="The rise after a time of heating or cooling towards a final rise.",
        arguments=(_TIME, _FINAL, _TAU, _START),
        unit="K",
        formula="final plus (start minus final) times exp(minus time over time constant)",
        source="a textbook's eq. 6-39 as a problem page prints it",
        where="heat:rise_k",
        example="time_s=1200 final_k=80 tau_s=1200",
        validity=_BODY,
        caution=_HOT,
    ),
    Entry(
        name="rise_share",
        meaning="The share of the way to the final rise that is done after a time.",
        arguments=(_TIME, _TAU),
        unit="",
        formula="1 minus exp(minus time over time constant)",
        source=_DRIVES,
        where="heat:reached_share",
        example="time_s=3600 tau_s=1200",
        validity=_BODY,
    ),
    Entry(
        name="time_to_limit",
        meaning="Seconds until a rise reaches a limit; infinite means never.",
        arguments=(_FINAL, _LIMIT, _TAU, _START),
        unit="s",
        formula="time constant times ln((final minus start) over (final minus limit))",
        source=_DRIVES,
        where="heat:time_to_limit_s",
        example="final_k=180 limit_k=105 tau_s=1200",
        validity=_BODY,
        caution=_HOT,
    ),
    Entry(
        name="longest_run_from_cold",
        meaning="The longest run from cold that stays within a limit; infinite means no end.",
        arguments=(_FINAL, _LIMIT, _TAU),
        unit="s",
        formula="minus time constant times ln(1 minus limit over final)",
        source=_DRIVES,
        where="heat:longest_run_from_cold_s",
        example="final_k=160 limit_k=80 tau_s=1200",
        validity=_BODY,
    ),
    Entry(
        name="overload_time",
        meaning="Seconds from cold until a steady overload brings the rated rise.",
        arguments=(
            Argument("load_ratio", "", "current over rated current", 0, above=True), _TAU,
        ),
        unit="s",
        formula="time constant times ln(ratio squared over (ratio squared minus 1))",
        source="form as an article on motor overload and thermal time constants prints it",
        where="heat:overload_time_s",
        example="load_ratio=1.5 tau_s=1200",
        validity=_BODY,
        caution="A blocked burr is no overload to wait out: switch off at once and isolate.",
    ),
    Entry(
        name="rest_time",
        meaning="Seconds of standstill until a rise has fallen to a target.",
        arguments=(
            Argument("hot_k", "K", "rise at the begin", 0),
            Argument("target_k", "K", "rise to come down to", 0, above=True),
            _TAU,
        ),
        unit="s",
        formula="time constant of cooling times ln(hot over target)",
        source=_DRIVES,
        where="heat:rest_time_s",
        example="hot_k=85 target_k=45 tau_s=2400",
        validity=_BODY,
        caution=_RESTART,
    ),
    Entry(
        name="scaled_rise",
        meaning="The final rise at another current, by copper loss alone.",
        arguments=(
            Argument("rise_k", "K", "final rise at the reference current", 0),
            Argument("current_a", "A", "current", 0),
            Argument("reference_a", "A", "reference current", 0, above=True),
        ),
        unit="K",
        formula="rise times (current over reference current) squared",
        source="loss by the square of the current, any drives textbook (from memory)",
        where="heat:scaled_rise_k",
        example="rise_k=80 current_a=15 reference_a=10",
    ),
    Entry(
        name="two_point_heating",
        meaning="Time constant and final rise from the rise at one time and at twice that time.",
        arguments=(
            Argument("first_k", "K", "rise at the first time, from cold", 0, above=True),
            Argument("second_k", "K", "rise at twice that time", 0, above=True),
            Argument("first_s", "s", "the first time", 0, above=True),
        ),
        unit="",
        formula="time constant: minus time over ln(second over first minus 1); final rise: first "
        "squared over (twice first minus second)",
        source="Fundamentals of Electric Drives and Control, Ex. 4.1 and 4.2, pp. 49-50",
        where="heat:two_point_heating",
        example="first_k=30 second_k=45 first_s=2400",
        validity="equal steps of time, steady load, from cold",
        results=(
            Result("tau_s", "s", "time constant"), Result("final_k", "K", "final rise"),
        ),
    ),
    Entry(
        name="cycle_rise",
        meaning="Peak and trough of a numbered cycle of running and standing.",
        arguments=(
            Argument("cycles", "", "which cycle", 1, shape="whole"),
            _ON, _OFF, _FINAL, _HEATING, _COOLING, _START,
        ),
        unit="",
        formula="start a q^(k-1) plus final (1 - a)(1 - q^k)/(1 - q); trough: b times peak",
        source=_DRIVES,
        where="heat_cycles:cycle_rise",
        example="cycles=3 on_s=240 off_s=360 final_k=110 heating_tau_s=1200 cooling_tau_s=2400",
        validity=_BODY,
        results=_PEAKS,
    ),
    Entry(
        name="steady_rise",
        meaning="Peak and trough after very many cycles.",
        arguments=(_ON, _OFF, _FINAL, _HEATING, _COOLING),
        unit="",
        formula="final (1 - a)/(1 - q); trough: b times peak",
        source=_DRIVES,
        where="heat_cycles:steady_rise",
        example="on_s=240 off_s=360 final_k=110 heating_tau_s=1200 cooling_tau_s=2400",
        validity=_BODY,
        results=_PEAKS,
    ),
    Entry(
        name="steady_peak",
        meaning="The peak after very many cycles.",
        arguments=(_ON, _OFF, _FINAL, _HEATING, _COOLING),
        unit="K",
        formula="final (1 - a)/(1 - q)",
        source=_DRIVES,
        where="heat_cycles:steady_peak_k",
        example="on_s=240 off_s=360 final_k=110 heating_tau_s=1200 cooling_tau_s=2400",
        validity=_BODY,
    ),
    Entry(
        name="cycles_until_steady",
        meaning="How many cycles from cold until the peak is near the steady one.",
        arguments=(
            _ON, _OFF, _HEATING, _COOLING,
            Argument("within", "", "how near, a share", 0, 1, above=True, below=True,
                     required=False),
        ),
        unit="",
        formula="ln(share) over ln(q), rounded up",
        source=_DRIVES,
        where="heat_cycles:cycles_until_steady",
        example="on_s=240 off_s=360 heating_tau_s=1200 cooling_tau_s=2400",
        validity=_BODY,
    ),
    Entry(
        name="small_cycle_rise",
        meaning="The rise about which very short cycles, such as doses, come to hover.",
        arguments=(
            _FINAL, Argument("on_share", "", "share on", 0, 1, above=True), _HEATING, _COOLING,
        ),
        unit="K",
        formula="final times share on, over (share on plus rest times heating over cooling time "
        "constant)",
        source="limit of the closed form for short cycles",
        where="heat_cycles:small_cycle_rise_k",
        example="final_k=110 on_share=0.1666666667 heating_tau_s=1200 cooling_tau_s=2400",
        validity="cycles short against both time constants",
    ),
    Entry(
        name="rest_per_cycle",
        meaning="The rest after each run that keeps the steady peak at a limit.",
        arguments=(_ON_ABOVE, _FINAL, _LIMIT, _HEATING, _COOLING),
        unit="s",
        formula="b = (1 - final over limit (1 - a)) over a; minus cooling time constant times ln b",
        source=_DRIVES,
        where="heat_cycles:rest_per_cycle_s",
        example="on_s=60 final_k=150 limit_k=80 heating_tau_s=1200 cooling_tau_s=2400",
        validity=_BODY,
        caution="The rest is for the motor, not for hands: it is no isolation.",
    ),
    Entry(
        name="short_loss_ratio",
        meaning="Loss over rated loss that brings just the rated rise in one run from cold.",
        arguments=(_ON_ABOVE, _TAU),
        unit="",
        formula="1 over (1 - exp(minus run over time constant))",
        source=_DRIVES,
        where="heat_overload:short_loss_ratio",
        example="on_s=600 tau_s=1200",
        validity="starts cold and rests until cold",
        caution=_LIMITS,
    ),
    Entry(
        name="intermittent_loss_ratio",
        meaning="Loss over rated loss that brings just the rated rise as the steady peak.",
        arguments=(_ON_ABOVE, _OFF, _HEATING, _COOLING),
        unit="",
        formula="(1 - q) over (1 - a)",
        source=_DRIVES,
        where="heat_overload:intermittent_loss_ratio",
        example="on_s=900 off_s=1800 heating_tau_s=6000 cooling_tau_s=9000",
        validity=_BODY,
        caution=_LIMITS,
    ),
    Entry(
        name="load_ratio",
        meaning="Load over rated load that belongs to a loss ratio.",
        arguments=(
            Argument("loss_ratio", "", "whole loss over rated loss", 0, above=True), _ALPHA,
        ),
        unit="",
        formula="root of ((1 + alpha) times loss ratio minus alpha)",
        source=_DRIVES,
        where="heat_overload:load_ratio",
        example="loss_ratio=2.541494083 constant_loss_ratio=0.5",
        caution=_LIMITS,
    ),
    Entry(
        name="short_load_ratio",
        meaning="Load over rated load that one run from cold may carry, by heating alone.",
        arguments=(_ON_ABOVE, _TAU, _ALPHA),
        unit="",
        formula="load_ratio of short_loss_ratio",
        source=_DRIVES,
        where="heat_overload:short_load_ratio",
        example="on_s=1200 tau_s=1200",
        validity="starts cold and rests until cold",
        caution=_LIMITS,
    ),
    Entry(
        name="intermittent_load_ratio",
        meaning="Load over rated load that each run of a steady cycle may carry, by heating alone.",
        arguments=(_ON_ABOVE, _OFF, _HEATING, _COOLING, _ALPHA),
        unit="",
        formula="load_ratio of intermittent_loss_ratio",
        source=_DRIVES,
        where="heat_overload:intermittent_load_ratio",
        example="on_s=900 off_s=1800 heating_tau_s=6000 cooling_tau_s=9000 constant_loss_ratio=0.4",
        validity=_BODY,
        caution=_LIMITS,
    ),
    Entry(
        name="life_factor",
        meaning="What is left of insulation's life so many kelvin above its class temperature.",
        arguments=(Argument("above_k", "K", "kelvin above the class temperature", -100, 100),),
        unit="",
        formula="2 to the power of minus kelvin over 10",
        source="a trade page on insulation classes",
        where="heat_overload:life_factor",
        example="above_k=10",
        validity="a rule of thumb",
    ),
)  # fmt: skip
