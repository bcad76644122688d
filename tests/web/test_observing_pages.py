"""Observation and signing by forms: begun, marked, stopped or signed, never by the wrong hand."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from tests.web.conftest import PASSWORD

if TYPE_CHECKING:
    from tests.web.conftest import SignedIn

SignIn = Callable[[str], "SignedIn"]


@pytest.fixture
def ready(sign_in_as: SignIn) -> SignedIn:
    """The trainee with the theory of C91 met."""
    from tests.web.test_learning_pages import given, open_sheet

    trainee = sign_in_as("trainee")
    page = trainee.page
    page.go("/lesson/M91-L1")
    page.press("acknowledge H05")
    page.press("signed as read")
    open_sheet(page, "M91-E1")
    values = given(page)
    page.fill("r", f"{values['a'] / values['d']:.3f}")
    page.press("close and mark")
    open_sheet(page, "M91-E2")
    for row in page.soup().select(".choice"):
        if "backwards" not in row.get_text():
            page.choose("pick", str(row.select("input")[0]["value"]))
    page.press("close and mark")
    open_sheet(page, "M91-E3")
    for place, ident in (("1", "read"), ("2", "write"), ("3", "reset")):
        page.fill(f"place-{ident}", place)
    page.press("close and mark")
    page.go("/job-card")
    assert "ready to observe" in page.text(), page.text()
    page.press("ask to be observed C91")
    return trainee


def begin(observer: SignedIn, trainee: SignedIn) -> str:
    observer.page.go("/observations")
    words = [" ".join(tag.get_text(" ").split()) for tag in observer.page.soup().find_all("a")]
    name = trainee.actor.name.split()[-1]
    observer.page.press(next(w for w in words if w.startswith("observe ") and name in w))
    observer.page.fill("machine", "N-01")
    observer.page.fill("site", "Canteen North Station")
    observer.page.press("begin")
    assert observer.page.address().startswith("/observation/"), observer.page.text()
    return observer.page.address()


def test_a_sheet_is_marked_and_signed(sign_in_as: SignIn, ready: SignedIn) -> None:
    observer = sign_in_as("supervisor")
    page = observer.page
    sheet = begin(observer, ready)
    page.choose("value-C91.1", "done")
    page.fill("note-C91.1", "all three on the card")
    page.press("to sign")
    assert "Not seen yet: 2." in page.text()
    page.choose("value-C91.2", "done")
    page.press("to sign")
    assert page.address() == f"{sheet}/sign"
    assert "Asks for the reason of a fall and writes it down." in page.text()
    assert "all three on the card" in page.text()
    page.fill("password", "not the right one at all")
    page.press("sign")
    assert "That is not your password." in page.text()
    page.fill("password", PASSWORD.format("supervisor"))
    page.press("sign")
    assert page.address() == sheet
    assert "Competent; signed 2026-03-20" in page.text()
    ready.page.go("/job-card")
    assert "competent, in date to 2028-03-20" in ready.page.text(), ready.page.text()


def test_a_single_mark_is_kept_at_once_for_a_script(sign_in_as: SignIn, ready: SignedIn) -> None:
    observer = sign_in_as("supervisor")
    sheet = begin(observer, ready)
    sent = {"criterion": "C91.2", "value": "not done", "note": "took the old value on trust"}
    answer = observer.post(f"{sheet}/tick", sent, headers={"Accept": "application/json"})
    assert answer.json == {"said": "saved 14:03:21 UTC"}
    observer.page.go(sheet)
    box = observer.page.soup().select_one('input[name="value-C91.2"][checked]')
    assert box is not None
    assert box["value"] == "not done"
    assert observer.post(f"{sheet}/tick", {**sent, "value": "fine"}).status_code == 400
    assert observer.post(f"{sheet}/tick", {**sent, "criterion": "C91.9"}).status_code in {400, 404}


def test_nobody_else_marks_or_signs(sign_in_as: SignIn, ready: SignedIn) -> None:
    observer = sign_in_as("supervisor")
    sheet = begin(observer, ready)
    sent = {"criterion": "C91.1", "value": "done"}
    for who in ("supervisor elsewhere", "trainer", "auditor", "trainee"):
        other = ready if who == "trainee" else sign_in_as(who)
        assert other.post(f"{sheet}/tick", sent).status_code == 403, who
        assert other.post(f"{sheet}/sign", {"password": "x"}).status_code == 403, who
    observer.page.go(sheet)
    assert not observer.page.soup().select("input[checked]")


def test_a_safety_stop_ends_the_sheet_and_restricts(sign_in_as: SignIn, ready: SignedIn) -> None:
    observer = sign_in_as("supervisor")
    page = observer.page
    sheet = begin(observer, ready)
    page.press("stop for safety")
    assert page.address() == f"{sheet}/stop"
    page.press("stop for safety")
    assert "Write down what happened." in page.text(), page.text()
    page.fill("what_happened", "Hand in the throat. Could have lost a finger. Pulled the plug.")
    page.press("stop for safety")
    assert "Stopped for safety" in page.text()
    assert not page.soup().select(".thumb")
    ready.page.go("/job-card")
    assert "restricted" in ready.page.text()
    page.go(f"/job-card/{ready.actor.person_id}/restrict")
    assert "You set it, so somebody else releases it." in page.text()


def test_a_restriction_is_released_by_another(sign_in_as: SignIn, ready: SignedIn) -> None:
    admin, observer = sign_in_as("scheme administrator"), sign_in_as("supervisor")
    second = sign_in_as("supervisor elsewhere")
    admin.page.go(f"/people/{second.actor.person_id}")
    for box in admin.page.soup().select('input[name="teams"]'):
        admin.page.choose("teams", str(box["value"]))
    admin.page.press("set the teams")
    address = f"/job-card/{ready.actor.person_id}/restrict"
    observer.page.go(address)
    observer.page.choose("competency", "C91")
    observer.page.fill("reason", "Counter pages mixed up at the Tannery.")
    observer.page.press("restrict")
    assert "C91 is restricted" in observer.page.text()
    admin.page.go(address)
    assert "A supervisor releases it." in admin.page.text()
    second.page.go(address)
    assert "Counter pages mixed up at the Tannery." in second.page.text()
    second.page.fill("release_reason", "Shown again on the bench.")
    second.page.press("release C91")
    assert "Released." in second.page.text(), second.page.text()
    second.page.go(address)
    assert "Nothing is restricted." in second.page.text()


def test_the_matrix_has_a_cell_for_everybody_in_few_statements(
    sign_in_as: SignIn, statements: list[str]
) -> None:
    somebody = sign_in_as("scheme administrator")
    somebody.page.go("/skills-matrix")
    statements.clear()
    somebody.page.go("/skills-matrix")
    assert len(statements) <= 8, statements
    rows = somebody.page.soup().select(".matrix tbody tr")
    assert len(rows) == 5
    for row in rows:
        cells = row.select("td")
        assert len(cells) == 1
        assert cells[0].select_one("i.unseen") is not None
    assert [c.get_text() for c in somebody.page.soup().select(".matrix tfoot td")] == ["2"]


def test_a_supervisor_sees_the_own_team_only(sign_in_as: SignIn, ready: SignedIn) -> None:
    here, there = sign_in_as("supervisor"), sign_in_as("supervisor elsewhere")
    here.page.go("/skills-matrix")
    assert "Marrowick, Delphine" in here.page.text()
    there.page.go("/skills-matrix")
    assert "Marrowick" not in there.page.text()
    assert there.client.get(f"/job-card/{ready.actor.person_id}").status_code == 403
    there.page.go("/observations")
    assert "Marrowick" not in there.page.text()
