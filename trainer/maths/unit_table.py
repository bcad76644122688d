"""The closed table of the trade's units: symbol, dimension, exact factor, what people type for it.

Only data stands here; ``units`` reads it. A unit that is not in this table does not exist for the
engine. Compound units (``g/s``, ``ohm mm2/m``) are not listed: ``units.parse_unit`` builds them
from these rows.

Factors say how many base units one unit is: kilogram, metre, second, kelvin, ampere, turn, money.

Sources, where a row names none: the International System of Units (BIPM, SI Brochure, 9th edition,
2019): prefixes table 7, derived units table 4, minute, hour, day, litre and tonne table 8 (from
memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.maths.dimensions import (
    ANGLE,
    CAPACITANCE,
    CONDUCTANCE,
    CURRENT,
    ENERGY,
    FORCE,
    LENGTH,
    MASS,
    MONEY,
    NUMBER,
    POWER,
    PRESSURE,
    RATE,
    RESISTANCE,
    TEMPERATURE,
    TIME,
    VOLTAGE,
    VOLUME,
    Dimension,
)


@dataclass(frozen=True, slots=True)
class Atom:
    """One row: a unit that is not made of others. A symbol has no ``plural``."""

    symbol: str
    dimension: Dimension
    factor: Fraction
    aliases: tuple[str, ...] = ()
    names: tuple[str, ...] = ()  # whole words, read without regard to capitals
    printed: str = ""
    plural: str = ""
    counting: bool = False


# 1 lb = 0.45359237 kg and 1 inch = 25.4 mm exactly, 1 oz = 1/16 lb. Source: NIST Special
# Publication 811 (2008), appendix B.8, after the yard and pound agreement of 1959 (from memory).
POUND_KG = Fraction("0.45359237")
INCH_M = Fraction("0.0254")
# Standard acceleration of free fall, exact by convention. Source: SI Brochure, 3rd CGPM 1901 (from
# memory).
FREE_FALL_M_PER_S2 = Fraction("9.80665")
# 1 / (2 pi) to 28 figures, worked out from pi to 40 figures: a radian as a part of a turn.
TURN_PER_RADIAN = Fraction("0.1591549430918953357688837634")


def _prefixed(
    stem: str, dimension: Dimension, prefixes: str, *, one: Fraction = Fraction(1),
    printed: str = "", name: str = "", plural: str = "",
) -> tuple[Atom, ...]:  # fmt: skip
    """Rows of one unit under SI prefixes, given as a string of letters ('-' is no prefix)."""
    rows = []
    for letter in prefixes:
        prefix, factor, word = PREFIXES[letter]
        names = tuple(word + form for form in (name, plural) if form)
        shown = (prefix.replace("u", "µ") + (printed or stem)) if prefix == "u" or printed else ""
        rows.append(Atom(prefix + stem, dimension, one * factor, names=names, printed=shown))
    return tuple(rows)


PREFIXES = {
    "p": ("p", Fraction(1, 10**12), "pico"),
    "n": ("n", Fraction(1, 10**9), "nano"),
    "u": ("u", Fraction(1, 10**6), "micro"),
    "m": ("m", Fraction(1, 1000), "milli"),
    "c": ("c", Fraction(1, 100), "centi"),
    "-": ("", Fraction(1), ""),
    "k": ("k", Fraction(1000), "kilo"),
    "M": ("M", Fraction(10**6), "mega"),
    "G": ("G", Fraction(10**9), "giga"),
}


def _counting(word: str, plural: str = "", *names: str) -> Atom:
    many = plural or word + "s"
    return Atom(word, NUMBER, Fraction(1), names=(word, many, *names), plural=many, counting=True)


ATOMS: tuple[Atom, ...] = (
    # mass
    *_prefixed("g", MASS, "um-k", one=Fraction(1, 1000), name="gram", plural="grams"),
    Atom("t", MASS, Fraction(1000), names=("tonne", "tonnes")),
    Atom("lb", MASS, POUND_KG, aliases=("lbs",), names=("pound", "pounds", "lb", "lbs")),
    Atom("oz", MASS, POUND_KG / 16, names=("ounce", "ounces", "oz")),
    # time
    *_prefixed("s", TIME, "um-", name="second", plural="seconds"),
    Atom("min", TIME, Fraction(60), aliases=("mins",), names=("minute", "minutes", "min", "mins")),
    Atom("h", TIME, Fraction(3600), names=("hour", "hours", "hr", "hrs")),
    Atom("day", TIME, Fraction(86400), aliases=("d",), names=("day", "days"), plural="days"),
    Atom("week", TIME, Fraction(604800), names=("week", "weeks", "wk", "wks"), plural="weeks"),
    # length and volume
    *_prefixed("m", LENGTH, "numc-k", name="metre", plural="metres"),
    Atom("inch", LENGTH, INCH_M, names=("inch", "inches")),
    *_prefixed("l", VOLUME, "m-", one=Fraction(1, 1000), name="litre", plural="litres"),
    # temperature: degC is a point on a scale (its offset stands in ``units``), K a difference
    Atom("K", TEMPERATURE, Fraction(1), names=("kelvin", "kelvins")),
    Atom("degC", TEMPERATURE, Fraction(1), aliases=("C", "degc"), names=("celsius",), printed="°C"),
    # angle: the turn is the base, so that a turn and a degree are exact
    Atom("turn", ANGLE, Fraction(1), plural="turns",
         names=("turn", "turns", "rev", "revs", "revolution", "revolutions")),
    Atom("deg", ANGLE, Fraction(1, 360), names=("degree", "degrees", "deg", "degs")),
    Atom("rad", ANGLE, TURN_PER_RADIAN, names=("radian", "radians", "rad")),
    # rates
    *_prefixed("Hz", RATE, "-k", name="hertz"),
    # mechanics
    *_prefixed("N", FORCE, "mc-k", name="newton", plural="newtons"),
    *_prefixed("Pa", PRESSURE, "-kM", name="pascal", plural="pascals"),
    *_prefixed("bar", PRESSURE, "m-", one=Fraction(10**5), name="bar"),
    # Source: NIST Special Publication 811 (2008), appendix B.8: pound-force per square inch (from
    # memory).
    Atom("psi", PRESSURE, POUND_KG * FREE_FALL_M_PER_S2 / INCH_M**2, names=("psi",)),
    *_prefixed("J", ENERGY, "m-kM", name="joule", plural="joules"),
    *_prefixed("Wh", ENERGY, "-k", one=Fraction(3600)),
    *_prefixed("W", POWER, "m-k", name="watt", plural="watts"),
    # electricity
    *_prefixed("A", CURRENT, "num-", name="ampere", plural="amperes"),
    *_prefixed("V", VOLTAGE, "um-k", name="volt", plural="volts"),
    *_prefixed("ohm", RESISTANCE, "um-kMG", printed="Ω", name="ohm", plural="ohms"),
    *_prefixed("S", CONDUCTANCE, "um-", name="siemens"),
    *_prefixed("F", CAPACITANCE, "pnum-", name="farad", plural="farads"),
    # money: one currency, whichever the site keeps its books in
    Atom("money", MONEY, Fraction(1), names=("money",)),
    # numbers: percent is a number, and so is a difference of two percentages
    Atom("%", NUMBER, Fraction(1, 100), names=("percent",)),
    Atom("%-points", NUMBER, Fraction(1, 100), aliases=("%-point", "pp"), names=()),
    *(
        _counting(word)
        for word in (
            "dose", "mark", "lock", "set", "event", "shot", "step", "point", "count", "check",
            "start", "cycle",
            "stop", "visit", "job", "machine", "grinder", "burr", "bean", "part", "piece", "pole",
            "screw", "reading",
            "cause", "failure", "division", "spare", "sample", "cup", "item", "round", "answer",
            "test", "row",
        )
    ),
    _counting("person", "people", "persons"),
    _counting("tooth", "teeth"),
)  # fmt: skip

# What people type that is not one word of the table, read as a whole.
WHOLE: dict[str, str] = {
    "rpm": "1/min", "RPM": "1/min", "rev/min": "1/min", "revs/min": "1/min", "r/min": "1/min",
    "rps": "1/s",
    "rev/s": "1/s", "Nm": "N m", "Ncm": "N cm", "cNm": "cN m", "Nmm": "N mm", "VA": "V A",
    "cc": "cm3",
    "per cent": "%", "percentage points": "%-points", "percentage point": "%-points",
    "percent points": "%-points",
    "% points": "%-points", "%points": "%-points", "degree C": "degC", "degrees C": "degC",
    "deg C": "degC",
    "degrees Celsius": "degC", "degree Celsius": "degC", "degrees celsius": "degC", "°": "deg",
    "degsC": "degC",
}  # fmt: skip

# Short forms and other spellings of single words.
SPELLINGS: dict[str, str] = {
    "sec": "s", "secs": "s", "kilo": "kg", "kilos": "kg", "kgs": "kg", "KG": "kg", "Kg": "kg",
    "gs": "g", "mcg": "ug",
    "gramme": "g", "grammes": "g", "kilogramme": "kg", "kilogrammes": "kg", "meter": "m",
    "meters": "m",
    "millimeter": "mm", "millimeters": "mm", "centimeter": "cm", "centimeters": "cm",
    "kilometer": "km",
    "kilometers": "km", "micrometer": "um", "micrometers": "um", "micron": "um", "microns": "um",
    "liter": "l",
    "liters": "l", "milliliter": "ml", "milliliters": "ml", "L": "l", "mL": "ml", "hz": "Hz",
    "KW": "kW", "Kw": "kW",
    "kw": "kW", "kwh": "kWh", "KWh": "kWh", "amp": "A", "amps": "A", "milliamp": "mA",
    "milliamps": "mA",
    "microamp": "uA", "microamps": "uA", "R": "ohm", "Ohm": "ohm", "Ohms": "ohm", "ohms": "ohm",
    "kohms": "kohm",
    "Mohms": "Mohm", "mohms": "mohm", "Kohm": "kohm", "kOhm": "kohm", "MOhm": "Mohm",
    "mOhm": "mohm",
    "megohm": "Mohm", "megohms": "Mohm", "pct": "%",
}  # fmt: skip

# Words that are no unit here, and why: a better answer than "unknown".
REFUSED: dict[str, str] = {
    "month": "a month has no fixed length; count in days",
    "months": "a month has no fixed length; count in days",
    "year": "a year has no fixed length; count in days",
    "years": "a year has no fixed length; count in days",
    "HRC": "HRC is a scale reading, not a pressure; convert it by a table first",
    "HV": "a Vickers number is kgf/mm2; multiply it by 9.80665 MPa",
    "gr": "gr can mean gram or grain; write g",
    "degF": "temperatures here are in degC",
    "F°": "temperatures here are in degC",
    "ppm": "write the share in % or as a plain number",
}

# The units people use for one another, most usual first: what an answer cell offers beside its own
# unit. Every row is one dimension and one way of speaking: a torque is not offered in kWh.
USUAL: tuple[tuple[str, ...], ...] = (
    ("g", "kg", "mg", "lb", "oz", "t"),
    ("s", "min", "h", "day", "week", "ms"),
    ("mm", "um", "m", "cm", "km", "inch"),
    ("mm2", "cm2", "m2"),
    ("m3", "l", "ml", "cm3"),
    ("K",),
    ("turn", "deg", "rad"),
    ("1/min", "1/s", "1/h", "1/day"),
    ("Hz", "kHz"),
    ("m/s", "mm/s", "km/h"),
    ("um/h", "mm/h"),
    ("m/s2",),
    ("g/s", "kg/h", "kg/day", "g/min", "kg/s"),
    ("m3/h", "l/min", "l/s", "m3/s"),
    ("N", "kN"),
    ("Pa", "kPa", "MPa", "bar", "mbar", "psi"),
    ("J", "kJ", "Wh", "kWh"),
    ("N m", "N cm"),
    ("W", "kW", "mW"),
    ("V", "mV", "kV"),
    ("A", "mA", "uA"),
    ("ohm", "mohm", "kohm", "Mohm"),
    ("S", "mS", "uS"),
    ("F", "uF", "nF"),
    ("money",),
    ("money/kg", "money/g"),
    ("money/h", "money/day"),
    ("um/kg", "mm/kg"),
    ("mm/turn", "um/turn"),
    ("turn/min", "turn/s", "deg/s", "rad/s"),
    ("kg/m3", "g/cm3"),
    ("ohm/km", "ohm/m", "mohm/m"),
    ("ohm mm2/m", "ohm m"),
    ("J/(kg K)", "kJ/(kg K)"),
    ("W/K",),
    ("K/W",),
    ("J/K",),
    ("kg m2", "g mm2"),
)
