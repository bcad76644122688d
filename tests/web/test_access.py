"""Who gets in where: the rule is on the view, and the check is before every view."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from flask import Flask

from trainer.web.access import Rule, allowed, check_access, open_to_all, rule_of
from trainer.web.refusals import receive

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from tests.web.conftest import SignedIn


def test_every_view_of_the_application_carries_a_rule(app: Flask) -> None:
    rules = {endpoint: rule_of(app, endpoint) for endpoint in app.view_functions}
    assert all(rules.values())
    opened = {endpoint for endpoint, rule in rules.items() if rule and rule.is_open}
    assert opened == {
        "static",
        "front.front_page",
        "front.ready",
        "front.sign_in",
        "front.invitation",
        "certificate.check",
        "certificate.by_link",
    }


def test_a_view_without_a_rule_stays_shut() -> None:
    bare = Flask(__name__)
    bare.before_request(check_access)
    bare.add_url_rule("/open", "open", open_to_all("for this test")(lambda: "in"))
    bare.add_url_rule("/forgotten", "forgotten", lambda: "in")
    receive(bare)
    client = bare.test_client()
    assert client.get("/open").text == "in"
    answer = client.get("/forgotten", headers={"Accept": "application/json"})
    assert answer.status_code == 403
    assert "no access rule" in answer.get_data(as_text=True)


@pytest.mark.parametrize("roles", [(), ("student",), ("trainee", "owner")])
def test_a_role_outside_the_vocabulary_is_refused_when_the_view_is_written(
    roles: tuple[str, ...],
) -> None:
    with pytest.raises(ValueError, match="roles of the vocabulary"):
        allowed(*roles)


def test_a_rule_lets_in_by_any_role_held(sign_in_as: Callable[[str], SignedIn]) -> None:
    rule = Rule(frozenset({"supervisor", "auditor"}))
    assert rule.lets_in(sign_in_as("auditor").actor)
    assert not rule.lets_in(sign_in_as("trainee").actor)
    assert not rule.lets_in(None)
    assert Rule(open_because="x").lets_in(None)


def test_nobody_is_sent_to_sign_in_with_the_page_to_come_back_to(client: FlaskClient) -> None:
    answer = client.get("/skills-matrix?team=2")
    assert answer.status_code == 303
    assert answer.headers["Location"] == "/sign-in?next=/skills-matrix?team%3D2"
    script = client.get("/job-card", headers={"Accept": "application/json"})
    assert script.status_code == 401
    assert "Sign in" in script.get_data(as_text=True)


def test_another_role_reads_who_may_and_nothing_else(
    sign_in_as: Callable[[str], SignedIn],
) -> None:
    answer = sign_in_as("trainee").client.get("/people")
    assert answer.status_code == 403
    assert "open to: auditor, scheme administrator" in answer.text
    assert "Umbrage" not in answer.text


def test_each_role_starts_on_its_own_page(sign_in_as: Callable[[str], SignedIn]) -> None:
    fronts = {
        "trainee": "/job-card",
        "technician": "/job-card",
        "supervisor": "/observations",
        "trainer": "/editions",
        "second reader": "/editions",
        "decision maker": "/decisions",
        "scheme administrator": "/people",
        "auditor": "/skills-matrix",
        "client contact": "/check",
    }
    for role, front in fronts.items():
        somebody = sign_in_as(role)
        answer = somebody.client.get("/")
        assert (answer.status_code, answer.headers["Location"]) == (303, front), role
        assert somebody.client.get(front).status_code == 200, role


def test_the_house_strip_offers_only_pages_that_open(
    sign_in_as: Callable[[str], SignedIn],
) -> None:
    for role in ("trainee", "supervisor", "trainer", "scheme administrator", "auditor"):
        somebody = sign_in_as(role)
        somebody.page.go("/me")
        links = somebody.page.soup().select("header nav a")
        assert links[-1].get_text() == somebody.actor.name
        for link in links:
            assert somebody.client.get(str(link["href"])).status_code == 200, (role, link)
