"""Keeping hands from turning burrs: openings and distances, gaps, gloves, run-down.

Distances and levels are those of standards as trade pages print them: follow the local code. No
gloves near any turning part; measure the run-down of the type once, wait at least twice that, then
look and listen before reaching in (common practice, no source). How many seconds a product standard
allows is not stated here, because it was not read with certainty.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.maths.ranges import not_negative, number, one_of, positive

WORDS = "follow the local code"
LARGEST_OPENING_MM = 120.0
SHORT_SLOT_MM = 65.0
SHAPES = ("slot", "square", "round")
# Source: ISO 13857 table 4, openings, 14 years and older, as a trade page prints it: opening up to,
# then least distance for slot, square and round, mm. The page has one row for slots above 20 mm.
REACH_MM = (
    (4.0, 2.0, 2.0, 2.0),
    (6.0, 10.0, 5.0, 5.0),
    (8.0, 20.0, 15.0, 5.0),
    (10.0, 80.0, 25.0, 20.0),
    (12.0, 100.0, 80.0, 80.0),
    (20.0, 120.0, 120.0, 120.0),
    (30.0, 850.0, 120.0, 120.0),
    (40.0, 850.0, 200.0, 120.0),
    (120.0, 850.0, 850.0, 850.0),
)
SHORT_SLOT_REACH_MM = 200.0  # slots above 20 to 30 mm that are no longer than 65 mm
# Source: ISO 13854 as a public insurer's lexicon prints it: least gap against crushing, mm.
CRUSHING_MM = {
    "finger": 25.0, "toes": 50.0, "hand": 100.0, "fist": 100.0, "arm": 120.0, "foot": 120.0,
    "leg": 180.0, "head": 300.0, "body": 500.0,
}  # fmt: skip
BODY_PARTS = tuple(CRUSHING_MM)
# Source: EN 388 with ISO 13997, newtons, as a glove catalogue prints them; ANSI/ISEA 105, grams, as
# a glove maker's page prints them. The levels of one are not those of the other.
CUT_N = {"A": 2.0, "B": 5.0, "C": 10.0, "D": 15.0, "E": 22.0, "F": 30.0}
CUT_G = {
    "A1": 200.0, "A2": 500.0, "A3": 1000.0, "A4": 1500.0, "A5": 2200.0, "A6": 3000.0,
    "A7": 4000.0, "A8": 5000.0, "A9": 6000.0,
}  # fmt: skip
FREE_FALL_M_PER_S2 = 9.80665
GUARD_REGIMES = ("ISO 13857 table 4",)
GAP_REGIMES = ("ISO 13854",)


@dataclass(frozen=True, slots=True)
class CodeDistance:
    """The least distance that a standard names."""

    distance_mm: float
    words: str
    source: str


def guard_distance(
    regime: str, shape: str, opening_mm: float, slot_length_mm: float | None = None
) -> CodeDistance:
    """How far behind an opening the danger must lie so that nobody can reach it.

    Formula: looked up by the opening, the next larger row.

    Args:
        regime: ``ISO 13857 table 4``.
        shape: slot, square or round.
        opening_mm: width, side or diameter, mm, above 0 to 120; beyond it is no guard.
        slot_length_mm: length of a slot, mm, above 0, when known.

    Returns:
        The least distance, and the words "follow the local code".

    Raises:
        InputError: MTH-030 for an unknown shape or an opening out of range.

    Source: ISO 13857 table 4 as a trade page prints it.

    Example:
        >>> guard_distance("ISO 13857 table 4", "round", 40).distance_mm
        120.0
    """
    one_of("regime", regime, GUARD_REGIMES)
    column = SHAPES.index(one_of("shape", shape, SHAPES)) + 1
    opening = number("opening_mm", opening_mm, 0, LARGEST_OPENING_MM, above=True)
    length = None if slot_length_mm is None else positive("slot_length_mm", slot_length_mm)
    distance = next(row[column] for row in REACH_MM if opening <= row[0])
    is_short = shape == "slot" and length is not None and length <= SHORT_SLOT_MM
    if is_short and 20 < opening <= 30:
        distance = SHORT_SLOT_REACH_MM
    return CodeDistance(distance, WORDS, "ISO 13857 table 4 as a trade page prints it")


def crushing_gap(regime: str, body_part: str) -> CodeDistance:
    """The least gap that does not crush a part of the body.

    Formula: looked up.

    Args:
        regime: ``ISO 13854``.
        body_part: finger, toes, hand, fist, arm, foot, leg, head or body.

    Returns:
        The least gap, and the words "follow the local code".

    Raises:
        InputError: MTH-030 for an unknown name.

    Source: ISO 13854 as a public insurer's lexicon prints it.

    Example:
        >>> crushing_gap("ISO 13854", "finger").distance_mm
        25.0
    """
    one_of("regime", regime, GAP_REGIMES)
    gap = CRUSHING_MM[one_of("body_part", body_part, BODY_PARTS)]
    return CodeDistance(gap, WORDS, "ISO 13854 as a public insurer's lexicon prints it")


def cut_force_g(force_n: float) -> float:
    """A cutting force in the grams that the American scale uses; the levels still differ.

    Formula: newtons over 9.80665, times 1000.

    Args:
        force_n: force, N, 0 or more.

    Returns:
        Grams.

    Raises:
        InputError: MTH-030 for a negative force.

    Source: standard free fall, exact by convention.

    Example:
        >>> round(cut_force_g(10), 3)
        1019.716
    """
    return not_negative("force_n", force_n) / FREE_FALL_M_PER_S2 * 1000


def turning_energy_j(inertia_kg_m2: float, speed_per_min: float) -> float:
    """The energy of burrs and rotor after switching off.

    Formula: half of inertia times angular speed squared.

    Args:
        inertia_kg_m2: moment of inertia, kg m2, 0 or more.
        speed_per_min: speed, 1/min, 0 or more.

    Returns:
        Joules.

    Raises:
        InputError: MTH-030 for a negative value.

    Source: any mechanics textbook (from memory).

    Example:
        >>> round(turning_energy_j(0.0008, 1400), 6)
        8.597522
    """
    return not_negative("inertia_kg_m2", inertia_kg_m2) * _angular(speed_per_min) ** 2 / 2


def run_down_s(inertia_kg_m2: float, speed_per_min: float, friction_n_m: float) -> float:
    """Seconds until burrs stand still under a constant friction torque.

    Formula: inertia times angular speed over friction torque.

    Args:
        inertia_kg_m2: moment of inertia, kg m2, 0 or more.
        speed_per_min: speed, 1/min, 0 or more.
        friction_n_m: friction torque, N m, above 0.

    Returns:
        Seconds. Wait at least twice what was measured, then look and listen.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any mechanics textbook (from memory).

    Example:
        >>> round(run_down_s(0.0008, 1400, 0.05), 6)
        2.345723
    """
    turning = not_negative("inertia_kg_m2", inertia_kg_m2) * _angular(speed_per_min)
    return turning / positive("friction_n_m", friction_n_m)


def viscous_run_down_s(speed_per_min: float, slow_per_min: float, tau_s: float) -> float:
    """Seconds until a speed has fallen to another under friction that goes with the speed.

    Formula: time constant times ln(speed over slow speed); 0 when it is that slow already.

    Args:
        speed_per_min: speed, 1/min, 0 or more.
        slow_per_min: speed to fall to, 1/min, above 0; by this law it never stands quite still.
        tau_s: time constant, s, above 0.

    Returns:
        Seconds.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: any mechanics textbook (from memory).

    Example:
        >>> round(viscous_run_down_s(1400, 14, 0.8), 6)
        3.684136
    """
    fast = not_negative("speed_per_min", speed_per_min)
    slow, tau = positive("slow_per_min", slow_per_min), positive("tau_s", tau_s)
    return tau * math.log(fast / slow) if fast > slow else 0.0


def _angular(speed_per_min: float) -> float:
    return not_negative("speed_per_min", speed_per_min) / 60 * math.tau
