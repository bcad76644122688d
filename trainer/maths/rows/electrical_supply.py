"""Rows of ``electrical_supply``: table currents, conductors, fuse, cord, volt drop."""

from __future__ import annotations

from trainer.maths.catalogue import Argument, Entry, Result
from trainer.maths.electrical_supply import (
    CORD_REGIME,
    DROP_REGIMES,
    FUSE_REGIME,
    HORSEPOWERS,
    NEC,
    PHASES,
    SUPPLIES,
)

_CAUTION = "Follow the local code and the name plate; work on a fixed supply is licensed work."
_FUSE = "Replace like for like: a second blown fuse is a fault to find. Unplug first. "
_MAKER = "a cable maker's formulas"
_WORDS = (
    Result("words", "", "what comes first"),
    Result("source", "", "where the figure is from"),
)
_CURRENT = Argument("current_a", "A", "current", 0)
_CORD = Argument("cord_m", "m", "length one way", 0)


def _regime(*names: str) -> Argument:
    return Argument("regime", "", "whose rule", shape="text", choices=names)


ROWS = (
    Entry(
        name="full_load_current_by_code",
        meaning="The table current of a motor, for sizing conductors only.",
        arguments=(
            _regime(NEC),
            Argument("horsepower", "", "rated power", shape="text", choices=HORSEPOWERS),
            Argument("supply", "", "phases and voltage", shape="text", choices=SUPPLIES),
        ),
        unit="",
        formula="looked up",
        source="NEC 430.248 and 430.250 as two web pages print them",
        where="electrical_supply:full_load_current",
        example="regime=NEC horsepower=1/2 supply=1 x 230 V",
        validity="not for judging a motor; a further page prints other three-phase values",
        caution=_CAUTION,
        results=(Result("current_a", "A", "table current"), *_WORDS),
    ),
    Entry(
        name="conductor_current_by_code",
        meaning="The current that the conductors of one continuous-duty motor must carry.",
        arguments=(_regime(NEC), _CURRENT),
        unit="",
        formula="1.25 times the table current",
        source="NEC 430.22 as a web page prints it",
        where="electrical_supply:conductor_current",
        example="regime=NEC current_a=8",
        caution=_CAUTION,
        results=(Result("current_a", "A", "current to carry"), *_WORDS),
    ),
    Entry(
        name="plug_fuse_by_code",
        meaning="The fuse usual in a plug of this regime.",
        arguments=(
            _regime(FUSE_REGIME),
            Argument("power_w", "W", "rated power", 0, above=True),
            Argument("is_motor", "", "whether a motor starts on it", shape="flag"),
        ),
        unit="",
        formula="3 A up to about 700 W, else 13 A; a motor often 13 A because of its start",
        source="from memory; common practice, no source",
        where="electrical_supply:plug_fuse",
        example="regime=BS 1362 power_w=400 is_motor=yes",
        caution=_FUSE + _CAUTION,
        results=(Result("current_a", "A", "fuse"), *_WORDS),
    ),
    Entry(
        name="cord_section_by_code",
        meaning="The least section of the cord of an appliance.",
        arguments=(
            _regime(CORD_REGIME),
            Argument("current_a", "A", "rated current", 6, 16),
            Argument("cord_m", "m", "length", 0, above=True),
        ),
        unit="",
        formula="1.0 mm2 to 10 A (0.75 mm2 when no longer than 2 m), 1.5 mm2 above",
        source="IEC 60335-1 cl. 25.8 (from memory)",
        where="electrical_supply:cord_section",
        example="regime=IEC 60335-1 cl. 25.8 current_a=12 cord_m=3",
        caution=_CAUTION,
        results=(Result("section_mm2", "mm2", "least section"), *_WORDS),
    ),
    Entry(
        name="volt_drop",
        meaning="The voltage lost on the way to a load.",
        arguments=(
            Argument("phases", "", "phases", shape="text", choices=PHASES),
            _CORD,
            _CURRENT,
            Argument("power_factor", "", "cos phi", 0, 1),
            Argument("section_mm2", "mm2", "section", 0, above=True),
            Argument("conductivity_m_per_ohm_mm2", "m/(ohm mm2)",
                     "copper 58; 56 is also usual, 44.4 hot", 0, above=True),
        ),
        unit="V",
        formula="2 or root of 3, times length times current times power factor, over "
        "(conductivity times section)",
        source=f"{_MAKER} and its 58 for copper at 20 degC; 56 and hot copper from memory",
        where="electrical_supply:volt_drop_v",
        example="phases=single-phase cord_m=20 current_a=10 power_factor=0.9 section_mm2=1.5 "
        "conductivity_m_per_ohm_mm2=58",
        validity="reactance neglected: small below 16 mm2 (from memory)",
        caution=_CAUTION,
    ),
    Entry(
        name="volt_drop_by_table",
        meaning="The voltage lost by a table value for each ampere and metre.",
        arguments=(
            Argument("drop_mv_per_a_m", "mV/(A m)", "table value", 0, above=True),
            _CURRENT,
            _CORD,
        ),
        unit="V",
        formula="table value times current times length",
        source="UK tables: 29 for 1.5 mm2, 18 for 2.5 mm2 (from memory)",
        where="electrical_supply:tabled_drop_v",
        example="drop_mv_per_a_m=29 current_a=10 cord_m=20",
        caution=_CAUTION,
    ),
    Entry(
        name="volt_drop_share",
        meaning="A volt drop as a share of the supply voltage.",
        arguments=(
            Argument("drop_v", "V", "drop", 0),
            Argument("voltage_v", "V", "supply voltage", 0, above=True),
        ),
        unit="",
        formula="drop over voltage",
        source=_MAKER,
        where="electrical_supply:drop_share",
        example="drop_v=4.137931 voltage_v=230",
        caution=_CAUTION,
    ),
    Entry(
        name="volt_drop_limit_by_code",
        meaning="The volt drop that a regime advises not to exceed.",
        arguments=(_regime(*DROP_REGIMES),),
        unit="",
        formula="looked up",
        source="named in the answer",
        where="electrical_supply:drop_limit",
        example="regime=NEC branch circuit",
        caution=_CAUTION,
        results=(Result("limit_percent", "%", "the most it should be"), *_WORDS),
    ),
)  # fmt: skip
