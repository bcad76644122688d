"""Signing in and out, one-time links, the password: cookies, equal refusals, sign-ins ended."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from bs4 import BeautifulSoup

from tests.journey.browsers import FormBrowser
from tests.web.conftest import PASSWORD, opened_house
from trainer.actions import people
from trainer.actions.actor import operator
from trainer.web.application import create_app

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from tests.web.conftest import SignedIn
    from trainer.actions.house import House


def token_of(page: str) -> str:
    cell = BeautifulSoup(page, "html.parser").find("input", attrs={"name": "csrf_token"})
    assert cell is not None
    return str(cell["value"])


def sign_in(client: FlaskClient, name: str, password: str, **more: str):  # type: ignore[no-untyped-def]  # noqa: ANN201
    token = token_of(client.get("/sign-in").text)
    sent = {"sign_in_name": name, "password": password, "csrf_token": token, **more}
    return client.post("/sign-in", data=sent)


def test_signing_in_opens_a_row_and_hands_over_a_fresh_token(client: FlaskClient) -> None:
    client.set_cookie("trainer", "chosen-by-somebody-else")
    answer = sign_in(client, "Delphine", PASSWORD.format("trainee"))
    assert answer.status_code == 303
    assert answer.headers["Location"] == "/"
    cookie = next(c for c in answer.headers.getlist("Set-Cookie") if c.startswith("trainer="))
    assert {"HttpOnly", "Path=/", "SameSite=Lax"} <= {part.strip() for part in cookie.split(";")}
    assert "Domain" not in cookie
    assert "chosen-by-somebody-else" not in cookie
    assert client.get("/job-card").status_code == 200


def test_cookies_over_tls_are_secure_and_bound_to_the_host(populated: Path, tmp_path: Path) -> None:
    with opened_house(populated, tmp_path / "tls", plain_http=False) as house:
        client = create_app(house).test_client()
        page = client.get("/sign-in", base_url="https://localhost")
        assert "max-age=31536000" in page.headers["Strict-Transport-Security"]
        data = {
            "sign_in_name": "delphine",
            "password": PASSWORD.format("trainee"),
            "csrf_token": token_of(page.text),
        }
        answer = client.post(
            "/sign-in",
            data=data,
            base_url="https://localhost",
            headers={"Referer": "https://localhost/sign-in"},
        )
        assert answer.status_code == 303
        cookies = page.headers.getlist("Set-Cookie") + answer.headers.getlist("Set-Cookie")
        assert {cookie.partition("=")[0] for cookie in cookies} == {
            "__Host-trainer",
            "__Host-trainer-form",
        }
        for cookie in cookies:
            parts = {part.strip() for part in cookie.split(";")}
            assert {"Secure", "HttpOnly", "Path=/", "SameSite=Lax"} <= parts
            assert "Domain" not in cookie


def test_every_refused_sign_in_reads_the_same(app: Flask, house: House) -> None:
    closed = people.acting(house, "tomasz").person_id
    people.disable(house, people.acting(house, "piers"), person_id=closed, reason="left")
    pages = set()
    for name, password in (
        ("delphine", "not-her-password-at-all"),
        ("nobody.of.that.name", "not-her-password-at-all"),
        ("tomasz", PASSWORD.format("technician")),
        ("tomasz", "not-his-password-at-all"),
    ):
        answer = sign_in(app.test_client(), name, password)
        page = BeautifulSoup(answer.text, "html.parser")
        for cell in page.select("input[name=csrf_token], input[name=sign_in_name]"):
            cell["value"] = ""
        pages.add((answer.status_code, str(page)))
    assert len(pages) == 1
    assert "do not belong together" in pages.pop()[1]


def test_signing_out_ends_the_row_so_a_copied_cookie_is_worth_nothing(
    app: Flask, sign_in_as: Callable[[str], SignedIn]
) -> None:
    somebody = sign_in_as("trainee")
    copied = somebody.client.get_cookie("trainer")
    assert copied is not None
    answer = somebody.post("/sign-out")
    assert answer.status_code == 303
    assert answer.headers["Clear-Site-Data"] == '"cache", "cookies", "storage"'
    thief = app.test_client()
    thief.set_cookie("trainer", copied.value)
    assert thief.get("/job-card").status_code == 303
    assert thief.post("/lesson/M91-L1/read").status_code == 400


def test_a_form_token_of_before_the_sign_in_is_refused_after_it(client: FlaskClient) -> None:
    old = token_of(client.get("/sign-in").text)
    sign_in(client, "delphine", PASSWORD.format("trainee"))
    answer = client.post("/lesson/M91-L1/read", data={"csrf_token": old})
    assert answer.status_code == 400
    assert "earlier sign-in" in answer.text


def test_the_page_that_asked_for_the_sign_in_is_the_page_that_follows(client: FlaskClient) -> None:
    page = client.get("/sign-in?next=/programme").text
    cell = BeautifulSoup(page, "html.parser").find("input", attrs={"name": "next"})
    assert cell is not None
    assert cell["value"] == "/programme"
    answer = sign_in(client, "delphine", PASSWORD.format("trainee"), next="/programme")
    assert answer.headers["Location"] == "/programme"


@pytest.mark.parametrize("asked", ["//h/x", "/\\h", "https://h", "javascript:alert(1)"])
def test_a_foreign_page_never_follows(client: FlaskClient, asked: str) -> None:
    answer = sign_in(client, "delphine", PASSWORD.format("trainee"), next=asked)
    assert answer.headers["Location"] == "/"


def test_an_invitation_is_used_by_its_button_once(app: Flask, house: House) -> None:
    made = people.invite(
        house,
        operator(),
        full_name="Ikaika Brambleford",
        short_name="I. Brambleford",
        sign_in_name="ikaika",
        roles=["trainee"],
    )
    first, second = FormBrowser(app.test_client()), FormBrowser(app.test_client())
    for browser in (first, second):
        browser.go(f"/invitation/{made.token}")
        assert "Ikaika Brambleford" in browser.text()
    first.fill("password", "short")
    first.fill("again", "short")
    first.press("accept the invitation")
    assert "at least 15" in first.text()
    first.fill("password", "five words that are mine")
    first.fill("again", "five words that were mine")
    first.press("accept the invitation")
    assert "The two passwords differ." in first.text()
    first.fill("password", "five words that are mine")
    first.fill("again", "five words that are mine")
    first.press("accept the invitation")
    assert first.address() == "/job-card"
    second.go(f"/invitation/{made.token}")
    assert "accept the invitation" not in second.text()
    assert sign_in(app.test_client(), "ikaika", "five words that are mine").status_code == 303


def test_a_link_for_somebody_with_a_password_lets_in_or_sets_a_new_one(
    app: Flask, house: House
) -> None:
    person = people.acting(house, "delphine").person_id
    for button, entry in (
        ("sign in with this link", ""),
        ("set the password and sign in", "a whole new set of words"),
    ):
        link = people.new_link(house, operator(), person_id=person).token
        browser = FormBrowser(app.test_client())
        browser.go(f"/invitation/{link}")
        if entry:
            browser.fill("password", entry)
            browser.fill("again", entry)
        browser.press(button)
        assert browser.address() == "/job-card", browser.text()
    assert sign_in(app.test_client(), "delphine", "a whole new set of words").status_code == 303


def test_a_new_password_ends_every_other_sign_in(
    sign_in_as: Callable[[str], SignedIn],
) -> None:
    here, there = sign_in_as("trainee"), sign_in_as("trainee")
    here.page.go("/me")
    here.page.fill("old", "not this one, certainly")
    here.page.fill("password", "a whole new set of words")
    here.page.fill("again", "a whole new set of words")
    here.page.press("set the new password")
    assert there.client.get("/job-card").status_code == 200
    here.page.go("/me")
    here.page.fill("old", PASSWORD.format("trainee"))
    here.page.fill("password", "a whole new set of words")
    here.page.fill("again", "a whole new set of words")
    here.page.press("set the new password")
    assert "new password holds" in here.page.text()
    assert there.client.get("/job-card").status_code == 303
