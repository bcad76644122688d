"""What is refused, in plain words with the right status; a fault shows its number and no more."""

from __future__ import annotations

import logging
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.web.conftest import opened_house
from trainer.actions import viewing
from trainer.web.application import create_app

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from tests.web.conftest import SignedIn


def test_a_fault_shows_an_incident_number_and_the_log_has_the_rest(
    sign_in_as: Callable[[str], SignedIn],
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    def fail(*_: object, **__: object) -> None:
        msg = "SELECT secret FROM /srv/instance"
        raise RuntimeError(msg)

    somebody = sign_in_as("trainee")
    monkeypatch.setattr(viewing, "job_card", fail)
    with caplog.at_level(logging.ERROR, logger="trainer.web"):
        answer = somebody.client.get("/job-card")
    assert answer.status_code == 500
    for hidden in ("SELECT", "/srv", "Traceback", "RuntimeError", ".py"):
        assert hidden not in answer.text
    number = caplog.records[0].getMessage().removeprefix("incident ")
    assert len(number) == 8
    assert number in answer.text
    assert "SELECT secret" in caplog.text
    assert answer.headers["Content-Security-Policy"].startswith("default-src 'none'")


def test_when_even_the_strip_cannot_be_read_the_page_is_bare(
    sign_in_as: Callable[[str], SignedIn], monkeypatch: pytest.MonkeyPatch
) -> None:
    from trainer.actions import people

    def fail(*_: object, **__: object) -> None:
        raise RuntimeError

    somebody = sign_in_as("trainee")
    monkeypatch.setattr(people, "actor_of", fail)
    answer = somebody.client.get("/job-card")
    assert answer.status_code == 500
    assert "Incident" in answer.text
    assert answer.text.count("<h1>") == 1


def test_an_unknown_page_and_a_wrong_method(client: FlaskClient) -> None:
    missing = client.get("/no-such-page")
    assert missing.status_code == 404
    assert "There is no such page." in missing.text
    wrong = client.delete("/check")
    assert wrong.status_code in {400, 405}
    wrong = client.get("/sign-out")
    assert wrong.status_code == 405
    assert wrong.headers["Allow"] == "OPTIONS, POST"


def test_too_much_is_refused_in_either_encoding(
    client: FlaskClient, sign_in_as: Callable[[str], SignedIn]
) -> None:
    somebody = sign_in_as("trainee")
    for more in ({}, {"content_type": "multipart/form-data"}):
        answer = somebody.post("/me/password", {"old": "x" * 1_200_000}, **more)
        assert answer.status_code == 413
        assert "larger than this page takes" in answer.text


def test_a_form_from_elsewhere_is_refused(sign_in_as: Callable[[str], SignedIn]) -> None:
    somebody = sign_in_as("trainee")
    for headers in (
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Origin": "https://elsewhere.example"},
        {"Origin": "null"},
    ):
        answer = somebody.post("/lesson/M91-L1/read", headers=headers)
        assert answer.status_code == 403, headers
        assert "another site" in answer.text
    own = somebody.post("/lesson/M91-L1/read", headers={"Origin": "http://localhost"})
    assert own.status_code == 303


def test_a_foreign_host_is_refused_where_hosts_are_named(populated: Path, tmp_path: Path) -> None:
    with opened_house(populated, tmp_path / "named", trusted_hosts="train.example.org") as house:
        client = create_app(house).test_client()
        assert client.get("/sign-in", base_url="http://train.example.org").status_code == 200
        evil = client.get("/sign-in", base_url="http://evil.example")
        assert evil.status_code == 400
        assert "evil" not in evil.text
        forwarded = client.get(
            "/sign-in",
            base_url="http://train.example.org",
            headers={"X-Forwarded-Host": "evil.example"},
        )
        assert forwarded.status_code == 200
        assert "evil" not in forwarded.text


def test_a_script_reads_one_sentence(sign_in_as: Callable[[str], SignedIn]) -> None:
    answer = sign_in_as("trainee").post(
        "/attempt/4711/keep", headers={"Accept": "application/json"}
    )
    assert answer.status_code == 404
    assert set(answer.json) == {"said"}
