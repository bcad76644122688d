"""People, editions, decisions, certificates: the acts of the scheme by forms."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from bs4 import BeautifulSoup

from tests.web.conftest import PASSWORD
from tests.web.test_observing_pages import begin, ready

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from tests.web.conftest import SignedIn
    from trainer.actions.house import House

__all__ = ["ready"]
SignIn = Callable[[str], "SignedIn"]


def test_a_person_is_invited_and_the_link_is_shown_once(sign_in_as: SignIn) -> None:
    admin = sign_in_as("scheme administrator")
    page = admin.page
    page.go("/people")
    page.fill("full_name", "Ikaika Brambleford")
    page.press("invite")
    assert "Write a sign-in name." in page.text()
    cell = page.soup().select_one('input[name="full_name"]')
    assert cell is not None
    assert cell["value"] == "Ikaika Brambleford"
    page.fill("sign_in_name", "ikaika")
    page.choose("roles", "trainee")
    page.press("invite")
    link = re.search(r"http://localhost/invitation/([\w-]{20,})", page.text())
    assert link
    page.go("/people")
    assert "Brambleford, Ikaika" in page.text()
    assert link.group(1) not in page.text()


def test_roles_and_teams_become_what_is_marked(sign_in_as: SignIn) -> None:
    admin = sign_in_as("scheme administrator")
    page = admin.page
    page.go("/people")
    page.press("Fennelhurst, Tomasz")
    page.choose("roles", "technician")
    page.choose("roles", "supervisor")
    page.press("set the roles")
    assert "The roles are set." in page.text()
    held = {str(box["value"]) for box in page.soup().select('input[name="roles"][checked]')}
    assert held == {"technician", "supervisor"}
    page.press("set the teams")
    assert page.soup().select('input[name="teams"][checked]') != []


def test_an_account_is_closed_with_a_reason_and_its_sign_ins_end(sign_in_as: SignIn) -> None:
    admin, other = sign_in_as("scheme administrator"), sign_in_as("technician")
    admin.page.go(f"/people/{other.actor.person_id}")
    admin.page.press("close")
    assert "Write down the reason." in admin.page.text()
    assert other.client.get("/job-card").status_code == 200
    admin.page.fill("reason", "left the company")
    admin.page.press("close")
    assert "The account is closed." in admin.page.text()
    assert other.client.get("/job-card").status_code == 303


def test_fields_a_form_does_not_have_change_nothing(sign_in_as: SignIn, house: House) -> None:
    somebody = sign_in_as("trainee")
    extra = {"roles": "scheme administrator", "person_id": "1", "is_admin": "1", "mark": "1"}
    somebody.post("/lesson/M91-L1/read", extra)
    again = sign_in_as("trainee").actor
    assert again.roles == {"trainee"}


def test_a_broken_lesson_is_found_with_its_place_and_kept_out(
    sign_in_as: SignIn, content: Path
) -> None:
    file = content / "modules" / "M91" / "exercises.md"
    sound = file.read_text(encoding="utf-8")
    broken = sound.replace("r = 'a / d'", "r = 'a + d'")
    file.write_text(broken, encoding="utf-8")
    line = next(n for n, text in enumerate(broken.splitlines(), 1) if text == "r = 'a + d'")
    page = sign_in_as("trainer").page
    page.go("/editions")
    page.press("look at the folder")
    places = [tag.get_text(strip=True) for tag in page.soup().select(".findings .error .place")]
    assert any(re.fullmatch(rf"\S*exercises\.md:{line}:\d+", place) for place in places), places
    assert page.soup().select(".findings .cure")
    page.fill("reason", "try it")
    page.press("put in force")
    assert "kept out" in page.text()
    file.write_text(
        sound.replace("How many doses a day is that", "What is that a day"), encoding="utf-8"
    )
    page.go("/editions")
    page.fill("reason", "said more plainly")
    page.press("put in force")
    assert "in force, edition 2" in page.text(), page.text()
    page.go("/editions")
    assert "said more plainly" in page.text()
    reader = sign_in_as("second reader").page
    reader.go("/editions")
    assert not reader.soup().find_all("button")


@pytest.fixture
def candidate(sign_in_as: SignIn, ready: SignedIn) -> SignedIn:
    """The trainee, competent in C91, with an application that was admitted."""
    observer = sign_in_as("supervisor")
    begin(observer, ready)
    for criterion in ("C91.1", "C91.2"):
        observer.page.choose(f"value-{criterion}", "done")
    observer.page.press("to sign")
    observer.page.fill("password", PASSWORD.format("supervisor"))
    observer.page.press("sign")
    ready.page.go("/certificates")
    ready.page.press("apply for Counting doses on commercial grinders")
    admin = sign_in_as("scheme administrator").page
    admin.go("/decisions")
    admin.press("Marrowick, Delphine")
    admin.press("admit")
    return ready


def test_granted_printed_and_checked(
    sign_in_as: SignIn, candidate: SignedIn, client: FlaskClient
) -> None:
    decider = sign_in_as("decision maker").page
    decider.go("/decisions")
    decider.press("Marrowick, Delphine")
    assert "The rule is met." in decider.text()
    decider.fill("reason", "One whole sheet, the rule met.")
    decider.fill("password", "not the right one at all")
    decider.press("grant")
    assert "That is not your password." in decider.text()
    decider.fill("reason", "One whole sheet, the rule met.")
    decider.fill("password", PASSWORD.format("decision maker"))
    decider.press("grant")
    assert decider.address().startswith("/certificate/"), decider.text()
    page = decider.soup()
    words = [tag.get_text(strip=True) for tag in page.select(".paper-words dd")]
    assert len(words) == 2
    assert page.select_one("svg.qr title") is not None
    assert "localhost/check" in decider.text()

    from tests.journey.browsers import FormBrowser

    public = FormBrowser(client)
    shapes = set()
    for number, word in (words, (words[0], "AAAAA-AAAAA"), ("GM-0000-0000", words[1])):
        public.go("/check")
        public.fill("number", number)
        public.fill("word", word)
        public.press("check")
        assert public.status() == 200
        shapes.add(tuple(tag.get_text() for tag in public.soup().select(".answers dt")))
        assert ("Marrowick" in public.text()) == ((number, word) == tuple(words))
    assert len(shapes) == 1
    decider.fill("reason", "The holder asked for it.")
    decider.fill("password", PASSWORD.format("decision maker"))
    decider.press("suspend")
    assert "suspended" in decider.text()
    public.go("/check")
    public.fill("number", words[0].lower())
    public.fill("word", words[1].lower())
    public.press("check")
    assert "SUSPENDED" in public.text()


def test_refused_with_a_reason_the_person_reads(sign_in_as: SignIn, candidate: SignedIn) -> None:
    decider = sign_in_as("decision maker").page
    decider.go("/decisions")
    decider.press("Marrowick, Delphine")
    decider.fill("password", PASSWORD.format("decision maker"))
    decider.press("refuse")
    assert "is missing" in decider.text()
    decider.fill("reason", "The sheet names no machine.")
    decider.fill("password", PASSWORD.format("decision maker"))
    decider.press("refuse")
    assert decider.address() == "/decisions"
    candidate.page.go("/job-card")
    assert "was refused on 2026-03-20" in candidate.page.text()


def test_the_link_of_a_paper_answers_in_the_same_shape(client: FlaskClient) -> None:
    answer = client.get("/c/nobody-has-this-link-0000000000")
    assert answer.status_code == 200
    page = BeautifulSoup(answer.text, "html.parser")
    assert "NOT KNOWN" in page.get_text()
    assert len(page.select(".answers > div")) == 8
