"""Rules of the trade as ranges: burr lives, care by throughput, duty printed as seconds on and off.

Source of every figure here: common practice, no source. ``sure`` says how sure it is: A from
several independent makers and workshops, B from one or two, C trade sense. The machine's own card
decides; these are for demonstrations and for asking "can that be?".
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from trainer.maths.ranges import not_negative, positive

Sure = Literal["A", "B", "C"]


@dataclass(frozen=True, slots=True)
class BurrLife:
    """Kilograms of roasted coffee before a planned change."""

    burr: str
    low_kg: float
    high_kg: float
    sure: Sure


@dataclass(frozen=True, slots=True)
class CareByThroughput:
    """Kilograms between two acts of care; dark oily beans halve them."""

    act: str
    low_kg: float
    high_kg: float
    sure: Sure


BURR_LIVES: tuple[BurrLife, ...] = (
    BurrLife("flat 58 mm steel", 300, 300, "B"),
    BurrLife("flat 64 mm steel, oil-quenched", 295, 400, "A"),
    BurrLife("flat 64 mm steel, improved hardening", 450, 500, "B"),
    BurrLife("flat 75 to 83 mm steel", 590, 590, "B"),
    BurrLife("conical 63 mm", 740, 740, "B"),
    BurrLife("conical 71 mm", 770, 770, "B"),
    BurrLife("conical 83 mm", 820, 820, "B"),
    BurrLife("flat 64 mm ceramic", 450, 1500, "C"),  # sources disagree; chips on a stone
    BurrLife("steel, general", 225, 455, "B"),
    BurrLife("commercial, general", 300, 1000, "A"),
)
COATED_FACTOR = (1.5, 3.0)  # hard coating against the same burr uncoated; sure: C
RUN_IN_KG = (20.0, 30.0)  # flow and setting wander so long on new burrs; sure: B
WARM_GROUNDS_DEGC = 50.0  # advice: not above; sure: B
CARE: tuple[CareByThroughput, ...] = (
    CareByThroughput("brush the chute", 10, 20, "C"),
    CareByThroughput("open and clean the chamber", 40, 80, "C"),
    CareByThroughput("cleaning tablets", 25, 50, "C"),
)


def printed_duty(on_s: float, off_s: float) -> float:
    """The duty share that a label prints as seconds on and seconds off.

    Formula: on over on plus off.

    Args:
        on_s: seconds on, above 0.
        off_s: seconds off, 0 or more.

    Returns:
        A share: 0.4 for 20 s on and 30 s off.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: definition of the duty factor.

    Example:
        >>> printed_duty(20, 30)
        0.4
    """
    on = positive("on_s", on_s)
    return on / (on + not_negative("off_s", off_s))


def printed_rest_s(run_s: float, on_s: float, off_s: float) -> float:
    """The rest after a run that keeps to a duty printed as seconds on and seconds off.

    Formula: run times off over on.

    Args:
        run_s: length of the run, s, 0 or more; not longer than the label allows at one go.
        on_s: seconds on, above 0.
        off_s: seconds off, 0 or more.

    Returns:
        Seconds of rest, at least.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: common practice, no source.

    Example:
        >>> printed_rest_s(8, 20, 30)
        12.0
    """
    return not_negative("run_s", run_s) * not_negative("off_s", off_s) / positive("on_s", on_s)
