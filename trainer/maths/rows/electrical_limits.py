"""Rows of ``electrical_limits``: earth continuity, insulation, leakage, by regime."""

from __future__ import annotations

from trainer.maths.catalogue import Argument, Entry, Result
from trainer.maths.electrical_limits import APPLIANCE_CLASSES, APPLIANCES, REGIMES

_NAMED = "named in the answer"
_CAUTION = (
    "Follow the local code and the name plate: limits differ by country and edition. Unplug first; "
    "earth continuity is the first electrical test, without it the others can be dangerous."
)
_HIGH = "The test puts 500 V on the appliance: keep clear, warn others, discharge afterwards. "
_REGIME = Argument("regime", "", "whose rule", shape="text", choices=REGIMES)
_CORD = Argument(
    "cord_m", "m", "length of the cord", 0, above=True, required=False, exact=True
)  # fmt: skip
_SECTION = Argument(
    "section_mm2", "mm2", "section of its cores", 0, above=True, required=False, exact=True
)
_RATED = Argument("rated_a", "A", "rated current", 0, above=True, required=False, exact=True)
_WORDS = (
    Result("regime", "", "whose rule"),
    Result("words", "", "what comes first"),
    Result("source", "", "where the figure is from"),
)
_EARTH = "0.1 ohm; or 0.3 ohm to 5 m and 0.1 more for each 7.5 m begun; or 0.1 ohm plus core; or 1"

ROWS = (
    Entry(
        name="earth_limit_by_code",
        meaning="The most that the protective conductor of a class I appliance may measure.",
        arguments=(_REGIME, _CORD, _SECTION, _RATED),
        unit="",
        formula=_EARTH,
        source=_NAMED,
        where="electrical_limits:earth_limit",
        example="regime=DIN VDE 0701-0702 cord_m=12.5",
        validity="by length: up to 1.5 mm2 and 16 A",
        caution=_CAUTION,
        results=(Result("limit_ohm", "ohm", "the most it may measure"), *_WORDS),
    ),
    Entry(
        name="earth_limit",
        meaning="As earth_limit_by_code, the number alone, for a formula.",
        arguments=(_REGIME, _CORD, _SECTION, _RATED),
        unit="ohm",
        formula=_EARTH,
        source="as earth_limit_by_code",
        where="electrical_limits:earth_limit_ohm",
        example="regime=UK IET Code of Practice cord_m=3 section_mm2=1.0",
        caution=_CAUTION,
    ),
    Entry(
        name="core_resistance",
        meaning="The resistance of one core of a flexible cord at 20 degC.",
        arguments=(
            Argument("section_mm2", "mm2", "0.75, 1.0, 1.5 or 2.5", 0, above=True, exact=True),
            Argument("cord_m", "m", "length", 0, above=True, exact=True),
        ),
        unit="ohm",
        formula="ohm per kilometre of the section times length",
        source="IEC 60228, class 5 copper (from memory)",
        where="electrical_limits:core_resistance_ohm",
        example="section_mm2=1.5 cord_m=5",
        caution=_CAUTION,
    ),
    Entry(
        name="insulation_limit_by_code",
        meaning="The least that the insulation of an appliance may measure.",
        arguments=(
            _REGIME,
            Argument("appliance_class", "", "class of the appliance", shape="text",
                     choices=APPLIANCE_CLASSES),
        ),
        unit="",
        formula="looked up",
        source=_NAMED,
        where="electrical_limits:insulation_limit",
        example="regime=DIN VDE 0701-0702 appliance_class=II",
        validity="appliance switched on; not behind relays that open",
        caution=_HIGH + _CAUTION,
        results=(
            Result("limit_megaohm", "Mohm", "the least it may measure"),
            Result("test_v", "V", "test voltage, d.c."),
            *_WORDS,
        ),
    ),
    Entry(
        name="leakage_limit_by_code",
        meaning="The most that may leak from an appliance.",
        arguments=(
            _REGIME,
            Argument("appliance", "", "which current of which appliance", shape="text",
                     choices=APPLIANCES),
            Argument("heating_kw", "kW", "heating power", 0, required=False, exact=True),
        ),
        unit="",
        formula="looked up; with heating power by the kilowatt where the regime says so",
        source=_NAMED,
        where="electrical_limits:leakage_limit",
        example="regime=DIN VDE 0701-0702 appliance=touch",
        caution=_CAUTION,
        results=(Result("limit_ma", "mA", "the most that may leak"), *_WORDS),
    ),
    Entry(
        name="mobility",
        meaning="Whether an appliance counts as portable or stationary.",
        arguments=(
            Argument("mass_kg", "kg", "mass", 0, above=True),
            Argument("is_fixed", "", "whether it is fixed", shape="flag", required=False),
            Argument("is_moved_in_use", "", "whether it is moved while used", shape="flag",
                     required=False),
        ),
        unit="",
        formula="portable when moved in use, or when not fixed and below 18 kg",
        source="IEC 60335-1 (from memory; the 18 kg in a web thread)",
        where="electrical_limits:mobility",
        example="mass_kg=12",
        caution=_CAUTION,
        is_text=True,
    ),
)  # fmt: skip
