"""Formulas: values by hand, units, what is refused and where, how they are written out."""

from __future__ import annotations

import pickle
from decimal import Decimal

import pytest

from trainer.engine.formula import (
    FormulaError,
    FormulaValueError,
    Sort,
    compile_formula,
    computing,
)
from trainer.maths.quantity import Quantity
from trainer.maths.units import parse_unit


def bare(text: str, **values: str) -> Decimal:
    return compile_formula(text, bare=True).bare(
        {name: Decimal(value) for name, value in values.items()}
    )


def quantities(**texts: str) -> dict[str, Quantity]:
    found = {}
    for name, text in texts.items():
        number, _, unit = text.partition(" ")
        found[name] = Quantity.of(Decimal(number), parse_unit(unit))
    return found


def told(text: str, unit: str, **values: str) -> Decimal:
    return compile_formula(text).quantity(quantities(**values)).in_unit(parse_unit(unit))


def refused(text: str, *, bare: bool = False, **units: str) -> FormulaError:
    with pytest.raises(FormulaError) as caught:
        compile_formula(text, bare=bare).sort(
            {name: parse_unit(unit) for name, unit in units.items()}
        )
    return caught.value


# Values worked by hand; order of work as in school: powers, then points, then lines.
@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("2 + 3 * 4", "14"),
        ("(2 + 3) * 4", "20"),
        ("2 - 3 - 4", "-5"),
        ("100 / 10 / 5", "2"),
        ("2 ^ 3 ^ 2", "512"),
        ("-2 ^ 2", "-4"),
        ("(-2) ^ 2", "4"),
        ("2 ^ -2", "0.25"),
        ("--3", "3"),
        ("+3 - +2", "1"),
        ("1.5e3 + 2E-1", "1500.2"),
        ("-0", "0"),
        ("abs(-3.5)", "3.5"),
        ("min(3, 1, 2) + max(3, 1, 2)", "4"),
        ("round(2.5) + round(3.5) + round(-2.5)", "4"),
        ("floor(-1.5) + ceil(-1.5)", "-3"),
        ("nearest(18.13, 0.05)", "18.15"),
        ("sum(1, 2, 3) + mean(1, 2, 6) + count(5, 5) + first(7, 8) + last(7, 8)", "26"),
        ("range_of(3, 9, 5)", "6"),
        ("sd(2, 4, 4, 4, 5, 5, 7, 9) ^ 2 * 7", "32"),
        ("when(2 > 1, 10, 1 / 0)", "10"),
        ("when(1 <= 1 and not 2 == 3 or 1 != 1, 1, 0)", "1"),
        ("sqrt(2) ^ 2", "2"),
        ("exp(ln(5))", "5"),
        ("log10(1000)", "3"),
        ("4 * 9 ^ 0.5", "12"),
    ],
)
def test_values_by_hand(text: str, value: str) -> None:
    assert abs(bare(text) - Decimal(value)) < Decimal("1e-26")


# Source: tables of functions, ten figures, from memory.
@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("exp(1)", "2.718281828"),
        ("ln(10)", "2.302585093"),
        ("sin(1)", "0.8414709848"),
        ("cos(1)", "0.5403023059"),
        ("pi", "3.141592654"),
    ],
)
def test_functions_by_table(text: str, value: str) -> None:
    assert abs(bare(text) - Decimal(value)) < Decimal("5e-10")


def test_sine_and_cosine_come_back_with_twelve_figures() -> None:
    assert bare("sin(1)") == Decimal("0.841470984808")
    assert told("cos(a)", "", a="60 deg") == Decimal("0.5")
    assert told("sin(x * 1 rad)", "", x="1") == Decimal("0.841470984808")


# The check of the wear plan: 346 kg at 3.46 kg/day are 100 whole days, not 99.
def test_whole_days_are_not_lost_in_the_last_digit() -> None:
    text = "floor((L - u) / r / 1 day)"
    assert told(text, "", L="560 kg", u="214 kg", r="3.46 kg/day") == 100
    assert told("ceil(m / (1 g))", "", m="0.007 kg") == 7
    assert bare("ceil(ln(32) / ln(2))") == 5
    assert compile_formula("a / 3 * 3 == a").holds(quantities(a="0.1 g"))


def test_quantities_carry_their_units() -> None:
    # 18.0 g / 3.8 g/s + 0.45 s
    assert abs(
        told("z + m / q", "s", z="0.45 s", m="18.0 g", q="3.8 g/s") - Decimal("5.186842105")
    ) < Decimal("5e-10")
    # pi * 75 mm * 1400 1/min: printed in the curriculum as 5.497787144 m/s
    assert abs(
        told("pi * d * n", "m/s", d="75 mm", n="1400 1/min") - Decimal("5.497787144")
    ) < Decimal("5e-10")
    # 0.0178 ohm mm2/m * 3 m / 1.5 mm2 = 0.0356 ohm
    assert told("rho * L / A", "ohm", rho="0.0178 ohm mm2/m", L="3 m", A="1.5 mm2") == Decimal(
        "0.0356"
    )
    assert told("5 % * m", "g", m="20 g") == 1
    assert told("m + 0.41 g", "g", m="1 g") == Decimal("1.41")


def test_temperatures_are_points() -> None:
    # x (235 K + y) - 235 K above 0 degC: 1.28 * 257 - 235 = 93.96
    text = "0 degC + x * (235 K + (y - 0 degC)) - 235 K"
    assert told(text, "degC", x="1.28", y="22 degC") == Decimal("93.96")
    assert told("a - b", "K", a="93.5 degC", b="22 degC") == Decimal("71.5")
    assert told("-5 degC + d", "degC", d="10 K") == 5
    assert told("max(a, b)", "degC", a="20 degC", b="30 degC") == 30
    assert told("d + a", "degC", a="20 degC", d="10 K") == 30
    assert refused("a < d", a="degC", d="K").code == "ENG-124"
    assert refused("d < a", a="degC", d="K").column == 5
    assert "(a temperature)" in str(refused("exp(d + a) + ln(a < a)", a="degC", d="kg"))
    for text in ("a + b", "a * 2", "-a", "sum(a, b)", "sqrt(a)", "exp(a)", "a ^ 2"):
        assert refused(text, a="degC", b="degC").code == "ENG-124"
    assert refused("b - a", a="degC", b="K").code == "ENG-124"
    assert compile_formula("sd(a, b)").sort(
        {"a": parse_unit("degC"), "b": parse_unit("degC")}
    ) == Sort("number", parse_unit("K").dimension)


@pytest.mark.parametrize(
    ("text", "code", "column"),
    [
        ("L + d", "ENG-121", 5),
        ("L - 1 day", "ENG-121", 5),
        ("L < d", "ENG-121", 5),
        ("max(L, d)", "ENG-121", 8),
        ("when(L > 1 kg, L, d)", "ENG-121", 19),
        ("nearest(L, 1 day)", "ENG-121", 12),
        ("exp(L)", "ENG-122", 5),
        ("floor(2 * L)", "ENG-122", 7),
        ("2 ^ L", "ENG-122", 5),
        ("L ^ 2 ^ d", "ENG-122", 9),
        ("sqrt(L)", "ENG-123", 6),
        ("L ^ 0.5", "ENG-112", 5),
        ("L ^ 12", "ENG-112", 5),
        ("sin(L)", "ENG-126", 5),
        ("2 * (L > 1 kg)", "ENG-125", 5),
        ("not L", "ENG-125", 5),
        ("L and d", "ENG-125", 1),
        ("max(L > d, 1)", "ENG-125", 5),
        ("max(L > L, 1)", "ENG-125", 5),
        ("count(L, d)", "ENG-121", 10),
        ("L + M", "ENG-120", 5),
        ("max", "ENG-120", 1),
    ],
)
def test_units_that_do_not_agree(text: str, code: str, column: int) -> None:
    problem = refused(text, L="kg", d="day")
    assert (problem.code, problem.column) == (code, column)
    assert problem.cure


def test_a_mismatch_names_both_units_the_place_and_a_cure() -> None:
    problem = refused("(L - u) + d", L="kg", u="g", d="day")
    assert str(problem) == (
        "'(L - u)' is in kg (mass) and 'd' is in day (time): they cannot be added."
    )
    assert problem.column == 11
    assert problem.cure == "Multiply or divide one of them until both measure the same thing."
    assert refused("L + 5", L="kg").cure == "Write the unit beside the number: 5 kg."
    assert "'is' and the unit kg/day" in refused("r + 5", r="kg/day").cure
    assert refused("l + 1 kg", L="kg").cure == "Did you mean L?"


def test_every_mismatch_is_found_and_none_twice() -> None:
    formula = compile_formula("(a + t) * ln(t) + x")
    _, problems = formula.check({"a": parse_unit("kg"), "t": parse_unit("s")})
    assert [(each.code, each.column) for each in problems] == [
        ("ENG-121", 6),
        ("ENG-122", 14),
        ("ENG-120", 19),
    ]


@pytest.mark.parametrize(
    ("text", "code", "column"),
    [
        ("", "ENG-105", 1),
        ("2 +", "ENG-105", 4),
        ("(2 + 3", "ENG-105", 7),
        ("2 + 3)", "ENG-106", 6),
        ("1,5", "ENG-106", 2),
        ("a b", "ENG-106", 3),
        ("2 (3)", "ENG-106", 3),
        ("max(1, , 2)", "ENG-106", 8),
        ("max()", "ENG-108", 1),
        ("sqrt(1, 2)", "ENG-108", 1),
        ("nearest(1)", "ENG-108", 1),
        ("lnn(3)", "ENG-107", 1),
        ("a(3)", "ENG-107", 1),
        ("2 furlong", "ENG-109", 3),
        ("0.0178 ohm mm2/m * L", "ENG-111", 12),
        ("2 ^ 65", "ENG-112", 5),
        ("2 ^ (-65)", "ENG-112", 5),
        ("9^9^9^9", "ENG-112", 5),
        ("a < b < c", "ENG-113", 7),
        ("'III' + 1", "ENG-114", 1),
        ("_a + 1", "ENG-115", 1),
        ("a" * 49, "ENG-115", 1),
        ("1_000", "ENG-104", 1),
        ("1.000.5", "ENG-104", 1),
        ("1.", "ENG-104", 1),
        ("1e65", "ENG-104", 1),
        ("1e00001", "ENG-104", 1),
        ("123456789012345678901234567890", "ENG-104", 1),
        ("0." + "0" * 64 + "1", "ENG-104", 1),
        ("2 kg 'III'", "ENG-106", 6),
        ("2 <", "ENG-105", 4),
        ("2 < <", "ENG-105", 5),
        (".5", "ENG-103", 1),
        ("a.b", "ENG-103", 2),
        ("a = b", "ENG-103", 3),
        ("2 ** 3", "ENG-103", 3),
        ("a[0]", "ENG-103", 2),
        ("a × b", "ENG-103", 3),
        ("x²", "ENG-103", 2),
        ("１２", "ENG-103", 1),
        ("١٢", "ENG-103", 1),
        ("а + 1", "ENG-103", 1),
        ("a \u202e+ 1", "ENG-103", 3),
        ("a\x00", "ENG-103", 2),
        ("-" * 33 + "1", "ENG-102", 33),
        ("(" * 33 + "1" + ")" * 33, "ENG-102", 33),
        ("1+" * 250 + "1", "ENG-101", 501),
        ("a" + " " * 2000, "ENG-101", 1),
    ],
)  # fmt: skip
def test_what_cannot_be_read(text: str, code: str, column: int) -> None:
    problem = refused(text)
    assert (problem.code, problem.column) == (code, column)
    assert problem.cure
    assert str(problem)


def test_bounds_are_inside() -> None:
    assert bare("-" * 32 + "1") == 1
    assert bare("(" * 32 + "1" + ")" * 32) == 1
    assert bare("1+" * 249 + "1") == 250
    assert bare("1" + " " * 1999) == 1
    assert bare("2 ^ 64") == 2**64
    assert bare("1e64") == Decimal("1e64")


def test_slips_take_no_literal_with_a_unit() -> None:
    problem = refused("m / q + 0.5 s", bare=True)
    assert (problem.code, problem.column) == ("ENG-110", 9)
    assert problem.cure == "Write 0.5 alone; to multiply by a symbol write 0.5 * s."


def test_slips_are_the_wrong_arithmetic_in_the_shown_numbers() -> None:
    # Grams added to seconds, as the slip of the curriculum: 4.8 + (18 - 17.1) = 5.7
    assert bare("t + (g - m)", t="4.8", g="18", m="17.1") == Decimal("5.7")
    # 5 % is 5
    assert bare("p * m", p="5", m="20") == 100


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("1 / (a - a)", "divided by zero"),
        ("(a - a) / (a - a)", "zero is divided by zero"),
        ("sqrt(-a)", "root or logarithm"),
        ("ln(0 * a)", "root or logarithm"),
        ("(-a) ^ 0.5", "root or logarithm"),
        ("1e64 ^ 64 ^ a", "too large"),
        ("exp(1e4 * a)", "too large"),
        ("2 ^ (100 * a)", "too large"),
        ("sd(a)", "zero is divided by zero"),
        ("0 ^ -2 * a", "divided by zero"),
        ("(a - a) ^ (-a)", "divided by zero"),
        ("log10(a - a)", "root or logarithm"),
    ],
)
def test_no_value_for_these_figures(text: str, why: str) -> None:
    with pytest.raises(FormulaValueError, match=why) as caught:
        bare(text, a="1")
    assert caught.value.code == "ENG-140"


def test_a_missing_symbol_is_named() -> None:
    with pytest.raises(FormulaError, match="'b' is not a symbol"):
        bare("a + b", a="1")
    with pytest.raises(FormulaError, match="'b' is not a symbol"):
        compile_formula("a + b").quantity(quantities(a="1 g"))


def test_the_process_cannot_change_the_figures() -> None:
    from decimal import ROUND_UP, localcontext

    with localcontext() as outer:
        outer.prec = 3
        outer.rounding = ROUND_UP
        assert bare("2 / 3") == Decimal("0.6666666666666666666666666667")
        assert outer.prec == 3
        assert computing(lambda: Decimal(2) / 3) == Decimal("0.6666666666666666666666666667")


@pytest.mark.parametrize(
    ("text", "symbols", "figures"),
    [
        ("z + m/q", "z + m / q", "0.45 s + 18.0 g / 3.8 g/s"),
        ("(z+m)*q", "(z + m) · q", "(0.45 s + 18.0 g) · 3.8 g/s"),
        ("pi/4*(m^2 - d^2)", "π / 4 · (m² - d²)", "π / 4 · ((18.0 g)² - (-2 g)²)"),
        ("q - d", "q - d", "3.8 g/s - (-2 g)"),
        ("d * q", "d · q", "(-2 g) · 3.8 g/s"),
        ("((n)) * ((n + 1))", "n · (n + 1)", "4 · (4 + 1)"),
        ("-d + (q)", "-d + q", "-(-2 g) + 3.8 g/s"),
        ("m ^ -2 ^ n", "m^(-2^n)", "(18.0 g)^(-2^4)"),
        ("max(1 dose, 5 dose, n)", "max(1 dose, 5 doses, n)", "max(1 dose, 5 doses, 4)"),
        ("not m > d or n != 2", "not m > d or n ≠ 2", "not 18.0 g > -2 g or 4 ≠ 2"),
        ("n <= 2 and n >= 1", "n ≤ 2 and n ≥ 1", "4 ≤ 2 and 4 ≥ 1"),
    ],
)  # fmt: skip
def test_written_out(text: str, symbols: str, figures: str) -> None:
    formula = compile_formula(text)
    texts = {"z": "0.45 s", "m": "18.0 g", "q": "3.8 g/s", "d": "-2 g", "n": "4"}
    assert formula.symbols() == symbols
    assert formula.figures(texts) == figures


def test_a_formula_tells_its_parts_and_travels() -> None:
    formula = compile_formula("floor(m / q / 1 s) + pi")
    assert formula.names == {"m", "q"}
    assert formula.functions == {"floor"}
    assert formula.catalogue_functions == frozenset()
    assert [unit.symbol for unit in formula.units] == ["s"]
    assert formula.place_of("q") == 10
    again = pickle.loads(pickle.dumps(formula))  # noqa: S301 - our own bytes
    assert again == formula
    assert hash(again) == hash(formula)
    assert formula != compile_formula("m / q")
    assert formula != "floor(m / q / 1 s) + pi"
    assert repr(formula) == "Formula('floor(m / q / 1 s) + pi')"
    assert compile_formula("m").dimension({"m": (1, 0, 0, 0, 0, 0, 0)}) == (1, 0, 0, 0, 0, 0, 0)
