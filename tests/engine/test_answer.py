"""Reading what people type: the full table of accepted and refused writings, and its properties."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from trainer.engine.answer import read, written
from trainer.engine.outcome import Reading
from trainer.maths.units import parse_unit

NBSP, THIN, NARROW = "\u00a0", "\u2009", "\u202f"

ACCEPTED = [
    # bare numbers, in the unit beside the cell
    ("50", "s", "50"),
    ("50.2", "s", "50.2"),
    ("50,2", "s", "50.2"),
    ("+50.2", "s", "50.2"),
    ("-3", "%", "-3"),
    ("−3", "%", "-3"),
    ("–3", "%", "-3"),
    ("- 3", "%", "-3"),
    ("-0", "%", "0"),
    (".5", "s", "0.5"),
    (",5", "s", "0.5"),
    ("50.", "s", "50"),
    ("007", "lock", "7"),
    ("  50.2  ", "s", "50.2"),
    ("= 50.2", "s", "50.2"),
    ("٥٠٫٢", "s", "50.2"),
    ("５０．２", "s", "50.2"),
    ("50\u200b.2", "s", "50.2"),
    # separators: groups of exactly three
    ("1 205", "kg", "1205"),
    ("1 205 kg", "kg", "1205"),
    (f"1{NBSP}205{NBSP}kg", "kg", "1205"),
    (f"1{THIN}205{THIN}kg", "kg", "1205"),
    (f"1{NARROW}205 300", "kg", "1205300"),
    ("1'205", "kg", "1205"),
    ("1’205.5", "kg", "1205.5"),
    ("1 205,5", "kg", "1205.5"),
    ("1,205.5", "kg", "1205.5"),
    ("1.205,5", "kg", "1205.5"),
    ("1,205,300", "kg", "1205300"),
    ("1.205.300", "kg", "1205300"),
    ("1,205,300.25", "kg", "1205300.25"),
    ("1.205", "kg", "1.205"),
    ("0,205", "kg", "0.205"),
    ("1234,567", "kg", "1234.567"),
    ("1,2055", "kg", "1.2055"),
    # powers of ten
    ("1.2e3", "g", "1200"),
    ("1.2E3", "g", "1200"),
    ("1,2e-3 kg", "g", "1.2"),
    ("1.2e3s", "s", "1200"),
    ("1.2 x 10^3", "g", "1200"),
    ("1.2×10³ g", "g", "1200"),
    ("1.2·10^-3 kg", "g", "1.2"),
    ("1.2*10^3", "g", "1200"),
    ("2 × 10⁻³ m", "mm", "2"),
    # fractions
    ("3/4 h", "h", "0.75"),
    ("3/4 h", "min", "45"),
    ("3 / 4 h", "h", "0.75"),
    ("-3/4", "h", "-0.75"),
    ("1 1/2 h", "h", "1.5"),
    ("1½ h", "h", "1.5"),
    ("½", "h", "0.5"),
    ("3⁄4", "h", "0.75"),
    ("1/min", "1/min", "1"),
    # clocks
    ("2:30 min", "min", "2.5"),
    ("2:30 min", "s", "150"),
    ("2:30", "s", "150"),
    ("2:30", "min", "2.5"),
    ("1:20", "h", "1.333333333333333333333333333"),
    ("1:20 h", "min", "80"),
    ("1:20:30", "s", "4830"),
    ("1:20:30 h", "min", "80.5"),
    ("0:05.5", "s", "5.5"),
    ("-2:30 min", "min", "-2.5"),
    # several units
    ("1h 20min", "min", "80"),
    ("1 h 20 min", "h", "1.333333333333333333333333333"),
    ("1h20min", "s", "4800"),
    ("1h20", "min", "80"),
    ("2min30", "s", "150"),
    ("1 h 20 min 30 s", "s", "4830"),
    ("2 days 6 h", "h", "54"),
    ("2 kg 300 g", "g", "2300"),
    ("1 m 20,5 cm", "mm", "1205"),
    # units of the same dimension are converted
    ("50,2 d", "day", "50.2"),
    ("18 g", "kg", "0.018"),
    ("0.018 kg", "g", "18"),
    ("5 lb", "kg", "2.26796185"),
    ("350 ohm", "ohm", "350"),
    ("350 Ω", "ohm", "350"),
    ("0.35 kΩ", "ohm", "350"),
    ("0.4 mV/V", "mV/V", "0.4"),
    ("25 µm/mark", "um/mark", "25"),
    ("0.025 mm/mark", "um/mark", "25"),
    ("3 161 mm²", "mm2", "3161"),
    ("44.8 m³/h", "m3/h", "44.8"),
    ("1400 1/min", "1/min", "1400"),
    ("1 400 1/min", "1/min", "1400"),
    ("1400 rpm", "1/min", "1400"),
    ("1400/min", "1/min", "1400"),
    ("93.96 °C", "degC", "93.96"),
    ("40.6 K", "K", "40.6"),
    ("5.2 seconds.", "s", "5.2"),
    ("5.2 sec.", "s", "5.2"),
    ("5.2s", "s", "5.2"),
    # percent is a number
    ("12.5%", "%", "12.5"),
    ("12.5 %", "", "0.125"),
    ("12.5 ％", "%", "12.5"),
    ("12.5", "%", "12.5"),
    ("0.3 %-points", "%", "0.3"),
    # counting words
    ("6 locks", "lock", "6"),
    ("1 lock", "lock", "1"),
    ("3 people", "person", "3"),
    ("151 doses/h", "dose/h", "151"),
    ("151 /h", "dose/h", "151"),
    ("29 readings", "", "29"),
    # money
    ("0.31 €/kg", "money/kg", "0.31"),
    ("€ 0.31/kg", "money/kg", "0.31"),
    ("$0.31", "money/kg", "0.31"),
    ("0.31 money/kg", "money/kg", "0.31"),
]

REFUSED = [
    # no number, more than one, or sums
    ("about five", "s", "cannot be read as a number"),
    ("five", "s", "cannot be read as a number"),
    ("-", "s", "cannot be read as a number"),
    ("--3", "s", "cannot be read as a number"),
    ("+-3", "s", "cannot be read as a number"),
    ("~5", "s", "cannot be read as a number"),
    ("±5", "s", "cannot be read as a number"),
    ("inf", "s", "cannot be read as a number"),
    ("nan", "s", "cannot be read as a number"),
    ("5-6", "s", "give one number"),
    ("5 to 6 s", "s", "give one number"),
    ("5 or 6", "s", "give one number"),
    ("18/3.8", "s", "give one number"),
    ("18/3.8+0.45", "s", "give one number"),
    ("3*4", "s", "give one number"),
    ("5 ± 1", "s", "give one number"),
    # separators that follow no habit
    ("1,20,300", "kg", "cannot be read"),
    ("1 2", "kg", "cannot be read"),
    ("12 05", "kg", "cannot be read"),
    ("1 205.300.5", "kg", "cannot be read"),
    ("1,205 300", "kg", "cannot be read"),
    ("1.234 567", "kg", "cannot be read"),
    ("0 205", "kg", "cannot be read"),
    ("1_205", "kg", "cannot be read"),
    ("5,,2", "kg", "cannot be read"),
    ("1.2.3", "kg", "cannot be read"),
    ("1 205/2", "kg", "give one number"),
    ("10²", "kg", "cannot be read"),
    ("0x10", "kg", "give one number"),
    # out of all measure
    ("1e31", "kg", "cannot be read"),
    ("1e999999999", "kg", "cannot be read"),
    ("9" * 41, "kg", "cannot be read"),
    ("999e30", "kg", "Nobody can measure"),
    ("3/0", "kg", "divided by zero"),
    # clocks and parts
    ("2:75 min", "min", "cannot be read"),
    ("2:30 s", "s", "more than one way"),
    ("1:20:30 min", "min", "more than one way"),
    ("2:30", "kg", "more than one way"),
    ("2:30 pm", "min", "no unit"),
    ("1h 75min", "min", "one h or more"),
    ("1.5 h 20 min", "min", "cannot be read"),
    ("20 min 1 h", "min", "one min or more"),
    ("1 h 20,500 min", "min", "cannot be read"),
    ("1 kg 20 min", "min", "cannot be read"),
    # units
    ("5 parsec", "s", "There is no unit"),
    ("5 kg", "s", "kg is mass; asked is time"),
    ("5 s", "", "s is time; asked is a number"),
    ("5 month", "day", "no fixed length"),
    ("40.6 °C", "K", "difference is asked"),
    ("93.96 K", "degC", "temperature itself is asked"),
    ("6 doses", "lock", "doses are not what is asked"),
    ("40 doses", "%", "doses are not what is asked"),
    ("151 %", "dose", "% are not what is asked"),
    ("5 °F", "degC", "."),
    # hostile
    ("5\x00", "s", "sign in it"),
    ("5\x1b[2J", "s", "sign in it"),
    ("1" * 500, "s", "too long"),
    ("<b>5</b>", "s", "cannot be read"),
]


@pytest.mark.parametrize(("text", "unit", "value"), ACCEPTED)
def test_accepted(text: str, unit: str, value: str) -> None:
    reading = read(text, parse_unit(unit))
    assert reading.problem == ""
    assert reading.value == Decimal(value)
    assert reading.text == text
    assert not reading.blank


@pytest.mark.parametrize(("text", "unit", "words"), REFUSED)
def test_refused_with_words_and_nothing_used_up(text: str, unit: str, words: str) -> None:
    reading = read(text, parse_unit(unit))
    assert reading.value is None
    assert words in reading.problem
    assert reading.problem.endswith((".", "?"))
    assert not reading.asks


@pytest.mark.parametrize("text", ["", " ", "\t", NBSP, "\n"])
def test_blank(text: str) -> None:
    assert read(text, parse_unit("s")) == Reading(text, blank=True)


def test_the_words_say_what_is_asked() -> None:
    assert read("5 kg", parse_unit("g/s")).problem == (
        "kg is mass; asked is mass per time. The answer is asked in g/s."
    )
    assert read("5 grm", parse_unit("g")).problem == (
        "There is no unit 'grm' here. Did you mean g? The answer is asked in g."
    )


def test_a_comma_before_three_digits_is_asked_about() -> None:
    reading = read("1,205 kg", parse_unit("kg"))
    assert reading.asks
    assert reading.value is None
    assert reading.readings == ("1.205", "1205")
    assert reading.problem == "1,205 kg can be read as 1.205 or as 1205. Which one is meant?"


@pytest.mark.parametrize(
    ("text", "span", "value"),
    [
        ("1,205", ("1", "10"), "1.205"),
        ("1,205", ("500", "5000"), "1205"),
        ("-1,205", ("-5000", "-500"), "-1205"),
        ("1,205 kg", ("1", "10"), "1.205"),
    ],
)
def test_unless_only_one_reading_is_plausible(text: str, span: tuple[str, str], value: str) -> None:
    plausible = (Decimal(span[0]), Decimal(span[1]))
    reading = read(text, parse_unit("kg"), plausible=plausible)
    assert not reading.asks
    assert reading.value == Decimal(value)


@pytest.mark.parametrize("span", [("1", "5000"), ("50", "60")])
def test_both_or_neither_plausible_is_asked_even_in_a_check(span: tuple[str, str]) -> None:
    plausible = (Decimal(span[0]), Decimal(span[1]))
    for in_check in (False, True):
        reading = read("1,205", parse_unit("kg"), plausible=plausible, in_check=in_check)
        assert reading.readings == ("1.205", "1205")


def test_a_value_far_from_plausible_is_asked_about_once_and_never_in_a_check() -> None:
    span = (Decimal(1), Decimal(10))
    unit = parse_unit("s")
    reading = read("5190", unit, plausible=span)
    assert reading.asks
    assert reading.value == 5190
    assert reading.problem == ("5190 s is far from what can be expected here. Is it what you mean?")
    for free in (
        read("5190", unit, plausible=span, sure=True),
        read("5190", unit, plausible=span, in_check=True),
    ):
        assert (free.asks, free.problem, free.value) == (False, "", Decimal(5190))
    for edge in ("1", "10", "10.0"):
        assert not read(edge, unit, plausible=span).asks


def test_the_unit_beside_the_cell_counts_for_a_bare_number_only() -> None:
    unit = parse_unit("s")
    assert read("2", unit, unit_text="min").value == 120
    assert read("2 s", unit, unit_text="min").value == 2
    assert read("2", unit, unit_text="s").value == 2
    assert "no unit" in read("2", unit, unit_text="parsec").problem
    assert "asked is time" in read("2", unit, unit_text="kg").problem


@pytest.mark.parametrize(
    ("text", "unit", "shown"),
    [
        ("4.740", "s", "4.740"),
        ("+4.74", "s", "4.74"),
        ("4,74 s", "s", "4.74"),
        ("0.079 min", "s", "4.74"),
        ("5.186842105263157", "s", "5.18684"),
        ("1:20", "h", "1.33333"),
        ("5 lb", "kg", "2.26796"),
        ("1 205", "kg", "1205"),
        ("100 min", "s", "6000"),
    ],
)
def test_the_value_as_the_sheet_repeats_it(text: str, unit: str, shown: str) -> None:
    assert read(text, parse_unit(unit)).written == shown


# --- properties -------------------------------------------------------------------------------

UNITS = ["s", "kg", "g/s", "%", "", "degC", "K", "lock", "um/mark", "m3/h", "ohm", "money/kg"]
ODD = st.text(
    alphabet=st.sampled_from("0123456789.,:/-+ eEx×^·'’%°ΩµhmingkslbKC²½€()±=\u00a0\u2009٣\x00\n"),
    max_size=24,
)


@settings(max_examples=600)
@given(text=ODD | st.text(max_size=100), unit=st.sampled_from(UNITS), in_check=st.booleans())
@example(text="1 1/2 1/2", unit="", in_check=False)
@example(text="½½", unit="", in_check=False)
@example(text="1e", unit="s", in_check=False)
@example(text="€", unit="money/kg", in_check=False)
@example(text="-0:00", unit="s", in_check=True)
def test_any_text_gives_a_reading(text: str, unit: str, *, in_check: bool) -> None:
    reading = read(text, parse_unit(unit), in_check=in_check)
    assert reading.text == text
    assert reading.value is None or reading.value.is_finite()
    # Exactly one of: a value, a problem, nothing written.
    assert [reading.value is not None, bool(reading.problem), reading.blank].count(True) == 1
    assert read(text, parse_unit(unit), in_check=in_check) == reading


@settings(max_examples=300)
@given(text=ODD, unit=st.sampled_from(UNITS))
def test_what_was_read_reads_again_as_itself(text: str, unit: str) -> None:
    first = read(text, parse_unit(unit))
    if first.value is not None:
        again = read(first.written, parse_unit(unit))
        assert again.value is not None
        assert float(again.value) == pytest.approx(float(first.value), rel=1e-5)


numbers = st.decimals(-(10**9), 10**9, allow_nan=False, allow_infinity=False, places=4)


@settings(max_examples=300)
@given(value=numbers)
def test_a_printed_number_reads_as_the_number(value: Decimal) -> None:
    assert read(f"{value:f}", parse_unit("s")).value == value
    assert read(f"{value:.2e} s", parse_unit("s")).value == Decimal(f"{value:.2e}")
    assert read(written(value), parse_unit("s")).value == pytest.approx(value, rel=Decimal("1e-5"))


@settings(max_examples=300)
@given(whole=st.integers(0, 10**9), places=st.integers(0, 4))
def test_grouping_never_moves_the_point(whole: int, places: int) -> None:
    """Every habit of grouping gives the plain number, or it is asked about; never a thousandth."""
    value = Decimal(whole).scaleb(-places)
    plain = f"{value:f}"
    english, swiss = f"{value:,f}", f"{value:,f}".replace(",", "'")
    german = english.translate(str.maketrans(",.", ".,"))
    spaced = english.replace(",", NARROW)
    for text in (plain, english, swiss, spaced, spaced.replace(".", ",")):
        reading = read(text, parse_unit("g"))
        if reading.value is None:
            assert reading.asks
            assert value in map(Decimal, reading.readings)
        else:
            assert reading.value == value
    if "," in german:
        reading = read(german, parse_unit("g"))
        assert reading.value == value or value in map(Decimal, reading.readings)


CONVERSIONS = [
    ("g", "kg", Fraction(1, 1000)),
    ("min", "s", Fraction(60)),
    ("lb", "kg", Fraction("0.45359237")),
    ("kohm", "ohm", Fraction(1000)),
    ("%", "", Fraction(1, 100)),
    ("mm2", "cm2", Fraction(1, 100)),
    ("m3/h", "l/min", Fraction(1000, 60)),
]


@settings(max_examples=200)
@given(value=numbers, pair=st.sampled_from(CONVERSIONS))
def test_a_unit_converts_by_its_own_factor(value: Decimal, pair: tuple[str, str, Fraction]) -> None:
    typed, asked, factor = pair
    reading = read(f"{value:f} {typed}", parse_unit(asked))
    assert reading.value is not None
    exact = Fraction(value) * factor
    assert abs(Fraction(reading.value) - exact) <= abs(exact) / 10**25
