"""Units against pint and against figures published by NIST; people's spellings; refusals."""

from __future__ import annotations

import subprocess
import sys
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.strategies import compound_units, plain_decimals, simple_units
from trainer.errors import InputError
from trainer.maths.dimensions import BASE, dim
from trainer.maths.unit_reading import unknown_unit, unreadable_unit
from trainer.maths.unit_table import ATOMS, REFUSED, SPELLINGS, USUAL, WHOLE
from trainer.maths.units import (
    BARE,
    Unit,
    alternatives,
    base_unit,
    convert,
    dimension_name,
    other_dimension,
    parse_unit,
    point_and_difference,
    same_dimension,
    units_of_dimension,
)

# What pint calls a unit where our symbol is not its own (its 'Nm' and 'l' are other things).
PINT_NAMES = {
    "t": "metric_ton", "h": "hour", "l": "liter", "ml": "milliliter", "oz": "ounce", "lb": "pound",
    "%": "percent",
    "%-points": "percent", "Wh": "watt_hour", "kWh": "kilowatt_hour", "min": "minute",
    "cN": "centinewton",
    "S": "siemens", "uS": "microsiemens", "mS": "millisiemens", "deg": "degree", "ug": "microgram",
    "um": "micrometer",
    "us": "microsecond", "uohm": "microohm", "mohm": "milliohm", "kohm": "kiloohm",
    "Mohm": "megaohm",
    "Gohm": "gigaohm", "uF": "microfarad", "uA": "microampere", "uV": "microvolt",
}  # fmt: skip
COMPOUNDS = {
    "g/s": "gram/second", "kg/day": "kilogram/day", "1/min": "1/minute",
    "um/kg": "micrometer/kilogram",
    "mm/turn": "millimeter/turn", "ohm mm2/m": "ohm*millimeter**2/meter", "ohm/km": "ohm/kilometer",
    "mV/V": "millivolt/volt", "m3/h": "meter**3/hour", "J/(kg K)": "joule/(kilogram*kelvin)",
    "kg/m3": "kilogram/meter**3", "N m": "newton*meter", "N cm": "newton*centimeter",
    "kg/h": "kilogram/hour",
    "m/s2": "meter/second**2", "W/K": "watt/kelvin", "deg/s": "degree/second", "h/day": "hour/day",
    "mm2": "millimeter**2", "g/cm3": "gram/centimeter**3", "um/h": "micrometer/hour",
    "g mm2": "gram*millimeter**2", "l/min": "liter/minute",
}  # fmt: skip
PINT_BASE = ("kilogram", "meter", "second", "kelvin", "ampere", "turn")

# Every unit text that the exercises of the trade use.
EXERCISE_UNITS = """
% %-points 1/min 1/s A J K Mohm V W check count count/g day deg degC dose dose/day dose/h event
event/1000_dose g g/s h h/day kg kg/day kohm lock m m/s m3/h mV/V mark mark/turn mg min mm mm/turn
mm2 mohm money money/h money/kg ms ohm person point s set step turn uA uF um um/kg um/mark Hz C V A
mA kW kJ kg/h ohm_mm2/m ohm/km J/(kg_K) kg/m3 kWh N_m N bar MPa um/h g/dose s/dose dose/kg start/h
start/dose kg/set money/set min/day kg/m2 g/mark W/K 1/day 1/h week lb oz
""".split()  # noqa: SIM905 - one line a line of thought


@lru_cache(maxsize=1)
def registry() -> Any:  # noqa: ANN401 - pint is untyped
    import pint

    return pint.UnitRegistry()


def pint_factor(expression: str, dimension: tuple[int, ...]) -> float:
    """How many of our base units pint says one of these is."""
    ureg = registry()
    base = ureg.Quantity(1.0, "")
    for name, power in zip(PINT_BASE, dimension, strict=False):
        base = base * ureg(name) ** power
    return float((ureg(expression) / base).to("").magnitude)


@pytest.mark.parametrize(
    "symbol",
    [atom.symbol for atom in ATOMS if not atom.counting and atom.symbol not in {"money", "degC"}],
)
def test_every_unit_of_the_table_is_what_pint_says(symbol: str) -> None:
    unit = parse_unit(symbol)
    assert pint_factor(PINT_NAMES.get(symbol, symbol), unit.dimension) == pytest.approx(
        float(unit.factor), rel=1e-12
    )


@pytest.mark.parametrize(("text", "expression"), COMPOUNDS.items())
def test_compounds_are_what_pint_says(text: str, expression: str) -> None:
    unit = parse_unit(text)
    assert pint_factor(expression, unit.dimension) == pytest.approx(float(unit.factor), rel=1e-12)


def test_celsius_is_what_pint_says() -> None:
    ureg = registry()
    assert ureg.Quantity(20.0, "degC").to("kelvin").magnitude == pytest.approx(
        float(parse_unit("degC").to_base(Decimal(20)))
    )


@pytest.mark.parametrize(
    ("text", "exact"),
    [
        # NIST Special Publication 811 (2008), appendix B.8 (from memory)
        ("lb", "0.45359237"),
        ("oz", "0.028349523125"),
        ("inch", "0.0254"),
        ("bar", "100000"),
        ("kWh", "3600000"),
        # SI Brochure, 9th edition (2019), table 8 (from memory)
        ("t", "1000"),
        ("l", "0.001"),
        ("min", "60"),
        ("h", "3600"),
        ("day", "86400"),
    ],
)
def test_exact_factors(text: str, exact: str) -> None:
    assert parse_unit(text).factor == Fraction(exact)


def test_psi_is_its_definition() -> None:
    # 1 psi = 6894.757 Pa, NIST Special Publication 811 (2008), appendix B.8 (from memory)
    assert float(parse_unit("psi").factor) == pytest.approx(6894.757, abs=5e-4)


def test_a_turn_is_360_degrees_exactly_and_two_pi_radians() -> None:
    turn, deg, rad = parse_unit("turn"), parse_unit("deg"), parse_unit("rad")
    assert convert(Decimal(360), deg, turn) == 1
    assert convert(Decimal(72), deg, turn) == Decimal("0.2")
    # 2 pi to 25 places, any table of constants
    assert convert(Decimal(1), turn, rad) == pytest.approx(
        Decimal("6.2831853071795864769252868"), abs=Decimal("1e-25")
    )


@pytest.mark.parametrize("text", EXERCISE_UNITS)
def test_every_unit_of_the_exercises_reads(text: str) -> None:
    assert parse_unit(text.replace("_", " "))


@pytest.mark.parametrize(
    ("typed", "symbol"),
    [
        ("sec", "s"), ("seconds", "s"), ("Minutes", "min"), ("hrs", "h"), ("hr", "h"),
        ("d", "day"), ("Days", "day"),
        ("kilos", "kg"), ("KG", "kg"), ("grams", "g"), ("gramme", "g"), ("µm", "um"), ("μm", "um"),
        ("micron", "um"),
        ("Ω", "ohm"), ("\u2126", "ohm"), ("kΩ", "kohm"), ("MΩ", "Mohm"), ("mΩ", "mohm"),
        ("Ohms", "ohm"),
        ("OHM", "ohm"), ("µF", "uF"), ("°C", "degC"), ("° C", "degC"), ("ºC", "degC"),
        ("℃", "degC"), ("C", "degC"),
        ("degrees C", "degC"), ("Celsius", "degC"), ("°", "deg"), ("degrees", "deg"),
        ("rpm", "1/min"),
        ("rev/min", "1/min"), ("min-1", "1/min"), ("min⁻¹", "1/min"), ("min^-1", "1/min"),
        ("s−1", "1/s"),
        ("Nm", "N m"), ("N·m", "N m"), ("N*m", "N m"), ("N⋅m", "N m"), ("Ncm", "N cm"),
        ("mm²", "mm2"),
        ("mm^2", "mm2"), ("m³/h", "m3/h"), ("m^3/h", "m3/h"), ("g per s", "g/s"), ("g / s", "g/s"),
        (" kg ", "kg"),
        ("doses", "dose"), ("Doses/Day", "dose/day"), ("people", "person"), ("teeth", "tooth"),
        ("percent", "%"),
        ("per cent", "%"), ("percentage points", "%-points"), ("pp", "%-points"), ("pounds", "lb"),
        ("lbs", "lb"),
        ("LB", "lb"), ("ounces", "oz"), ("litres", "l"), ("L/min", "l/min"), ("watts", "W"),
        ("Volts", "V"),
        ("VA", "V A"), ("amps", "A"), ("kw", "kW"), ("J/(kg·K)", "J/(kg K)"),
        ("Ω·mm²/m", "ohm mm2/m"),
        ("(kg)/(day)", "kg/day"), ("1", ""), ("", ""), ("  ", ""), ("turns", "turn"),
        ("revs", "turn"),
        ("events/1000 doses", "event/1000 dose"),
    ],
)  # fmt: skip
def test_what_people_type(typed: str, symbol: str) -> None:
    assert parse_unit(typed).symbol == symbol


@pytest.mark.parametrize(
    ("typed", "code", "words"),
    [
        ("kgg", unknown_unit, "Did you mean kg?"),
        ("ohmm", unknown_unit, "ohm"),
        ("secnds", unknown_unit, "Did you mean s"),
        ("month", unknown_unit, "no fixed length"),
        ("degF", unknown_unit, "degC"),
        ("gr", unknown_unit, "grain"),
        ("HRC", unknown_unit, "not a pressure"),
        ("zzzzzz", unknown_unit, "units of the table"),
        ("MV", unknown_unit, ""),  # not millivolts: a capital would be a million
        ("MOHM", unknown_unit, ""),
        ("m/s/s", unreadable_unit, "m/s2"),
        ("J/kg K", unreadable_unit, "J/(kg K)"),
        ("/min", unreadable_unit, "1/min"),
        ("kg/", unreadable_unit, "kg/day"),
        ("degC/s", unreadable_unit, "K"),
        ("degC2", unreadable_unit, "K"),
        ("1/degC", unreadable_unit, "K"),
        ("kg$", unreadable_unit, "kg/day"),
        ("m10", unreadable_unit, "mm2"),
        ("m0", unreadable_unit, "mm2"),
        ("_g", unreadable_unit, "kg/day"),
        ("g" * 61, unreadable_unit, "kg/day"),
        ("event/0 dose", unreadable_unit, ""),
        ("s/1", unreadable_unit, ""),
    ],
)
def test_what_is_refused_and_how_to_mend_it(typed: str, code: str, words: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_unit(typed)
    assert caught.value.code == code
    assert words in caught.value.cure
    assert str(caught.value)


def test_the_tables_name_only_each_other() -> None:
    symbols = {atom.symbol for atom in ATOMS}
    assert len(symbols) == len(ATOMS)
    assert set(SPELLINGS.values()) <= symbols
    assert not set(SPELLINGS) & symbols
    for text in (*WHOLE.values(), *(text for row in USUAL for text in row)):
        assert parse_unit(text).symbol == text
    for row in USUAL:
        assert len({parse_unit(text).dimension for text in row}) == 1
    for text in REFUSED:
        with pytest.raises(InputError, match=text):
            parse_unit(text)


def test_no_two_units_share_a_spelling() -> None:
    seen: dict[str, str] = {}
    for atom in ATOMS:
        for spelling in {atom.symbol, *atom.aliases}:
            assert seen.setdefault(spelling, atom.symbol) == atom.symbol
    folded: dict[str, str] = {}
    for atom in ATOMS:
        for name in {name.casefold() for name in atom.names}:
            assert folded.setdefault(name, atom.symbol) == atom.symbol
            # a name in small letters must not shadow a symbol of another unit
            assert seen.get(name, atom.symbol) == atom.symbol


@given(simple_units() | compound_units())
def test_what_is_printed_reads_back(unit: Unit) -> None:
    for text in (unit.symbol, unit.printed, unit.plural):
        if len(text) <= 60:
            again = parse_unit(text)
            assert (again.dimension, again.factor, again.counts) == (
                unit.dimension,
                unit.factor,
                unit.counts,
            )
            assert again.symbol == unit.symbol


@given(plain_decimals(), st.sampled_from(USUAL), st.data())
def test_there_and_back_again(value: Decimal, row: tuple[str, ...], data: st.DataObject) -> None:
    first, second = (parse_unit(data.draw(st.sampled_from(row))) for _ in range(2))
    back = convert(convert(value, first, second), second, first)
    assert abs(back - value) <= abs(value) * Decimal("1e-26")


@given(plain_decimals(), plain_decimals("0.001", "1000", 3))
def test_conversion_scales_with_the_value(value: Decimal, factor: Decimal) -> None:
    source, target = parse_unit("kg/day"), parse_unit("g/s")
    once = convert(value, source, target)
    many = convert(value * factor, source, target)
    assert abs(many - once * factor) <= abs(many) * Decimal("1e-25") + Decimal("1e-40")


def test_conversion_by_hand() -> None:
    # 3.456 kg a day are 3456 g in 86400 s
    assert convert(Decimal("3.456"), parse_unit("kg/day"), parse_unit("g/s")) == Decimal("0.04")
    assert convert(Decimal(5), parse_unit("lb"), parse_unit("g")) == Decimal("2267.96185")
    assert convert(Decimal("0.4"), parse_unit("mV/V"), parse_unit("%")) == Decimal("0.04")
    assert convert(Decimal(25), parse_unit("degC"), parse_unit("degC")) == 25


def test_conversion_refuses_other_kinds() -> None:
    with pytest.raises(InputError) as caught:
        convert(Decimal(1), parse_unit("kg"), parse_unit("day"))
    assert caught.value.code == other_dimension
    assert "kg (mass) and day (time)" in str(caught.value)
    with pytest.raises(InputError) as caught:
        convert(Decimal(20), parse_unit("degC"), parse_unit("K"))
    assert caught.value.code == point_and_difference
    with pytest.raises(InputError, match="a bare number"):
        convert(Decimal(1), parse_unit(""), parse_unit("kg"))


def test_same_dimension_tells_points_from_differences() -> None:
    assert same_dimension(parse_unit("g/s"), parse_unit("kg/day"))
    assert not same_dimension(parse_unit("g"), parse_unit("s"))
    assert not same_dimension(parse_unit("degC"), parse_unit("K"))
    # turns per minute are an angle per time, 1/min is a number per time
    assert not same_dimension(parse_unit("turn/min"), parse_unit("1/min"))


def test_counting_words_have_no_dimension_and_a_plural() -> None:
    dose = parse_unit("dose")
    assert (dose.dimension, dose.factor, dose.counts) == (BARE, Fraction(1), "dose")
    assert (dose.printed, dose.plural) == ("dose", "doses")
    assert parse_unit("dose/day").plural == "doses/day"
    assert parse_unit("um/mark").plural == "µm/mark"
    assert parse_unit("event/1000 dose").plural == "events/1000 doses"
    assert parse_unit("event/1000 dose").factor == Fraction(1, 1000)
    assert parse_unit("person").plural == "people"


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("", "a number"), ("kg", "mass"), ("g/s", "mass per time"), ("mm2", "area"),
        ("N m", "energy or torque"),
        ("ohm", "resistance"), ("um/kg", "length per mass"), ("K", "temperature"),
        ("1/min", "number per time"),
        ("mark/turn", "number per angle"), ("money/kg", "money per mass"), ("kg2", "mass squared"),
        ("1/m3", "number per length cubed"), ("g s", "mass times time"),
        ("m4", "length to the power 4"),
    ],
)  # fmt: skip
def test_dimension_names(text: str, name: str) -> None:
    assert dimension_name(parse_unit(text).dimension) == name


def test_dimension_exponents() -> None:
    assert len(BASE) == 7
    assert parse_unit("V").dimension == dim(mass=1, length=2, time=-3, current=-1)
    assert parse_unit("W").dimension == parse_unit("V A").dimension
    assert parse_unit("ohm").dimension == parse_unit("V/A").dimension
    assert parse_unit("F").dimension == parse_unit("s/ohm").dimension
    assert parse_unit("S").dimension == parse_unit("1/ohm").dimension


@given(compound_units())
def test_the_base_unit_is_the_unit_of_size_one(unit: Unit) -> None:
    base = base_unit(unit.dimension)
    assert base.factor == 1
    assert base.dimension == unit.dimension


def test_base_units_read_well() -> None:
    texts = ("g", "min", "kg/day", "%", "m2", "um/kg")
    symbols = [base_unit(parse_unit(text).dimension).symbol for text in texts]
    assert symbols == ["kg", "s", "kg/s", "", "m2", "m/kg"]


def test_units_of_a_dimension_and_alternatives() -> None:
    assert [unit.symbol for unit in units_of_dimension(dim(mass=1, time=-1))] == [
        "g/s",
        "kg/h",
        "kg/day",
        "g/min",
        "kg/s",
    ]
    assert units_of_dimension(dim(money=3)) == ()
    symbols = [unit.symbol for unit in alternatives(parse_unit("kg/day"))]
    assert symbols[0] == "kg/day"
    assert sorted(symbols) == sorted(["g/s", "kg/h", "kg/day", "g/min", "kg/s"])
    assert "J" not in {unit.symbol for unit in alternatives(parse_unit("N m"))}
    assert "N m" not in {unit.symbol for unit in alternatives(parse_unit("J"))}
    assert [unit.symbol for unit in alternatives(parse_unit("degC"))] == ["degC"]
    assert [unit.symbol for unit in alternatives(parse_unit("%"))] == ["%"]
    assert [unit.symbol for unit in alternatives(parse_unit("um/mark"))] == ["um/mark"]
    assert [unit.symbol for unit in alternatives(parse_unit("kg3"))] == ["kg3"]


def test_reading_a_unit_needs_neither_scipy_nor_numpy() -> None:
    code = (
        "import sys, trainer.maths.units, trainer.maths.catalogue; "
        "sys.exit(bool({'scipy', 'numpy', 'pint', 'flask'} & set(sys.modules)))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_a_unit_is_its_text() -> None:
    assert str(parse_unit("g/s")) == "g/s"
    assert parse_unit("g/s") == parse_unit("g / s")
    assert len({parse_unit("g"), parse_unit("grams"), parse_unit("kg")}) == 2
