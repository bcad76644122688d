"""Rows of ``guarding``: openings and distances, gaps, gloves, run-down."""

from __future__ import annotations

from trainer.maths.catalogue import Argument, Entry, Result
from trainer.maths.guarding import BODY_PARTS, GAP_REGIMES, GUARD_REGIMES, SHAPES

_MECHANICS = "any mechanics textbook (from memory)"
_CODE = "Follow the local code. Unplug before removing a guard or a hopper; never bypass a switch."
_WAIT = (
    "Burrs turn on after switching off: wait at least twice the run-down measured on this type, "
    "look and listen, unplug, and only then reach in."
)
_GLOVES = "Gloves only for burrs at rest, never near a turning part. EN and ANSI levels differ."
_INERTIA = Argument("inertia_kg_m2", "kg m2", "moment of inertia", 0)
_SPEED = Argument("speed_per_min", "1/min", "speed", 0)
_DISTANCE = (
    Result("distance_mm", "mm", "the least distance"),
    Result("words", "", "what comes first"),
    Result("source", "", "where the figure is from"),
)

ROWS = (
    Entry(
        name="guard_distance_by_code",
        meaning="How far behind an opening the danger must lie.",
        arguments=(
            Argument("regime", "", "whose rule", shape="text", choices=GUARD_REGIMES),
            Argument("shape", "", "shape of the opening", shape="text", choices=SHAPES),
            Argument("opening_mm", "mm", "width, side or diameter", 0, 120, above=True),
            Argument("slot_length_mm", "mm", "length of a slot", 0, above=True, required=False),
        ),
        unit="",
        formula="looked up by the opening, the next larger row",
        source="ISO 13857 table 4 as a trade page prints it",
        where="guarding:guard_distance",
        example="regime=ISO 13857 table 4 shape=round opening_mm=40",
        validity="14 years and older; above 120 mm it is no guard",
        caution=_CODE,
        results=_DISTANCE,
    ),
    Entry(
        name="crushing_gap_by_code",
        meaning="The least gap that does not crush a part of the body.",
        arguments=(
            Argument("regime", "", "whose rule", shape="text", choices=GAP_REGIMES),
            Argument("body_part", "", "part of the body", shape="text", choices=BODY_PARTS),
        ),
        unit="",
        formula="looked up",
        source="ISO 13854 as a public insurer's lexicon prints it",
        where="guarding:crushing_gap",
        example="regime=ISO 13854 body_part=finger",
        caution=_CODE,
        results=_DISTANCE,
    ),
    Entry(
        name="cut_force",
        meaning="A cutting force in the grams of the American scale.",
        arguments=(Argument("force_n", "N", "force", 0),),
        unit="g",
        formula="newtons over 9.80665, times 1000",
        source="standard free fall, exact by convention",
        where="guarding:cut_force_g",
        example="force_n=10",
        caution=_GLOVES,
    ),
    Entry(
        name="turning_energy",
        meaning="The energy of burrs and rotor after switching off.",
        arguments=(_INERTIA, _SPEED),
        unit="J",
        formula="half of inertia times angular speed squared",
        source=_MECHANICS,
        where="guarding:turning_energy_j",
        example="inertia_kg_m2=0.0008 speed_per_min=1400",
        caution=_WAIT,
    ),
    Entry(
        name="run_down",
        meaning="Seconds until burrs stand still under a constant friction torque.",
        arguments=(
            _INERTIA, _SPEED, Argument("friction_n_m", "N m", "friction torque", 0, above=True),
        ),
        unit="s",
        formula="inertia times angular speed over friction torque",
        source=_MECHANICS,
        where="guarding:run_down_s",
        example="inertia_kg_m2=0.0008 speed_per_min=1400 friction_n_m=0.05",
        caution=_WAIT,
    ),
    Entry(
        name="viscous_run_down",
        meaning="Seconds until a speed has fallen to another under friction by speed.",
        arguments=(
            _SPEED,
            Argument("slow_per_min", "1/min", "speed to fall to", 0, above=True),
            Argument("tau_s", "s", "time constant", 0, above=True),
        ),
        unit="s",
        formula="time constant times ln(speed over slow speed)",
        source=_MECHANICS,
        where="guarding:viscous_run_down_s",
        example="speed_per_min=1400 slow_per_min=14 tau_s=0.8",
        caution=_WAIT,
    ),
)  # fmt: skip
