"""Formulas against oracles: exact fractions with a bound on rounding, and quantity arithmetic."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from trainer.engine.formula import (
    Formula,
    FormulaError,
    FormulaValueError,
    compile_formula,
)
from trainer.errors import InputError
from trainer.maths.quantity import Quantity
from trainer.maths.units import parse_unit

NAMES = ("a", "b", "c")
# Half a unit in the 28th figure, relative: what one decimal operation may lose.
EPS = Fraction(1, 2 * 10**27)


@dataclass(frozen=True)
class Made:
    """A formula's text with its exact value and a bound on what rounding may add."""

    text: str
    value: Fraction
    error: Fraction


def rounded(text: str, value: Fraction, error: Fraction) -> Made:
    return Made(text, value, error + (abs(value) + error) * EPS)


numbers = st.decimals("0.001", "1000", places=3, allow_nan=False)


def leaves(values: dict[str, Decimal]) -> st.SearchStrategy[Made]:
    literals = numbers.map(lambda n: Made(f"{n}", Fraction(n), Fraction(0)))
    names = st.sampled_from(NAMES).map(lambda n: Made(n, Fraction(values[n]), Fraction(0)))
    return literals | names


def combined(parts: st.SearchStrategy[Made]) -> st.SearchStrategy[Made]:
    def two(sign: str, first: Made, second: Made) -> Made:
        text = f"({first.text}) {sign} ({second.text})"
        a, b, ea, eb = first.value, second.value, first.error, second.error
        if sign == "+":
            return rounded(text, a + b, ea + eb)
        if sign == "-":
            return rounded(text, a - b, ea + eb)
        if sign == "*":
            return rounded(text, a * b, abs(a) * eb + abs(b) * ea + ea * eb)
        assume(abs(b) > 2 * eb and abs(b) > Fraction(1, 10**6))
        return rounded(text, a / b, (ea + abs(a / b) * eb) / (abs(b) - eb))

    def negated(part: Made) -> Made:
        return Made(f"-({part.text})", -part.value, part.error)

    def squared(part: Made) -> Made:
        a, e = part.value, part.error
        return rounded(f"({part.text})^2", a * a, 2 * abs(a) * e + e * e)

    def largest(first: Made, second: Made) -> Made:
        return Made(
            f"max({first.text}, {second.text})",
            max(first.value, second.value),
            max(first.error, second.error),
        )

    return st.one_of(
        st.builds(two, st.sampled_from("+-*/"), parts, parts),
        st.builds(negated, parts),
        st.builds(squared, parts),
        st.builds(largest, parts, parts),
    )


VALUES = st.fixed_dictionaries(dict.fromkeys(NAMES, numbers))


@given(st.data(), VALUES)
def test_bare_numbers_agree_with_exact_fractions(
    data: st.DataObject, values: dict[str, Decimal]
) -> None:
    made = data.draw(st.recursive(leaves(values), combined, max_leaves=12))
    assume(abs(made.value) < 10**80)
    found = compile_formula(made.text, bare=True).bare(values)
    assert abs(Fraction(found) - made.value) <= made.error


@given(st.data(), VALUES)
def test_brackets_are_only_needed_against_the_order_of_work(
    data: st.DataObject, values: dict[str, Decimal]
) -> None:
    """A chain without brackets is worked from left to right, products first."""
    terms = data.draw(st.lists(st.sampled_from(NAMES), min_size=2, max_size=6))
    signs = data.draw(
        st.lists(st.sampled_from("+-*/"), min_size=len(terms) - 1, max_size=len(terms) - 1)
    )
    pairs = list(zip(signs, terms[1:], strict=True))
    text = terms[0] + "".join(f" {sign} {term}" for sign, term in pairs)
    total, product, sum_sign = Fraction(0), Fraction(values[terms[0]]), 1
    for sign, term in pairs:
        value = Fraction(values[term])
        if sign in "+-":
            total += sum_sign * product
            product, sum_sign = value, 1 if sign == "+" else -1
        else:
            product = product * value if sign == "*" else product / value
    total += sum_sign * product
    found = compile_formula(text, bare=True).bare(values)
    size = sum((abs(Fraction(each)) for each in values.values()), Fraction(1)) ** 6
    assert abs(Fraction(found) - total) <= size * 10**10 * EPS


UNITS = {"m": ["g", "kg"], "t": ["s", "min", "day"], "r": ["kg/day", "g/s"], "n": ["", "%"]}


@given(
    st.fixed_dictionaries(dict.fromkeys(UNITS, numbers)),
    st.fixed_dictionaries({name: st.sampled_from(units) for name, units in UNITS.items()}),
    st.sampled_from(
        [
            "m / r + t",
            "(m - r * t) / (2 * m)",
            "r * t * n - m",
            "max(m, r * t)",
            "m / t / r ^ 2 * r",
            "abs(m - 3 kg) + r * 10 min",
            "-(m) + 2 * m - m / 2",
        ]
    ),
)
def test_quantities_agree_with_quantity_arithmetic(
    numbers_: dict[str, Decimal], units: dict[str, str], text: str
) -> None:
    """The same sum by ``Quantity`` operators, in the units drawn, gives the same quantity."""
    given_ = {name: Quantity.of(numbers_[name], parse_unit(units[name])) for name in UNITS}
    m, t, r, n = (given_[name] for name in "mtrn")
    two = Quantity.bare(2)
    three_kg = Quantity.of(Decimal(3), parse_unit("kg"))
    ten_min = Quantity.of(Decimal(10), parse_unit("min"))
    by_hand = {
        "m / r + t": lambda: m / r + t,
        "(m - r * t) / (2 * m)": lambda: (m - r * t) / (two * m),
        "r * t * n - m": lambda: r * t * n - m,
        "max(m, r * t)": lambda: max(m, r * t, key=lambda each: each.value),
        "m / t / r ^ 2 * r": lambda: m / t / r**2 * r,
        "abs(m - 3 kg) + r * 10 min": lambda: abs(m - three_kg) + r * ten_min,
        "-(m) + 2 * m - m / 2": lambda: -m + two * m - m / two,
    }[text]()
    found = compile_formula(text).quantity(given_)
    assert found.dimension == by_hand.dimension
    # m / t / r ^ 2 * r divides in another order: the last figure may differ.
    slack = abs(by_hand.value) * Decimal("1e-26") + Decimal("1e-24")
    assert abs(found.value - by_hand.value) <= slack


@given(numbers, st.sampled_from(["round", "floor", "ceil"]), st.integers(1, 9999))
def test_whole_numbers_survive_a_detour(step: Decimal, function: str, whole: int) -> None:
    """A whole number of steps, over the step, is that whole number: never one less."""
    text = f"{function}(a / b)"
    values = {"a": step * whole, "b": step}
    assert compile_formula(text, bare=True).bare(values) == whole
    third = compile_formula(f"{function}(a / 7 / b * 7)", bare=True).bare(values)
    assert third == whole


def compiled(text: str, *, bare: bool) -> Formula | FormulaError:
    try:
        return compile_formula(text, bare=bare)
    except FormulaError as refused:
        return refused


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    formula = compiled(text, bare=True)
    if isinstance(formula, FormulaError):
        assert 1 <= formula.column <= len(text) + 1
        assert formula.cure
        return
    try:
        formula.bare(dict.fromkeys(formula.names, Decimal(3)))
    except InputError:
        return


PIECES = [
    "1", "2.5", "a", "b", "(", ")", "+", "-", "*", "/", "^", ",", " ", "max(", "sqrt(", "sd(",
    "when(", "<", "==", "and", "not", "10 min", "3 kg", "pi", "exp(", "'III'", ".", "=", "e9",
]  # fmt: skip


@given(st.lists(st.sampled_from(PIECES), max_size=25).map("".join))
def test_any_row_of_pieces_is_read_or_refused(text: str) -> None:
    formula = compiled(text, bare=False)
    if isinstance(formula, FormulaError):
        assert formula.cure
        return
    sort, problems = formula.check({"a": parse_unit("kg"), "b": parse_unit("")})
    assert sort is not None or problems
    for problem in problems:
        assert 1 <= problem.column <= len(text) + 1
    if not problems:
        try:
            result = formula.quantity(
                {"a": Quantity.of(Decimal(2), parse_unit("kg")), "b": Quantity.bare(3)}
            )
        except FormulaValueError:
            return
        assert sort is not None
        assert result.dimension == sort.dimension
        assert result.value.is_finite()


def test_printing_and_reading_again_changes_nothing() -> None:
    """What the working prints can be read again as the same formula, signs apart."""
    for text in ("z + m / q", "(a - b) * 3 / (c + 2 * a) - -b", "max(a, b, 3) ^ 2 - (a + b) ^ 3"):
        printed = compile_formula(text, bare=True).symbols()
        plain = printed.replace("·", "*").replace("²", "^2").replace("³", "^3")
        values = {name: Decimal(index + 2) for index, name in enumerate("abcmqz")}
        assert compile_formula(plain, bare=True).bare(values) == (
            compile_formula(text, bare=True).bare(values)
        )


@pytest.mark.parametrize(
    "name", ["sd", "mean", "sum", "min", "max", "range_of", "first", "last", "count"]
)
def test_rows_of_readings_and_single_numbers_agree(name: str) -> None:
    row = tuple(Decimal(n) for n in ("18.2", "17.9", "18.4", "18.0"))
    formula = compile_formula(f"{name}(x)", bare=True)
    single = compile_formula(f"{name}(18.2, 17.9, 18.4, 18.0)", bare=True)
    mixed = compile_formula(f"{name}(a, y)", bare=True)
    assert formula.bare({"x": row}) == single.bare({})  # type: ignore[dict-item]
    assert mixed.bare({"a": row[0], "y": row[1:]}) == single.bare({})  # type: ignore[dict-item]
