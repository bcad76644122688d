"""Duty types of rating plates, their duty figure, and whether a run log keeps to a rating."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.errors import InputError
from trainer.maths.duty import longest_run_s, peak_window
from trainer.maths.ranges import not_negative, number, one_of, out_of_range, positive
from trainer.maths.run_log import Runs

# Source: IEC 60034-1 cl. 5.2.2 and 5.2.3 (from memory): preferred shares of S3, preferred run times
# of S2, and the cycle that holds where none is stated.
PREFERRED_SHARES = (0.15, 0.25, 0.40, 0.60)
PREFERRED_RUN_MIN = (10, 30, 60, 90)
CYCLE_S = 600.0
# Source: the European motor regulation as a trade page reads it: S3 from 80 % counts as continuous.
CONTINUOUS_SHARE = 0.80


@dataclass(frozen=True, slots=True)
class DutyType:
    """What a duty type of a plate means, and which figure stands with it."""

    meaning: str
    figure: str
    has_standstill: bool = False


# Source: IEC 60034-1 cl. 4.2.1 to 4.2.10 in own words (clauses and figures from memory). Some web
# tables give S5 no standstill and exchange S7 with S8; that is not what the standard says.
DUTY_TYPES: dict[str, DutyType] = {
    "S1": DutyType("steady load until the temperature no longer changes", "none"),
    "S2": DutyType("one run too short to reach the final temperature, then a stop until cold",
                   "run time", has_standstill=True),
    "S3": DutyType("equal cycles of steady load and standstill; starting does not heat",
                   "share on", has_standstill=True),
    "S4": DutyType("as S3, with a start in each cycle that heats",
                   "share on, starts an hour, inertias", has_standstill=True),
    "S5": DutyType("as S4, with electric braking before the standstill",
                   "share on, starts an hour, inertias", has_standstill=True),
    "S6": DutyType("cycles of load and running idle, without standstill", "share loaded"),
    "S7": DutyType("cycles of start, load and electric braking, without standstill", "inertias"),
    "S8": DutyType("cycles of several loads each at its own speed, without standstill",
                   "share of each load and speed"),
    "S9": DutyType("load and speed vary without a period, with overloads", "reference load"),
    "S10": DutyType("up to four loads, each held to its final temperature",
                    "loads, times, relative life"),
}  # fmt: skip
_PARTS = {
    "S3": (),
    "S4": ("start_s",),
    "S5": ("start_s", "braking_s"),
    "S6": ("idle_s",),
}


@dataclass(frozen=True, slots=True)
class RatedTimes:
    """Seconds on and off that a rated share allows in one cycle."""

    on_s: float
    off_s: float


@dataclass(frozen=True, slots=True)
class RatingCheck:
    """Both tests of an intermittent rating: the busiest cycle's length and the longest run."""

    allowed_s: float
    busiest_s: float
    longest_s: float
    window_keeps: bool
    run_keeps: bool

    @property
    def keeps(self) -> bool:
        """Whether both tests are passed; one alone is not enough."""
        return self.window_keeps and self.run_keeps


def duty_type_meaning(duty_type: str) -> str:
    """What a duty type of a rating plate means, in a sentence.

    Formula: looked up.

    Args:
        duty_type: S1 to S10.

    Returns:
        Meaning, and the figure that stands with it.

    Raises:
        InputError: MTH-030 for another type.

    Source: IEC 60034-1 cl. 4.2.1 to 4.2.10, in own words (clauses and figures from memory).

    Example:
        >>> duty_type_meaning("S6")
        'cycles of load and running idle, without standstill (with it: share loaded)'
    """
    row = DUTY_TYPES[one_of("duty_type", duty_type, tuple(DUTY_TYPES))]
    return f"{row.meaning} (with it: {row.figure})"


def cyclic_share(
    duty_type: str,
    loaded_s: float,
    *,
    standstill_s: float = 0.0,
    start_s: float = 0.0,
    braking_s: float = 0.0,
    idle_s: float = 0.0,
) -> float:
    """The cyclic duration factor of one cycle of S3, S4, S5 or S6.

    Formula: S3 loaded over loaded and standstill; S4 adds the start, S5 the start and the electric
    braking to both; S6 loaded over loaded and idle.

    Args:
        duty_type: S3, S4, S5 or S6.
        loaded_s: loaded run, s, above 0.
        standstill_s: standstill, s, not of S6.
        start_s: start, s, of S4 and S5 only.
        braking_s: electric braking, s, of S5 only.
        idle_s: running without load, s, of S6 only.

    Returns:
        A share, 0 to 1.

    Raises:
        InputError: MTH-030 for a negative time, or a time that the type does not know.

    Source: IEC 60034-1 cl. 4.2.3 to 4.2.6 (from memory).

    Example:
        >>> cyclic_share("S3", 240, standstill_s=360)
        0.4
    """
    parts = _PARTS[one_of("duty_type", duty_type, tuple(_PARTS))]
    loaded = positive("loaded_s", loaded_s)
    times = {
        "standstill_s": not_negative("standstill_s", standstill_s),
        "start_s": not_negative("start_s", start_s),
        "braking_s": not_negative("braking_s", braking_s),
        "idle_s": not_negative("idle_s", idle_s),
    }
    known = {*parts} if duty_type == "S6" else {*parts, "standstill_s"}
    for name, value in times.items():
        if value and name not in known:
            raise InputError(
                out_of_range, argument=name, value=f"{value:g}", allowed=f"0 for {duty_type}"
            )
    on = loaded + times["start_s"] + times["braking_s"]
    return on / (on + times["standstill_s"] + times["idle_s"])


def rated_times(rated_share: float, cycle_s: float = CYCLE_S) -> RatedTimes:
    """Seconds on and off that a rating such as S3 40 % allows in one cycle.

    Formula: share times cycle; the rest is off.

    Args:
        rated_share: share on of the plate, above 0 to 1.
        cycle_s: cycle, s, above 0; ten minutes unless the plate says otherwise.

    Returns:
        Seconds on and off.

    Raises:
        InputError: MTH-030 for a share or a cycle out of range.

    Source: IEC 60034-1 cl. 5.2.3 (from memory); the cycle of ten minutes as trade pages give it.

    Example:
        >>> rated_times(0.25)
        RatedTimes(on_s=150.0, off_s=450.0)
    """
    share = number("rated_share", rated_share, 0, 1, above=True)
    cycle = positive("cycle_s", cycle_s)
    return RatedTimes(share * cycle, cycle - share * cycle)


def rating_check(
    runs_s: Runs,
    rated_share: float,
    cycle_s: float = CYCLE_S,
    begin_s: float | None = None,
    end_s: float | None = None,
) -> RatingCheck:
    """Whether a log keeps to an intermittent rating: two tests, not one.

    Formula: on-time in any window of one cycle, and each single run, at most share times cycle. The
    same share over a longer cycle runs hotter, so the longest run counts by itself.

    Args:
        runs_s: run log, s, at least one run.
        rated_share: share on of the plate, above 0 to 1.
        cycle_s: cycle, s, above 0, no longer than the observation.
        begin_s: begin of the observation, s; the first start when not given.
        end_s: end of the observation, s; the last stop when not given.

    Returns:
        What is allowed, the busiest window, the longest run, and both verdicts.

    Raises:
        InputError: MTH-030 for a cycle longer than the observation, MTH-032 for no run.

    Source: IEC 60034-1 cl. 4.2.3 and 5.2.3 (from memory); the two tests: common practice, no
        source.

    Example:
        >>> rating_check([(0, 200), (400, 600), (1000, 1010)], 0.4).keeps
        False
    """
    allowed = rated_times(rated_share, cycle_s).on_s
    busiest = peak_window(runs_s, cycle_s, begin_s, end_s).busy_s
    longest = longest_run_s(runs_s)
    slack = 1e-9 * allowed  # what adding up seconds can miss
    return RatingCheck(
        allowed, busiest, longest, busiest <= allowed + slack, longest <= allowed + slack
    )


def counts_as_continuous(rated_share: float) -> bool:
    """Whether the European motor rule takes an S3 rating for continuous running.

    Formula: share of 0.8 or more.

    Args:
        rated_share: share on of the plate, above 0 to 1.

    Returns:
        Yes or no.

    Raises:
        InputError: MTH-030 for a share out of range.

    Source: the EU motor regulation as a trade page reads it; ask the text in force.

    Example:
        >>> counts_as_continuous(0.6)
        False
    """
    return number("rated_share", rated_share, 0, 1, above=True) >= CONTINUOUS_SHARE


def starts_of_cycle_per_h(cycle_s: float) -> float:
    """Starts an hour when every cycle has one start.

    Formula: 3600 over the cycle.

    Args:
        cycle_s: cycle, s, above 0.

    Returns:
        Starts per hour.

    Raises:
        InputError: MTH-030 for a cycle that is not above 0.

    Source: common practice, no source.

    Example:
        >>> starts_of_cycle_per_h(60)
        60.0
    """
    return 3600.0 / positive("cycle_s", cycle_s)
