"""Every row of the catalogue is walked: signature, units, example, ranges, words."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import pkgutil
from collections.abc import Callable
from decimal import Decimal

import pytest

from trainer.errors import CATALOGUE, InputError, NotFoundError
from trainer.maths import catalogue, ranges, rows
from trainer.maths.catalogue import ENTRIES, Argument, Entry, call, call_quantity, entry
from trainer.maths.catalogue_text import printed, read_argument, read_arguments
from trainer.maths.quantity import Quantity
from trainer.maths.rounding import snapped
from trainer.maths.units import parse_unit

NAMES = sorted(ENTRIES)
UNIT_WORDS = {
    "%": "percent",
    "Mohm": "megaohm",
    "%-points": "percent_points",
    "ohm mm2/m": "ohm_mm2_per_m",
}


def suffix(unit: str) -> str:
    """How a parameter's name must end: 'kg/day' is 'kg_per_day'."""
    words = UNIT_WORDS.get(unit, unit).replace("1/", "per_").replace("/", "_per_")
    return words.replace("(", "").replace(")", "").replace(" ", "_").lower()


def example_of(row: Entry) -> dict[str, object]:
    texts: dict[str, str] = {}
    for word in row.example.split(" "):
        if "=" in word:
            name, _, text = word.partition("=")
            texts[name] = text
        else:
            texts[name] += f" {word}"
    return read_arguments(row, texts)


@pytest.mark.parametrize("name", NAMES)
def test_the_arguments_are_those_of_the_function(name: str) -> None:
    row = entry(name)
    parameters = inspect.signature(row.function).parameters
    assert list(parameters) == [argument.name for argument in row.arguments]
    for argument in row.arguments:
        has_default = parameters[argument.name].default is not inspect.Parameter.empty
        assert has_default is not argument.required, argument.name


@pytest.mark.parametrize("name", NAMES)
def test_units_exist_and_names_carry_them(name: str) -> None:
    row = entry(name)
    parse_unit(row.unit)
    for result in row.results:
        assert not result.unit or result.name.endswith(suffix(result.unit)), result
    for argument in row.arguments:
        if argument.unit:
            assert argument.name.endswith(suffix(argument.unit)), argument.name
            parse_unit(argument.unit)
    function = row.where.partition(":")[2]
    if row.unit and not row.is_text and row.unit != "day":
        assert function.endswith((suffix(row.unit), "per_dose")), function


@pytest.mark.parametrize("name", NAMES)
def test_words_are_there(name: str) -> None:
    row = entry(name)
    assert row.meaning.endswith(".")
    assert row.formula
    assert row.source
    assert row.name.isidentifier()
    assert row.name == row.name.lower()
    doc = inspect.getdoc(row.function) or ""
    for heading in ("Formula", "Args:", "Returns:", "Raises:", "Source:", "Example:"):
        assert heading in doc, f"{row.where} lacks {heading}"
    assert " ".join(doc.splitlines()[0].split()).endswith(".")


@pytest.mark.parametrize("name", NAMES)
def test_the_example_runs_and_prints(name: str) -> None:
    row = entry(name)
    result = call(name, **example_of(row))
    if row.results:
        assert dataclasses.is_dataclass(result)
        assert {item.name for item in row.results} <= {f.name for f in dataclasses.fields(result)}
    elif not row.is_text:
        assert isinstance(result, (int, float, Decimal))
        assert call_quantity(name, **example_of(row)).dimension == parse_unit(row.unit).dimension
    assert all(text for _, text, _ in printed(row, result))


def outside(argument: Argument) -> list[float]:
    """Values just outside the range the row states."""
    values: list[float] = [float("nan"), float("inf"), float("-inf")]
    if argument.low is not None:
        values.append(argument.low if argument.above else argument.low - 1)
    if argument.high is not None:
        values.append(argument.high if argument.below else argument.high + 1)
    return values


def numbers(rows_: list[str]) -> list[tuple[str, str]]:
    return [
        (name, argument.name)
        for name in rows_
        for argument in entry(name).arguments
        if argument.shape in {"scalar", "whole", "sequence"}
    ]


@pytest.mark.parametrize(("name", "argument_name"), numbers(NAMES))
def test_the_function_itself_refuses_what_the_row_excludes(name: str, argument_name: str) -> None:
    row = entry(name)
    argument = row.argument(argument_name)
    sound = {key: _as_function_takes(row, key, value) for key, value in example_of(row).items()}
    for value in outside(argument):
        bad: object = value
        if argument.shape == "sequence":
            current = sound[argument_name]
            assert isinstance(current, list)
            bad = [value, *current[1:]]
        elif argument.exact:
            bad = Decimal(repr(value))
        with pytest.raises(InputError) as caught:
            row.function(**{**sound, argument_name: bad})
        assert argument_name in str(caught.value), f"{value}: {caught.value}"
        with pytest.raises(InputError):
            call(name, **{**sound, argument_name: bad})


def _as_function_takes(row: Entry, name: str, value: object) -> object:
    argument = row.argument(name)
    if argument.shape == "sequence":
        assert isinstance(value, list)
        return [item if argument.exact else float(item) for item in value]
    if argument.shape == "whole":
        assert isinstance(value, Decimal)
        return int(value)
    if argument.shape == "scalar" and not argument.exact:
        assert isinstance(value, Decimal)
        return float(value)
    return value


@pytest.mark.parametrize("name", NAMES)
def test_a_quantity_of_another_kind_is_refused(name: str) -> None:
    row = entry(name)
    strange = Quantity.of(Decimal(1), parse_unit("kg2 money"))
    for argument in row.arguments:
        if argument.shape in {"scalar", "whole"}:
            with pytest.raises(InputError) as caught:
                call(name, **{**example_of(row), argument.name: strange})
            assert caught.value.code == catalogue.wrong_unit
            assert argument.name in str(caught.value)


def test_every_row_file_has_rows_and_every_name_is_found() -> None:
    found = {
        row.name
        for module in pkgutil.iter_modules(rows.__path__)
        for row in importlib.import_module(f"trainer.maths.rows.{module.name}").ROWS
    }
    assert found == set(ENTRIES)
    assert len(ENTRIES) == len(NAMES) > 10


def test_every_public_function_of_a_module_with_rows_is_registered_or_works_on_lists() -> None:
    registered = {row.where for row in ENTRIES.values()}
    for module_name in sorted({where.partition(":")[0] for where in registered}):
        module = importlib.import_module(f"trainer.maths.{module_name}")
        for name, value in vars(module).items():
            if (
                inspect.isfunction(value)
                and value.__module__ == module.__name__
                and not name.startswith("_")
                and name not in getattr(module, "NOT_IN_CATALOGUE", ())
            ):
                assert f"{module_name}:{name}" in registered, f"{module_name}.{name} has no row"


def test_an_unknown_function_is_named_with_the_nearest() -> None:
    with pytest.raises(NotFoundError, match="mean_dos") as caught:
        entry("mean_dos")
    assert "mean_dose" in caught.value.cure
    with pytest.raises(NotFoundError) as caught:
        entry("qqqqqqq")
    assert "--list" in caught.value.cure


@pytest.mark.parametrize(
    ("act", "words"),
    [
        (lambda: call("mean_dose", 1), "'doses' is missing"),
        (lambda: call("mean_dose", 1, 2, 3), "3 arguments given, at most 2"),
        (lambda: call("mean_dose", 1, used_kg=2), "'used_kg' is given twice"),
        (lambda: call("mean_dose", 1, 2, grams=2), "no argument 'grams'"),
        (lambda: call("mean_dose", "one", 2), "used_kg is 'one'; it must be a number"),
        (lambda: call("mean_dose", True, 2), "it must be a number"),  # noqa: FBT003
        (lambda: call("mean_rate", 5, [1]), "it must be several values"),
        (lambda: call("mean_rate", "5", [1]), "it must be several values"),
        (lambda: call("mean_rate", [1, "x"], [1, 2]), "it must be a number"),
        (lambda: call("mean_rate", [], []), "used_kg holds 0 values"),
        (lambda: call("used_over_rollover", 1.5, 2, 10), "a whole number"),
    ],
)
def test_what_is_refused_says_what_is_wrong(act: Callable[[], object], words: str) -> None:
    with pytest.raises(InputError) as caught:
        act()
    assert words in str(caught.value)
    assert caught.value.cure


def test_quantities_are_converted_to_the_argument_s_unit() -> None:
    def of(number: str, unit: str) -> Quantity:
        return Quantity.of(Decimal(number), parse_unit(unit))

    plain = call("mean_flow", 98.5, 27900)
    assert call("mean_flow", of("98500", "g"), of("465", "min")) == pytest.approx(plain, rel=1e-14)
    dose = call_quantity("mean_dose", of("98.5", "kg"), of("5412", "dose"))
    assert dose.in_unit(parse_unit("g")) == Decimal("18.2002956393")
    rate = call_quantity("mean_rate", [of("700", "g"), 0.7], [of("1", "week"), of("7", "day")])
    assert snapped(rate.in_unit(parse_unit("kg/day"))) == Decimal("0.1")


def test_a_formula_cannot_call_what_returns_a_word() -> None:
    row = entry("planning_date")
    with pytest.raises(InputError) as caught:
        call_quantity("planning_date", **example_of(row))
    assert caught.value.code == catalogue.several_results


def test_call_quantity_keeps_twelve_figures() -> None:
    assert call_quantity("days_left", 1, 3).in_unit(parse_unit("day")) == Decimal("0.333333333333")


MASS = Argument("mass_kg", "kg", "a mass")
SAMPLE = Entry("sample", "A sample.", (MASS,), "kg", "", "", "", "")


@pytest.mark.parametrize(
    ("shape", "unit", "text", "value"),
    [
        ("scalar", "kg", "5 lb", Decimal("2.26796185")),
        ("scalar", "kg", "2.5", Decimal("2.5")),
        ("scalar", "kg", "250g", Decimal("0.25")),
        ("scalar", "", "−3", Decimal(-3)),
        ("whole", "", "12", Decimal(12)),
        ("sequence", "g", "18.1, 18.3 18.2", [Decimal("18.1"), Decimal("18.3"), Decimal("18.2")]),
        ("sequence", "kg", "100,200 g", [Decimal("0.1"), Decimal("0.2")]),
        ("sequence", "g", "5", [Decimal(5)]),
        ("text", "", " III ", "III"),
        ("flag", "", "Yes", True),
        ("log", "s", "0..8 60..68.5", [(0.0, 8.0), (60.0, 68.5)]),
    ],
)
def test_arguments_as_texts(shape: catalogue.Shape, unit: str, text: str, value: object) -> None:
    argument = Argument("x", unit, "", shape=shape)
    assert read_argument(SAMPLE, argument, text) == value


def test_dates_as_texts() -> None:
    dates = read_argument(SAMPLE, Argument("x", "", "", shape="dates"), "2026-04-20, 2026-05-01")
    assert isinstance(dates, list)
    assert [day.isoformat() for day in dates] == ["2026-04-20", "2026-05-01"]


@pytest.mark.parametrize(
    ("shape", "text"),
    [
        ("scalar", "five"),
        ("scalar", "5 s"),
        ("scalar", "5 qq"),
        ("date", "20.4.2026"),
        ("flag", "perhaps"),
        ("log", "0-8"),
        ("log", "0..x"),
        ("sequence", "a b"),
        ("sequence", "1 2 s"),
        ("scalar", ""),
        ("sequence", ""),
    ],
)
def test_arguments_that_cannot_be_read(shape: catalogue.Shape, text: str) -> None:
    with pytest.raises(InputError):
        read_argument(SAMPLE, Argument("x", "kg", "", shape=shape), text)


def test_results_as_texts() -> None:
    assert printed(SAMPLE, 1.5) == (("", "1.5", "kg"),)
    assert printed(SAMPLE, Decimal("0.000001")) == (("", "0.000001", "kg"),)
    assert printed(SAMPLE, None) == (("", "unknown", "kg"),)
    assert printed(SAMPLE, MASS.required) == (("", "yes", "kg"),)
    assert printed(SAMPLE, MASS.exact) == (("", "no", "kg"),)
    assert printed(SAMPLE, (1.0, 2)) == (("", "1, 2", "kg"),)
    assert printed(SAMPLE, 2e20) == (("", "2e+20", "kg"),)


def test_the_allowed_range_in_words() -> None:
    assert MASS.allowed == ""
    assert Argument("x", "", "", 0, 1, above=True, below=True).allowed == "above 0 and below 1"
    assert Argument("x", "", "", choices=("a", "b")).allowed == "one of a, b"
    assert entry("mean_dose").usage == "mean_dose(used_kg, doses)"
    with pytest.raises(InputError, match="x"):
        ranges.one_of("x", "c", ("a", "b"))


def test_text_arguments_are_checked_against_their_choices(monkeypatch: pytest.MonkeyPatch) -> None:
    word = Argument("convention", "", "a word", shape="text", choices=("plain",))
    free = Argument("note", "", "any word", shape="text", required=False)
    log = Argument("log", "s", "a run log", shape="log", required=False)
    exact = Argument("limit_g", "g", "a limit", exact=True, required=False)
    row = dataclasses.replace(SAMPLE, arguments=(word, free, log, exact), where="no:where")
    monkeypatch.setattr(catalogue, "entry", lambda _name: row)
    monkeypatch.setattr(catalogue, "_function", lambda _where: lambda **given: given)
    assert call("sample", "plain", "abc", [(0, 1)]) == {
        "convention": "plain", "note": "abc", "log": [(0, 1)],
    }  # fmt: skip
    # a function that works in decimals never sees a float
    assert call("sample", "plain", limit_g=0.1)["limit_g"] == Decimal("0.1")
    assert call("sample", "plain", limit_g=Decimal("0.30"))["limit_g"] == Decimal("0.30")
    with pytest.raises(InputError, match="one of plain"):
        call("sample", "other")
    with pytest.raises(InputError, match="a word"):
        call("sample", 5)


def test_a_name_may_stand_only_once(monkeypatch: pytest.MonkeyPatch) -> None:
    module = importlib.import_module("trainer.maths.rows.counters")
    monkeypatch.setattr(module, "ROWS", (*module.ROWS, module.ROWS[0]))
    catalogue._rows.cache_clear()
    try:
        with pytest.raises(ValueError, match="stands twice"):
            entry("mean_dose")
    finally:
        catalogue._rows.cache_clear()


def test_the_codes_are_in_the_error_catalogue() -> None:
    for code in (catalogue.unknown_function, catalogue.wrong_unit, ranges.out_of_range):
        assert CATALOGUE[code].cure
