"""Supply of a motor: table currents, conductors, plug fuse, cord, volt drop.

Currents, sections and drops that a code prescribes are given by the name of that code and come with
the words "follow the local code". Replace a fuse like for like; a second blown fuse is a fault to
find, not a fuse to change (common practice, no source).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.errors import InputError
from trainer.maths.electrical_limits import WORDS
from trainer.maths.ranges import no_result, not_negative, number, one_of, positive

PHASES = ("single-phase", "three-phase")
# Source: SI conductivity of copper at 20 degC as cable makers give it, m/(ohm mm2); 56 is also
# usual (from memory).
COPPER_M_PER_OHM_MM2 = 58.0
# IEC 60364-5-52 annex G, hot copper (from memory).
HOT_COPPER_OHM_MM2_PER_M = 0.0225
# UK tables, volt drop of a twin cable (from memory): section mm2, mV/(A m).
UK_DROPS_MV_PER_A_M = {1.5: 29.0, 2.5: 18.0}
NEC = "NEC"
SUPPLIES = ("1 x 115 V", "1 x 230 V", "3 x 230 V", "3 x 460 V")
# Source: NEC tables 430.248 and 430.250 as two web pages print them (NEC 1999 and 2008). A further
# page prints other three-phase values from 3/4 to 1 1/2 hp: follow the code book. For sizing
# conductors, not for judging a motor.
FULL_LOAD_A: dict[str, tuple[float | None, ...]] = {
    "1/6": (4.4, 2.2, None, None),
    "1/4": (5.8, 2.9, None, None),
    "1/3": (7.2, 3.6, None, None),
    "1/2": (9.8, 4.9, 2.2, 1.1),
    "3/4": (13.8, 6.9, 3.2, 1.6),
    "1": (16.0, 8.0, 4.2, 2.1),
    "1 1/2": (20.0, 10.0, 6.0, 3.0),
    "2": (24.0, 12.0, 6.8, 3.4),
}
HORSEPOWERS = tuple(FULL_LOAD_A)
# NEC 430.22, conductors of one continuous-duty motor, as a web page prints it.
CONDUCTOR_SHARE = 1.25
DROP_LIMITS_PERCENT = {
    "IEC 60364-5-52 table G lighting": (3.0, "from memory"),
    "IEC 60364-5-52 table G other": (5.0, "from memory"),
    "NEC branch circuit": (3.0, "informational note (from memory)"),
    "NEC feeder and branch circuit": (5.0, "informational note (from memory)"),
    "cable maker's advice": (5.0, "a cable maker's page, which advises 3 to 5 %"),
}
DROP_REGIMES = tuple(DROP_LIMITS_PERCENT)
CORD_REGIME = "IEC 60335-1 cl. 25.8"
FUSE_REGIME = "BS 1362"


@dataclass(frozen=True, slots=True)
class CodeCurrent:
    """A current that a code names."""

    current_a: float
    words: str
    source: str


@dataclass(frozen=True, slots=True)
class CodeSection:
    """A section that a code names."""

    section_mm2: float
    words: str
    source: str


@dataclass(frozen=True, slots=True)
class CodeDrop:
    """A volt drop that a code or a page advises not to exceed."""

    limit_percent: float
    words: str
    source: str


def full_load_current(regime: str, horsepower: str, supply: str) -> CodeCurrent:
    """The table current of a motor, for sizing conductors and not for judging the motor.

    Formula: looked up.

    Args:
        regime: NEC.
        horsepower: 1/6, 1/4, 1/3, 1/2, 3/4, 1, 1 1/2 or 2.
        supply: ``1 x 115 V``, ``1 x 230 V``, ``3 x 230 V`` or ``3 x 460 V``.

    Returns:
        The current, and the words "follow the local code".

    Raises:
        InputError: MTH-030 for an unknown name, MTH-032 where the table has no value.

    Source: NEC 430.248 and 430.250 as two web pages print them.

    Example:
        >>> full_load_current("NEC", "1/2", "1 x 230 V").current_a
        4.9
    """
    one_of("regime", regime, (NEC,))
    row = FULL_LOAD_A[one_of("horsepower", horsepower, HORSEPOWERS)]
    current = row[SUPPLIES.index(one_of("supply", supply, SUPPLIES))]
    if current is None:
        raise InputError(no_result, why=f"no value for {horsepower} hp at {supply}; {WORDS}")
    return CodeCurrent(current, WORDS, "NEC 430.248 and 430.250 as two web pages print them")


def conductor_current(regime: str, current_a: float) -> CodeCurrent:
    """The current that the conductors of one continuous-duty motor must carry.

    Formula: 1.25 times the table current.

    Args:
        regime: NEC.
        current_a: table current, A, 0 or more.

    Returns:
        The current, and the words "follow the local code".

    Raises:
        InputError: MTH-030 for an unknown regime or a negative current.

    Source: NEC 430.22 as a web page prints it.

    Example:
        >>> conductor_current("NEC", 8.0).current_a
        10.0
    """
    one_of("regime", regime, (NEC,))
    current = CONDUCTOR_SHARE * not_negative("current_a", current_a)
    return CodeCurrent(current, WORDS, "NEC 430.22 as a web page prints it")


def plug_fuse(regime: str, power_w: float, *, is_motor: bool) -> CodeCurrent:
    """The fuse usual in a plug of this regime; the name plate comes first.

    Formula: 3 A up to about 700 W, else 13 A; a motor often 13 A because of its start.

    Args:
        regime: BS 1362.
        power_w: rated power, W, above 0.
        is_motor: whether a motor starts on it.

    Returns:
        The fuse, and the words "follow the local code".

    Raises:
        InputError: MTH-030 for an unknown regime or a power that is not above 0.

    Source: from memory; common practice, no source.

    Example:
        >>> plug_fuse("BS 1362", 400, is_motor=False).current_a
        3.0
    """
    one_of("regime", regime, (FUSE_REGIME,))
    small = positive("power_w", power_w) <= 700 and not is_motor
    source = "from memory; common practice, no source"
    return CodeCurrent(3.0 if small else 13.0, WORDS, source)


def cord_section(regime: str, current_a: float, cord_m: float) -> CodeSection:
    """The least section of the cord of an appliance.

    Formula: 1.0 mm2 to 10 A (0.75 mm2 when no longer than 2 m), 1.5 mm2 above.

    Args:
        regime: IEC 60335-1 cl. 25.8.
        current_a: rated current, A, 6 to 16.
        cord_m: length, m, above 0.

    Returns:
        The section, and the words "follow the local code".

    Raises:
        InputError: MTH-030 for an unknown regime or a current out of range.

    Source: IEC 60335-1 cl. 25.8 (from memory).

    Example:
        >>> cord_section("IEC 60335-1 cl. 25.8", 12, 3).section_mm2
        1.5
    """
    one_of("regime", regime, (CORD_REGIME,))
    current, length = number("current_a", current_a, 6, 16), positive("cord_m", cord_m)
    section = 1.5 if current > 10 else 0.75 if length <= 2 else 1.0
    return CodeSection(section, WORDS, f"{CORD_REGIME} (from memory)")


def volt_drop_v(
    phases: str,
    cord_m: float,
    current_a: float,
    power_factor: float,
    *,
    section_mm2: float,
    conductivity_m_per_ohm_mm2: float,
) -> float:
    """The voltage lost on the way to a load; reactance is neglected.

    Formula: 2 (single-phase) or root of 3 (three-phase) times length one way times current times
    power factor, over (conductivity times section).

    Args:
        phases: ``single-phase`` or ``three-phase``.
        cord_m: length one way, m, 0 or more.
        current_a: current, A, 0 or more.
        power_factor: cos phi, 0 to 1.
        section_mm2: section, mm2, above 0.
        conductivity_m_per_ohm_mm2: m/(ohm mm2), above 0: copper 58 (56 is also usual, 44.4 hot).

    Returns:
        Volts.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: a cable maker's formulas and its 58 for copper at 20 degC; 56 and hot copper from
        memory; small below 16 mm2 against reactance (from memory).

    Example:
        >>> round(volt_drop_v("single-phase", 20, 10, 0.9, section_mm2=1.5,
        ...       conductivity_m_per_ohm_mm2=58), 6)
        4.137931
    """
    ways = 2.0 if one_of("phases", phases, PHASES) == "single-phase" else math.sqrt(3)
    way = not_negative("cord_m", cord_m) * not_negative("current_a", current_a)
    conductor = positive("conductivity_m_per_ohm_mm2", conductivity_m_per_ohm_mm2)
    factor = number("power_factor", power_factor, 0, 1)
    return ways * way * factor / (conductor * positive("section_mm2", section_mm2))


def tabled_drop_v(drop_mv_per_a_m: float, current_a: float, cord_m: float) -> float:
    """The voltage lost by a table value in millivolts for each ampere and metre.

    Formula: table value times current times length.

    Args:
        drop_mv_per_a_m: table value, mV/(A m), above 0; UK tables 29 for 1.5 mm2 and 18 for 2.5.
        current_a: current, A, 0 or more.
        cord_m: length one way, m, 0 or more.

    Returns:
        Volts.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: UK tables (from memory).

    Example:
        >>> tabled_drop_v(29, 10, 20)
        5.8
    """
    way = not_negative("current_a", current_a) * not_negative("cord_m", cord_m)
    return positive("drop_mv_per_a_m", drop_mv_per_a_m) * way / 1000


def drop_share(drop_v: float, voltage_v: float) -> float:
    """A volt drop as a share of the supply voltage.

    Formula: drop over voltage.

    Args:
        drop_v: drop, V, 0 or more.
        voltage_v: supply voltage, V, above 0.

    Returns:
        A share: 0.018 is 1.8 %.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: a cable maker's formulas.

    Example:
        >>> round(100 * drop_share(4.137931, 230), 4)
        1.7991
    """
    return not_negative("drop_v", drop_v) / positive("voltage_v", voltage_v)


def drop_limit(regime: str) -> CodeDrop:
    """The volt drop that a regime advises not to exceed.

    Formula: looked up.

    Args:
        regime: by name; see ``DROP_REGIMES``.

    Returns:
        The limit in per cent, and the words "follow the local code".

    Raises:
        InputError: MTH-030 for an unknown regime.

    Source: named in the answer.

    Example:
        >>> drop_limit("NEC branch circuit").limit_percent
        3.0
    """
    percent, source = DROP_LIMITS_PERCENT[one_of("regime", regime, DROP_REGIMES)]
    return CodeDrop(percent, WORDS, source)
