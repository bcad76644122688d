"""Sheets: the sample of the guide, what is shown, what is not, how values are printed."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from tests.engine.blocks import LAG, ORDER, PICK, exercise_of
from trainer.engine.draw import draw_key_for
from trainer.engine.figures import NotKept
from trainer.engine.outcome import Sheet
from trainer.engine.sheet import fill, make, make_from_values, printed_number

HIDDEN = "[hidden]\nh = { from = 71, to = 79, step = 2, unit = 's' }\n[find]"
DERIVED = "[derived]\nd = { what = 'half', value = 'm / 2', unit = 'g', step = 0.5 }\n[find]"
SAMPLE = {"m": Decimal("18.0"), "q": Decimal("3.8"), "z": Decimal("0.45")}


def sheet_of(block: str, values: dict[str, Decimal] | None = None) -> Sheet:
    sheet = make_from_values(exercise_of(block), values or SAMPLE)
    assert isinstance(sheet, Sheet), sheet
    return sheet


def test_the_sample_sheet() -> None:
    sheet = sheet_of(LAG)
    assert sheet.shown.situation == (
        "The chute gives 3.8 g/s once it flows, but nothing falls for the first 0.45 s.\n"
    )
    assert [(row.symbol, row.value, row.unit) for row in sheet.shown.givens] == [
        ("m", "18.0", "g"),
        ("q", "3.8", "g/s"),
        ("z", "0.45", "s"),
    ]
    (find,) = sheet.shown.finds
    assert (find.symbol, find.what) == ("t", "time to set for 18.0 g")
    assert find.units[0] == "s"
    # 18.0 / 3.8 + 0.45, worked by hand to ten figures.
    assert abs(sheet.bands["t"].expected - Decimal("5.186842105")) < Decimal("1e-9")
    assert (sheet.bands["t"].low_text, sheet.bands["t"].high_text) == ("5.14", "5.23")
    assert fill(sheet.exercise.worked, sheet) == (
        "Flow time: 18.0 g over 3.8 g/s is 4.737 s. Add the lag 0.45 s: the time to set is"
        " 5.187 s.\n"
    )


def test_nothing_secret_is_shown() -> None:
    block = LAG.replace(
        "[find]", "[hidden]\nh = { from = 71, to = 79, step = 2, unit = 's' }\n[find]"
    )
    block = block.replace("t = 'z + f'", "t = 'z + f + 0 * h'")
    sheet = sheet_of(block, {**SAMPLE, "h": Decimal(73)})
    shown = str(sheet.shown)
    for secret in ("73", "5.18", "5.19", "5.14", "5.23", "4.73", "within", "lag left out"):
        assert secret not in shown


def test_the_same_key_gives_the_same_sheet() -> None:
    exercise = exercise_of(LAG)
    key = draw_key_for(exercise.hash, 7)
    assert make(exercise, key) == make(exercise_of(LAG), key)
    assert make(exercise, key) != make(exercise, draw_key_for(exercise.hash, 8))


def test_a_draw_is_refused_with_its_reason() -> None:
    # A lag of 0.20 s is 1.4 times 2 % of 7.4 s: the slip "lag left out" is too near.
    wide = exercise_of(LAG.replace("within 1 %", "within 2 %"))
    refused = make_from_values(wide, {**SAMPLE, "q": Decimal("2.5"), "z": Decimal("0.20")})
    assert isinstance(refused, NotKept)
    assert (refused.reason, refused.about) == ("slip", "lag left out")
    narrow = exercise_of(LAG.replace("'1 s to 10 s'", "'1 s to 5 s'"))
    refused = make_from_values(narrow, SAMPLE)
    assert isinstance(refused, NotKept)
    assert (refused.reason, refused.about) == ("plausible", "t")
    tied = exercise_of(LAG.replace("[given]", "only_when = ['m >= 19 g']\n[given]"))
    refused = make_from_values(tied, SAMPLE)
    assert isinstance(refused, NotKept)
    assert (refused.reason, refused.about) == ("condition", "m >= 19 g")


def test_a_division_by_zero_is_a_reason() -> None:
    block = LAG.replace("from = 2.5", "from = 0.0").replace("f = 'm / q'", "f = 'm / q'")
    refused = make_from_values(exercise_of(block), {**SAMPLE, "q": Decimal("0.0")})
    assert isinstance(refused, NotKept)
    assert (refused.reason, refused.about) == ("cannot be worked out", "f")


def test_pick_letters_follow_the_shown_order() -> None:
    sheet = make(exercise_of(PICK), bytes(32))
    assert [choice.key for choice in sheet.shown.choices] == ["A", "B", "C"]
    options = sheet.exercise.options
    for choice, place in zip(sheet.shown.choices, sheet.choice_order, strict=True):
        assert choice.text == fill(options[place].text, sheet)
        assert "=" not in choice.text
    assert sheet.shown.marks == 1


def test_order_shows_ids_and_texts() -> None:
    sheet = make(exercise_of(ORDER), bytes(32))
    assert sorted(choice.key for choice in sheet.shown.choices) == [
        "prove", "tell", "unplug", "wait",
    ]  # fmt: skip
    assert sheet.shown.hazards == ("H01",)


@pytest.mark.parametrize(
    ("placeholder", "printed"),
    [
        ("=m=", "18.0 g"),
        ("=m bare=", "18.0"),
        ("=m in kg=", "0.0180 kg"),
        ("=q in kg/h=", "13.68 kg/h"),
        ("=z in ms=", "450 ms"),
        (r"\=m\=", "=m="),
    ],
)
def test_placeholders_of_givens(placeholder: str, printed: str) -> None:
    block = LAG.replace("The chute gives", f"{placeholder} The chute gives")
    assert sheet_of(block).shown.situation.startswith(f"{printed} The chute")
    assert fill(placeholder, sheet_of(LAG)) == printed


@pytest.mark.parametrize(
    ("placeholder", "printed"),
    [("=f=", "4.737 s"), ("=t bare=", "5.187"), ("=t in min=", "0.08645 min")],
)
def test_placeholders_of_computed_values(placeholder: str, printed: str) -> None:
    # 4.7368421 s, 5.1868421 s, 0.086447368 min
    assert fill(placeholder, sheet_of(LAG)) == printed


def test_a_safety_find_is_printed_to_its_safe_side() -> None:
    (find,) = exercise_of(LAG).finds
    higher = replace(find, safe_side="higher")
    lower = replace(find, safe_side="lower")
    assert printed_number(Decimal("5.18611"), higher) == "5.187"
    assert printed_number(Decimal("5.18689"), lower) == "5.186"
    assert printed_number(Decimal("5.18611")) == "5.186"
    assert printed_number(Decimal(151), whole=True) == "151"
    assert printed_number(Decimal(12345), whole=True) == "12345"


def test_derived_values_are_rounded_before_computing() -> None:
    block = LAG.replace(
        "[find]",
        DERIVED,
    ).replace("f = 'm / q'", "f = 'd / q'")
    sheet = sheet_of(block, {**SAMPLE, "m": Decimal("18.2")})
    # 18.2 g / 2 = 9.1 g, shown and worked with as 9.0 g: 9.0 / 3.8 = 2.368 s
    assert sheet.texts["d"] == "9.0 g"
    assert sheet.texts["f"] == "2.368 s"


def test_a_condition_may_look_at_derived_values() -> None:
    block = LAG.replace("[find]", DERIVED).replace("f = 'm / q'", "f = 'd / q'")
    block = block.replace("[given]", "only_when = ['d > 20 g']\n[given]", 1)
    refused = make_from_values(exercise_of(block), SAMPLE)
    assert isinstance(refused, NotKept)
    assert refused.about == "d > 20 g"


def test_whole_things_are_printed_whole() -> None:
    block = LAG.replace("t = 'z + f'", "n = '(floor(m / (1 g)))'\nt = 'z + f + 0 s * n'")
    assert sheet_of(block).texts["n"] == "18"


def test_a_catalogue_function_out_of_its_range_is_a_reason() -> None:
    block = LAG.replace("f = 'm / q'", "k = 'days_left(m, (q - 3.8 g/s))'\nf = 'm / q'").replace(
        "'z + f'", "'z + f + 0 * k'"
    )
    refused = make_from_values(exercise_of(block.replace("3.8 g/s", "1 g * 3.8 / (1 s)")), SAMPLE)
    assert isinstance(refused, NotKept)
    assert refused.words.startswith("k cannot be worked out: ")


def test_whole_rounded_down_floors_the_find_in_its_unit() -> None:
    block = LAG.replace("'within 1 %'", "'whole, rounded down'").replace(
        "value = 'm / q'", "value = '9'"
    )
    sheet = sheet_of(block)
    assert sheet.bands["t"].expected == 5
    assert sheet.bands["t"].low_text == "5"
    assert sheet.texts["t"] == "5 s"
