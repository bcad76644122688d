"""Quantities: arithmetic with dimensions, temperature points, numbers in and out."""

from __future__ import annotations

import decimal
from collections.abc import Callable
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.strategies import compound_units, plain_decimals, simple_units
from trainer.errors import InputError
from trainer.maths.quantity import (
    Quantity,
    cannot_combine,
    format_decimal,
    format_figures,
    not_a_number,
    points_refused,
    power_refused,
    read_number,
    unit_text,
    with_unit,
    zero_divisor,
)
from trainer.maths.units import (
    BARE,
    Unit,
    other_dimension,
    parse_unit,
    point_and_difference,
)

Act = Callable[[], object]


def of(text: str) -> Quantity:
    number, _, unit = text.partition(" ")
    return Quantity.of(Decimal(number), parse_unit(unit))


def told(quantity: Quantity, unit: str) -> Decimal:
    return quantity.in_unit(parse_unit(unit))


def test_a_dose_takes_its_mass_over_its_flow() -> None:
    # by hand: 18.0 / 3.8 = 4.7368…; and 0.45 more is 5.1868…
    time = of("0.45 s") + of("18.0 g") / of("3.8 g/s")
    assert round(told(time, "s"), 10) == Decimal("5.1868421053")
    assert format_figures(told(time, "s")) == "5.187"


def test_percent_is_a_number() -> None:
    assert of("5 %").value == Decimal("0.05")
    assert of("5 %").is_bare
    assert told(of("200 g") * of("5 %"), "g") == 10
    assert told(of("7 dose") / of("28 dose"), "%") == 25


def test_turns_cancel_in_a_collar() -> None:
    # by hand: 1.5 mm a turn over 60 marks a turn is 25 um a mark
    assert told(of("1.5 mm/turn") / of("60 mark/turn"), "um/mark") == 25
    # 300 um over 1.5 mm a turn is a fifth of a turn
    assert told(of("300 um") / of("1.5 mm/turn"), "deg") == 72


def test_turns_made_need_the_literal_turn() -> None:
    # by hand: 1400 a minute for 4 s, half of it: 46.666… turns
    made = of("1400 1/min") * of("4 s") / Quantity.bare(2)
    assert made.is_bare
    assert round(told(made * of("1 turn"), "turn"), 6) == Decimal("46.666667")
    with pytest.raises(InputError) as caught:
        told(made, "turn")
    assert caught.value.code == other_dimension


def test_a_power_line() -> None:
    # by hand: 0.25 * 1.1 kg * (0.042 m)^2 ... with (2 pi 1400/60)^2 left as a rate squared
    energy = of("1.1 kg") * of("84 mm") ** 2 * of("10 1/s") ** 2
    assert told(energy, "J") == Decimal("0.77616")
    assert of("2 m") ** 0 == Quantity.bare(1)
    assert told(of("2 m") ** -1, "1/m") == Decimal("0.5")


def test_temperature_is_a_point_and_kelvin_a_difference() -> None:
    warm, cool = of("72 degC"), of("22 degC")
    assert told(warm - cool, "K") == 50
    assert told(cool + of("50 K"), "degC") == 72
    assert told(of("50 K") + cool, "degC") == 72
    assert told(warm - of("50 K"), "degC") == 22
    assert warm > cool
    assert cool <= warm
    # the copper rule: 1.28 * (235 + 22) - 235 = 93.96
    winding = (
        of("0 degC")
        + Quantity.bare(Decimal("1.28")) * (of("235 K") + (cool - of("0 degC")))
        - of("235 K")
    )
    assert told(winding, "degC") == Decimal("93.96")


@pytest.mark.parametrize(
    "act",
    [
        lambda t: t + t,
        lambda t: of("5 K") - t,
        lambda t: t * Quantity.bare(2),
        lambda t: Quantity.bare(2) / t,
        lambda t: t / t,
        lambda t: t**2,
        lambda t: -t,
        abs,
    ],
)
def test_a_point_refuses_what_only_a_difference_can_do(act: object) -> None:
    assert callable(act)
    with pytest.raises(InputError) as caught:
        act(of("20 degC"))
    assert caught.value.code == points_refused
    assert "degC" in str(caught.value)


def test_points_and_differences_do_not_mix() -> None:
    acts: tuple[Act, ...] = (
        lambda: told(of("20 degC"), "K"),
        lambda: told(of("20 K"), "degC"),
        lambda: of("20 degC") < of("20 K"),
    )
    for act in acts:
        with pytest.raises(InputError) as caught:
            act()
        assert caught.value.code == point_and_difference


def test_other_dimensions_are_refused_and_both_named() -> None:
    acts: tuple[Act, ...] = (lambda: of("1 kg") + of("1 day"), lambda: of("1 kg") - of("1 day"))
    for act in acts:
        with pytest.raises(InputError) as caught:
            act()
        assert caught.value.code == cannot_combine
        assert "mass and time" in str(caught.value)
    comparisons: tuple[Act, ...] = (
        lambda: of("1 kg") < of("1 day"),
        lambda: of("1 kg") <= of("1 day"),
        lambda: of("1 kg") > of("1 day"),
        lambda: of("1 kg") >= of("1 day"),
    )
    for compare in comparisons:
        with pytest.raises(InputError, match=r"kg \(mass\) and s \(time\)") as caught:
            compare()
        assert caught.value.code == other_dimension


def test_comparison_looks_across_units() -> None:
    assert of("999 g") < of("1 kg")
    assert of("1000 g") <= of("1 kg")
    assert of("1000 g") >= of("1 kg")
    assert not of("1000 g") > of("1 kg")
    assert of("1000 g") == of("1 kg")
    assert of("1 kg") != of("1 s")


def test_division_by_zero_and_wild_powers() -> None:
    acts: tuple[Act, ...] = (lambda: of("1 kg") / of("0 s"), lambda: of("0 s") ** -1)
    for act in acts:
        with pytest.raises(InputError) as caught:
            act()
        assert caught.value.code == zero_divisor
    for quantity, power in ((of("2 m"), 10), (Quantity.bare(2), 65), (Quantity.bare(2), 0.5)):
        with pytest.raises(InputError) as caught:
            quantity**power  # type: ignore[operator]
        assert caught.value.code == power_refused
    assert (Quantity.bare(2) ** 64).value == 2**64


def test_signs() -> None:
    assert told(-of("3 g"), "g") == -3
    assert told(abs(of("-3 g")), "g") == 3
    assert not (-of("0 g")).value.is_signed()


def test_the_process_decimal_settings_do_not_matter() -> None:
    with decimal.localcontext() as context:
        context.prec = 3
        context.rounding = decimal.ROUND_UP
        third = Quantity.bare(1) / Quantity.bare(3)
        assert len(str(third.value)) == 30
        assert format_decimal(Decimal("12345.678"), 2) == "12345.68"
        assert told(of("123456789 g"), "kg") == Decimal("123456.789")


@given(plain_decimals(), plain_decimals(), simple_units())
def test_sum_and_difference_undo_each_other(first: Decimal, second: Decimal, unit: Unit) -> None:
    if unit.is_point:
        unit = parse_unit("K")
    a, b = Quantity.of(first, unit), Quantity.of(second, unit)
    assert (a + b) == (b + a)
    assert abs(((a + b) - b).value - a.value) <= (abs(a.value) + abs(b.value)) * Decimal("1e-27")


@given(plain_decimals("0.001"), plain_decimals("0.001"), compound_units(), compound_units())
def test_product_and_quotient_undo_each_other(
    first: Decimal, second: Decimal, one: Unit, other: Unit
) -> None:
    a, b = Quantity.of(first, one), Quantity.of(second, other)
    back = a * b / b
    assert back.dimension == a.dimension
    assert abs(back.value - a.value) <= abs(a.value) * Decimal("1e-26")


@given(plain_decimals(), simple_units())
def test_a_quantity_told_in_its_own_unit_is_what_was_given(value: Decimal, unit: Unit) -> None:
    told_again = Quantity.of(value, unit).in_unit(unit)
    assert abs(told_again - value) <= (abs(value) + abs(unit.offset)) * Decimal("1e-26")


@given(plain_decimals(), st.integers(0, 6))
def test_a_printed_number_reads_back(value: Decimal, places: int) -> None:
    text = format_decimal(value, places)
    assert "E" not in text.upper()
    assert text != "-0"
    assert abs(read_number(text) - value) <= Decimal("0.5").scaleb(-places)


@given(plain_decimals("0.000001", "1000000", 9), st.integers(1, 8))
def test_figures_keep_the_value(value: Decimal, figures: int) -> None:
    again = read_number(format_figures(value, figures))
    assert abs(again - value) <= abs(value) * Decimal("0.5") * Decimal(10) ** (1 - figures)


@pytest.mark.parametrize(
    ("value", "places", "text"),
    [
        ("18", 1, "18.0"), ("0.25", 1, "0.2"), ("0.35", 1, "0.4"), ("-0.04", 1, "0.0"),
        ("-1.25", 1, "-1.2"),
        ("1e9", 0, "1000000000"), ("1e-9", 3, "0.000"),
        ("12345678901234567890.5", 0, "12345678901234567890"),
        ("7", 0, "7"), ("99.95", 1, "100.0"),
    ],
)  # fmt: skip
def test_format_decimal(value: str, places: int, text: str) -> None:
    assert format_decimal(Decimal(value), places) == text


@pytest.mark.parametrize(
    ("value", "figures", "text"),
    [
        ("4.7368421", 4, "4.737"), ("123456", 4, "123500"), ("0", 4, "0.000"), ("14", 4, "14.00"),
        ("0.00012345", 4, "0.0001234"), ("0.000001", 4, "0.000001000"),
        ("0.0000009999", 4, "9.999e-7"),
        ("999999999", 4, "1.000e9"), ("999900000", 4, "999900000"), ("1e9", 4, "1.000e9"),
        ("-2.5e-12", 2, "-2.5e-12"), ("9.9995", 4, "10.00"), ("1", 1, "1"), ("2e10", 1, "2e10"),
    ],
)  # fmt: skip
def test_format_figures(value: str, figures: int, text: str) -> None:
    assert format_figures(Decimal(value), figures) == text


@pytest.mark.parametrize(
    ("number", "unit", "text"),
    [
        ("18.0", "g", "18.0 g"), ("1", "dose", "1 dose"), ("5", "dose", "5 doses"),
        ("0", "dose", "0 doses"),
        ("-1", "mark", "-1 mark"), ("1.5", "turn", "1.5 turns"), ("40", "%", "40 %"),
        ("7", "", "7"),
        ("1", "day", "1 day"), ("30", "day", "30 days"), ("3.4", "kg/day", "3.4 kg/day"),
        ("2", "person", "2 people"),
        ("25", "um/mark", "25 µm/mark"), ("72", "degC", "72 °C"), ("4.7", "kohm", "4.7 kΩ"),
        ("2.5", "N m", "2.5 N·m"),
    ],
)  # fmt: skip
def test_number_and_unit_as_a_page_shows_them(number: str, unit: str, text: str) -> None:
    assert with_unit(number, parse_unit(unit), Decimal(number)) == text


def test_unit_text_alone() -> None:
    assert unit_text(parse_unit("dose"), Decimal("1.0")) == "dose"
    assert unit_text(parse_unit("dose"), Decimal("1.1")) == "doses"


@pytest.mark.parametrize(
    ("text", "value"),
    [("12.50", "12.50"), (" 7 ", "7"), ("-3", "-3"), ("−3", "-3"), ("+.5", "0.5"), ("1.2e3",
    "1.2e3"), ("5.", "5")],
)  # fmt: skip
def test_read_number(text: str, value: str) -> None:
    assert read_number(text) == Decimal(value)


@pytest.mark.parametrize(
    "text", ["", "inf", "nan", "1,5", "1 205", "0x10", "1e9999", "٣", "--1", "1_000", "5 g"]
)
def test_read_number_refuses(text: str) -> None:
    with pytest.raises(InputError) as caught:
        read_number(text)
    assert caught.value.code == not_a_number


def test_a_bare_quantity() -> None:
    assert Quantity.bare(5) == Quantity(Decimal(5), BARE)
    assert Quantity.bare(5).own_unit().symbol == ""
    assert of("20 degC").own_unit().symbol == "degC"
    assert of("3 g/s").own_unit().symbol == "kg/s"
