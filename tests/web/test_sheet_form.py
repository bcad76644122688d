"""The cells of a sheet: shown again is what was typed, and only this sheet's cells are read."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import pytest
from bs4 import BeautifulSoup
from flask import Flask
from hypothesis import given
from hypothesis import strategies as st

from trainer.engine.outcome import Reading, Shown, ShownChoice, ShownFind
from trainer.web.forms.sheets import place_of, sheet_form, typed

CALCULATION = Shown(
    "M06-E2",
    "Time for a dose",
    "calculation",
    "",
    finds=(ShownFind("t", "time to set", ("s", "ms")), ShownFind("n", "runs", ("",))),
)
PICK = Shown(
    "M01-E7",
    "Which",
    "pick",
    "",
    choices=tuple(ShownChoice(key, f"choice {key}") for key in "ABCD"),
    pick="all",
)
ORDER = Shown(
    "M01-E9",
    "Order",
    "order",
    "",
    choices=tuple(ShownChoice(ident, ident) for ident in ("pull", "tell", "wait")),
)
bare = Flask(__name__)
bare.config.update(SECRET_KEY="only for this test", WTF_CSRF_ENABLED=False)


@pytest.fixture(autouse=True)
def _request() -> Iterator[None]:
    with bare.test_request_context():
        yield


def sent(shown: Shown, data: object) -> tuple[dict[str, str], str]:
    with bare.test_request_context(method="POST", data=data):
        return typed(shown)


def test_a_cell_is_text_with_a_decimal_keyboard_and_keeps_what_was_typed() -> None:
    form = sheet_form(CALCULATION, {"t": "5,19", "t-unit": "ms"}, "18 / 3.8")
    cell = BeautifulSoup(str(form.cells[0].text()), "html.parser").input
    assert cell is not None
    assert (cell["type"], cell["inputmode"], cell["name"], cell["value"]) == (
        "text",
        "decimal",
        "t",
        "5,19",
    )
    marked = [box.data for box in form.cells[0].unit if box.checked]
    assert marked == ["ms"]
    assert form.cells[1].unit is None
    assert form.notes.data == "18 / 3.8"


def test_a_question_stands_beside_its_cell_and_a_value_meant_can_be_said_to_be_meant() -> None:
    problems = {
        "t": Reading("410", Decimal(410), "410 s is far. Is that what you mean?", asks=True),
        "n": Reading("1,205", None, "1,205 can be read in two ways.", asks=True),
    }
    form = sheet_form(CALCULATION, {"t": "410", "n": "1,205"}, "", problems)
    assert form.cells[0].sure is not None
    assert form.cells[1].sure is None
    assert [words for _, words in form.said_wrong()] == [
        "t: 410 s is far. Is that what you mean?",
        "n: 1,205 can be read in two ways.",
    ]
    assert form.said_wrong()[0][0] == form.cells[0].text.id


def test_only_the_cells_of_this_sheet_are_read_and_the_first_of_a_repeated_name_counts() -> None:
    answers, notes = sent(
        CALCULATION,
        {
            "t": ["5.19", "6"],
            "t-unit": "s",
            "mark": "1",
            "outcome": "inside",
            "person_id": "7",
            "n": "",
            "method-notes": "18 / 3.8",
        },
    )
    assert answers == {"t": "5.19", "t-unit": "s"}
    assert notes == "18 / 3.8"


def test_a_pick_is_the_marked_letters_in_order() -> None:
    assert sent(PICK, {"pick": ["D", "B", "B", "Z"]})[0] == {"pick": "B D"}
    assert sent(PICK, {})[0] == {"pick": ""}
    form = sheet_form(PICK, {"pick": "B D"}, "")
    assert [("checked" in box) for _, box in form.picks] == [False, True, False, True]


def test_numbers_beside_acts_become_their_order() -> None:
    data = {"place-pull": "2", "place-tell": "1", "place-wait": "3"}
    assert sent(ORDER, data)[0] == {"order": "tell pull wait"}
    form = sheet_form(ORDER, {"order": "tell pull wait"}, "")
    assert {choice.key: place.data for choice, place in form.places} == {
        "pull": "2",
        "tell": "1",
        "wait": "3",
    }


@given(st.lists(st.sampled_from(["", "1", "2", "3", "4", "x"]), min_size=3, max_size=3))
def test_whatever_is_written_beside_the_acts_comes_back_as_it_was(places: list[str]) -> None:
    keys = [choice.key for choice in ORDER.choices]
    written = dict(zip(keys, places, strict=True))
    answers, _ = sent(ORDER, {f"place-{key}": place for key, place in written.items()})
    assert {key: place_of(answers["order"]).get(key, "") for key in keys} == written
    whole = sorted(places) == ["1", "2", "3"]
    assert whole == (sorted(answers["order"].split()) == sorted(keys))
