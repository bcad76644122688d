"""Lesson, exercise and sheet: by forms alone, nothing of the answer on an open sheet."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from trainer.actions import working

if TYPE_CHECKING:
    from tests.journey.browsers import FormBrowser
    from tests.web.conftest import SignedIn
    from trainer.actions.house import House

SignIn = Callable[[str], "SignedIn"]


def given(page: FormBrowser) -> dict[str, float]:
    rows = page.soup().select("table.values tr")
    return {
        row.select(".s")[0].get_text(strip=True): float(row.select(".v")[0].get_text(strip=True))
        for row in rows
    }


def open_sheet(page: FormBrowser, exercise: str) -> str:
    page.go(f"/sheet/{exercise}")
    words = {tag.get_text(strip=True) for tag in page.soup().find_all("button")}
    page.press("new numbers" if "new numbers" in words else "open the sheet")
    assert page.address().startswith("/attempt/"), page.text()
    return page.address()


def test_a_lesson_is_read_with_few_statements(sign_in_as: SignIn, statements: list[str]) -> None:
    somebody = sign_in_as("trainee")
    somebody.client.get("/lesson/M91-L1")
    statements.clear()
    answer = somebody.client.get("/lesson/M91-L1")
    assert answer.status_code == 200
    assert len(statements) <= 5, statements
    assert "no-store" in answer.headers["Cache-Control"]


def test_a_lesson_is_acknowledged_and_signed_as_read(sign_in_as: SignIn) -> None:
    page = sign_in_as("trainee").page
    page.go("/lesson/M91-L1")
    assert "edition 1, in force" in page.text()
    page.press("acknowledge H05")
    assert "acknowledged 2026-03-20" in page.text()
    page.press("signed as read")
    assert "signed as read 2026-03-20" in page.text()
    page.go("/programme")
    assert "read 2026-03-20" in page.text()


def test_an_auditor_reads_a_lesson_but_signs_nothing(sign_in_as: SignIn) -> None:
    page = sign_in_as("auditor").page
    page.go("/lesson/M91-L1")
    words = [tag.get_text(strip=True) for tag in page.soup().find_all("button")]
    assert page.status() == 200
    assert words == []


def test_looking_at_an_exercise_opens_nothing(sign_in_as: SignIn, house: House) -> None:
    somebody = sign_in_as("trainee")
    assert somebody.client.get("/sheet/M91-E1").status_code == 200
    page = working.exercise_page(house, somebody.actor, exercise="M91-E1")
    assert (page.open_attempt, page.attempts) == (None, 0)


def test_an_open_sheet_shows_the_given_and_nothing_of_the_answer(
    sign_in_as: SignIn, house: House
) -> None:
    somebody = sign_in_as("trainee")
    address = open_sheet(somebody.page, "M91-E1")
    values = given(somebody.page)
    assert set(values) == {"a", "d"}
    text = somebody.client.get(address).text
    rate = values["a"] / values["d"]
    for writing in (f"{rate:.1f}", f"{rate:.2f}", f"{rate * 1.01:.1f}", f"{rate * 0.99:.1f}"):
        assert not re.search(rf"(?<![\d.]){re.escape(writing)}(?![\d.])", text), writing
    for hidden in ("within 1", "both end days", "Share", "draw_key", "slip"):
        assert hidden not in text


def test_what_is_typed_is_kept_and_shown_again(sign_in_as: SignIn) -> None:
    somebody = sign_in_as("trainee")
    page = somebody.page
    address = open_sheet(page, "M91-E1")
    answer = somebody.post(
        f"{address}/keep",
        {"r": "12,5", "method-notes": "a over d"},
        headers={"Accept": "application/json"},
    )
    assert answer.json == {"said": "saved 14:03:21 UTC"}
    page.go(address)
    cell = page.soup().select_one('input[name="r"]')
    assert cell is not None
    assert cell["value"] == "12,5"
    assert "saved 14:03:21" in page.text()
    assert "a over d" in page.text()
    page.go("/job-card")
    page.press("go on")
    assert page.address() == address


def test_a_question_is_asked_with_the_values_still_in_place(sign_in_as: SignIn) -> None:
    page = sign_in_as("trainee").page
    open_sheet(page, "M91-E1")
    page.fill("r", "99999")
    page.fill("method-notes", "too many")
    page.press("close and mark")
    assert "To mend" in page.text()
    cell = page.soup().select_one('input[name="r"]')
    assert cell is not None
    assert (cell["value"], cell["aria-invalid"]) == ("99999", "true")
    words = page.soup().find(id=str(cell["aria-describedby"]))
    assert words is not None
    assert words.get_text(strip=True)
    page.choose("r-sure", "y")
    page.press("close and mark")
    assert "OUTSIDE" in page.text()
    assert "too many" in page.text()


def test_a_slip_is_named_then_new_numbers_and_the_right_answer(sign_in_as: SignIn) -> None:
    page = sign_in_as("trainee").page
    first = open_sheet(page, "M91-E1")
    values = given(page)
    page.fill("r", f"{values['a'] / (values['d'] + 1):.4f}")
    page.press("close and mark")
    assert "both end days counted" in page.text()
    assert "OUTSIDE" in page.text()
    assert "mark 0 of 1" in page.text()
    page.press("new numbers")
    assert page.address() != first
    values = given(page)
    page.fill("r", f"{values['a'] / values['d']:.2f}".replace(".", ","))
    page.press("close and mark")
    assert "INSIDE" in page.text()
    assert page.soup().select("svg.strip title")
    page.go("/sheets")
    assert page.text().count("Doses per day") == 2


def test_closing_twice_gives_the_first_result_and_keeping_afterwards_is_refused(
    sign_in_as: SignIn,
) -> None:
    somebody = sign_in_as("trainee")
    page = somebody.page
    address = open_sheet(page, "M91-E1")
    token = page.soup().select_one('input[name="open-token"]')
    assert token is not None
    sent = {"open-token": str(token["value"]), "r": "100"}
    first = somebody.post(f"{address}/close", sent)
    again = somebody.post(f"{address}/close", {**sent, "r": "200"})
    assert (first.status_code, again.status_code) == (303, 303)
    page.go(address)
    assert "100" in page.text()
    typed = {"r": "300", "method-notes": "typed too late"}
    late = somebody.post(f"{address}/keep", typed, headers={"Accept": "application/json"})
    assert late.status_code == 409
    page.go(address)
    assert "typed too late" not in page.text()


@pytest.mark.parametrize("who", ["trainee elsewhere", "supervisor elsewhere"])
def test_somebody_elses_sheet_is_not_shown(sign_in_as: SignIn, who: str) -> None:
    address = open_sheet(sign_in_as("trainee").page, "M91-E1")
    other = sign_in_as(who)
    answer = other.client.get(address)
    assert answer.status_code == 403
    assert "Marrowick" not in answer.text
    assert other.post(f"{address}/close", {"r": "1"}).status_code == 403


def test_a_supervisor_of_the_team_sees_an_open_sheet_only_as_open(sign_in_as: SignIn) -> None:
    address = open_sheet(sign_in_as("trainee").page, "M91-E1")
    page = sign_in_as("supervisor").page
    page.go(address)
    assert "can be read here once it is closed" in page.text()
    assert not page.soup().select("input")


def test_a_pick_sheet_is_filled_by_boxes(sign_in_as: SignIn) -> None:
    page = sign_in_as("trainee").page
    open_sheet(page, "M91-E2")
    for row in page.soup().select(".choice"):
        box = row.find("input")
        assert box is not None
        page.choose("pick", str(box["value"]))
    page.press("close and mark")
    assert "OUTSIDE" in page.text()
    assert "No grinder takes a dose back." in page.text()
    marked = [row.get_text(" ", strip=True) for row in page.soup().select("tr.off")]
    assert len(marked) == 1
    assert "backwards" in marked[0]


def test_an_order_sheet_is_filled_by_numbers(sign_in_as: SignIn) -> None:
    page = sign_in_as("trainee").page
    open_sheet(page, "M91-E3")
    for place, ident in (("1", "read"), ("2", "write"), ("2", "reset")):
        page.fill(f"place-{ident}", place)
    page.press("close and mark")
    assert "To mend" in page.text()
    cell = page.soup().select_one('input[name="place-reset"]')
    assert cell is not None
    assert cell["value"] == "2"
    for place, ident in (("1", "read"), ("2", "write"), ("3", "reset")):
        page.fill(f"place-{ident}", place)
    page.press("close and mark")
    assert "INSIDE" in page.text()
