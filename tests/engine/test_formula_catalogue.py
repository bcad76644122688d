"""Functions of the service mathematics inside a formula: units, shapes, errors."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from decimal import Decimal

import pytest

from trainer.engine.formula import FormulaError, FormulaValueError, Sort, compile_formula, computing
from trainer.engine.formula_functions import function_named
from trainer.engine.formula_sorts import DATE, LOG
from trainer.maths import catalogue
from trainer.maths.catalogue import Argument, Entry
from trainer.maths.quantity import Quantity
from trainer.maths.units import parse_unit


def kilograms(text: str) -> Quantity:
    return Quantity.of(Decimal(text), parse_unit("kg"))


def refused(text: str, **units: str) -> FormulaError:
    with pytest.raises(FormulaError) as caught:
        compile_formula(text).sort({name: parse_unit(unit) for name, unit in units.items()})
    return caught.value


def test_arguments_are_told_in_the_units_the_function_takes() -> None:
    """0.18 kg in 50 s is 3.6 g/s, whatever the units of the givens."""
    formula = compile_formula("mean_flow(m, t) * 2")
    values = {"m": kilograms("0.18"), "t": Quantity.of(Decimal(50), parse_unit("s"))}
    assert formula.quantity(values).in_unit(parse_unit("g/s")) == Decimal("7.2")
    minutes = {"m": kilograms("0.18"), "t": Quantity.of(Decimal(2), parse_unit("min"))}
    assert formula.quantity(minutes).in_unit(parse_unit("g/s")) == Decimal("3.0")
    assert formula.catalogue_functions == {"mean_flow"}


def test_bare_numbers_are_taken_as_the_function_takes_them() -> None:
    assert compile_formula("mean_flow(m, t)", bare=True).bare(
        {"m": Decimal("0.18"), "t": Decimal(50)}
    ) == Decimal("3.6")


def test_results_come_back_with_twelve_figures() -> None:
    value = compile_formula("days_left(k, r)", bare=True).bare({"k": Decimal(1), "r": Decimal(3)})
    assert value == Decimal("0.333333333333")


def test_rows_and_whole_numbers() -> None:
    rates = compile_formula("mean_rate(x, d)", bare=True)
    row = {"x": (Decimal(84), Decimal(30)), "d": (Decimal(28), Decimal(7))}
    # (84 + 30) / (28 + 7) kg/day, the check value of the two periods.
    assert abs(rates.bare(row) - Decimal("3.257142857")) < Decimal("1e-9")  # type: ignore[arg-type]
    shape = {"x": Sort.of(parse_unit("kg"), "series"), "d": Sort.of(parse_unit("day"), "series")}
    assert compile_formula("mean_rate(x, d)").dimension(shape) == parse_unit("kg/day").dimension
    based = computing(
        lambda: compile_formula("mean_rate(x, d)").run(
            {"x": row["x"], "d": tuple(day * 86_400 for day in row["d"])}
        )
    )
    assert abs(based * 86_400 - Decimal("3.257142857")) < Decimal("1e-9")
    rolled = compile_formula("used_over_rollover(a, b, 100000)", bare=True)
    assert rolled.bare({"a": Decimal(98_740), "b": Decimal(2310)}) == 3570
    with pytest.raises(FormulaValueError, match="whole number"):
        rolled.bare({"a": Decimal("98740.5"), "b": Decimal(2310)})


@pytest.mark.parametrize(
    ("text", "code", "column"),
    [
        ("mean_flow(t, m)", "ENG-127", 11),
        ("mean_flow(m, m)", "ENG-127", 14),
        ("mean_flow(m)", "ENG-108", 1),
        ("mean_flow(m, t, t)", "ENG-108", 1),
        ("mean_rate(m, t)", "ENG-127", 11),
        ("mean_flow(m, 'III')", "ENG-127", 14),
        ("mean_flow(k, t)", "ENG-120", 11),
        ("grit_coefficient(30 deg, 'round')", "ENG-128", 26),
        ("max('III', 1)", "ENG-114", 5),
        ("mean_flo(m, t)", "ENG-107", 1),
        ("mean_flow + 1", "ENG-120", 1),
        ("wear_forecast(1, 2, 3, 4, 5)", "ENG-107", 1),
    ],
)
def test_wrong_calls(text: str, code: str, column: int) -> None:
    problem = refused(text, m="kg", t="s")
    assert (problem.code, problem.column) == (code, column)
    assert problem.cure


def test_a_wrong_unit_names_both_units_and_the_argument() -> None:
    problem = refused("mean_flow(m, d)", m="kg", d="m")
    assert "in s" in str(problem)
    assert "in m (length)" in str(problem)
    assert "motor_s" in problem.cure


def test_a_call_is_written_out_whole() -> None:
    formula = compile_formula("grit_coefficient(a, 'cone')", bare=True)
    assert formula.symbols() == "grit_coefficient(a, 'cone')"
    few = refused("largest_per_day()")
    assert "1 to 2 arguments" in str(few)


def test_a_value_outside_the_range_of_the_function() -> None:
    with pytest.raises(FormulaValueError):
        compile_formula("days_left(k, r)", bare=True).bare({"k": Decimal(1), "r": Decimal(0)})


FAKES = {
    "endless": Entry("endless", "Without end.", (), "", "", "", "fake:endless", ""),
    "share_on": Entry(
        name="share_on",
        meaning="The share of a log that is on.",
        arguments=(
            Argument("log", "s", "the log", shape="log"),
            Argument("window_s", "s", "the window", exact=True),
            Argument("day", "", "the day", shape="date", required=False),
            Argument("strict", "", "strict", shape="flag", required=False),
        ),
        unit="%",
        formula="on over all",
        source="common practice, no source",
        where="fake:share_on",
        example="",
    ),
}


@pytest.fixture
def calls(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[tuple[object, ...]]]:
    """A catalogue of one function, so that every shape of argument is there."""
    made: list[tuple[object, ...]] = []

    def share_on(
        log: object, window_s: object, day: object = None, strict: object = None
    ) -> Decimal:
        made.append((log, window_s, day, strict))
        return Decimal("12.5")

    def endless() -> float:
        return float("inf")

    functions = {"fake:share_on": share_on, "fake:endless": endless}
    monkeypatch.setattr(catalogue, "ENTRIES", FAKES)
    monkeypatch.setattr(catalogue, "entry", FAKES.__getitem__)
    monkeypatch.setattr(catalogue, "_function", functions.__getitem__)
    for cache in (function_named, compile_formula):
        cache.cache_clear()
    yield made
    for cache in (function_named, compile_formula):
        cache.cache_clear()


def test_logs_dates_flags_and_exact_numbers(calls: list[tuple[object, ...]]) -> None:
    log = ((Decimal(0), Decimal(12)), (Decimal(30), Decimal(42)))
    day = Decimal(date(2026, 3, 2).toordinal())
    formula = compile_formula("share_on(w, 10 min, d, 1 < 2)")
    assert formula.sort({"w": LOG, "d": DATE}).dimension == parse_unit("").dimension
    value = computing(lambda: formula.run({"w": log, "d": day * 86_400}))
    # 12.5 % is 0.125
    assert value == Decimal("0.125")
    bare = compile_formula("share_on(w, 600, d)", bare=True)
    assert bare.bare({"w": log, "d": day}) == Decimal("12.5")  # type: ignore[dict-item]
    assert calls == [
        ([(0.0, 12.0), (30.0, 42.0)], Decimal(600), date(2026, 3, 2), True),
        ([(0.0, 12.0), (30.0, 42.0)], Decimal(600), date(2026, 3, 2), None),
    ]


@pytest.mark.usefixtures("calls")
def test_a_result_without_end_is_no_value() -> None:
    with pytest.raises(FormulaValueError):
        compile_formula("endless()", bare=True).bare({})


@pytest.mark.usefixtures("calls")
def test_a_log_is_wanted_and_nothing_else() -> None:
    for text in ("share_on(3 s, 10 min)", "share_on('III', 10 min)", "share_on(w, w)"):
        with pytest.raises(FormulaError) as caught:
            compile_formula(text).sort({"w": LOG})
        assert caught.value.code == "ENG-127"
