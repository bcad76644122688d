"""Every route, for every role: who gets in, what a form needs, what every answer carries."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from bs4 import BeautifulSoup

from tests.walk.addresses import address_of
from trainer.rules.roles import ALL
from trainer.web.access import rule_of

if TYPE_CHECKING:
    from werkzeug.routing import Rule

    from tests.playhouse import Played

MATRIX = Path(__file__).parent / "role_matrix.csv"
ACTORS = {
    "nobody": "",
    "trainee": "samira",
    "technician": "tomasz",
    "supervisor": "ngozi",
    "trainer": "ottoline",
    "second reader": "bat",
    "scheme administrator": "piers",
    "decision maker": "hilde",
    "auditor": "auberon",
    "client contact": "mirela",
}
IN, SHUT, SIGN_IN = "in", "shut", "sign in"


def rules(played: Played) -> Iterator[tuple[Rule, str]]:
    for rule in sorted(played.app.url_map.iter_rules(), key=lambda one: one.rule):
        for method in sorted((rule.methods or set()) & {"GET", "POST", "PUT", "PATCH", "DELETE"}):
            yield rule, method


def test_the_matrix_names_every_role() -> None:
    assert set(ACTORS) - {"nobody"} == set(ALL)


def expected() -> dict[tuple[str, str], dict[str, str]]:
    with MATRIX.open(encoding="utf-8", newline="") as file:
        return {(row["route"], row["method"]): row for row in csv.DictReader(file)}


def test_every_route_is_in_the_matrix_and_no_other(played: Played) -> None:
    assert {(rule.rule, method) for rule, method in rules(played)} == set(expected())


def test_every_role_meets_what_the_matrix_says(played: Played) -> None:
    wrong = []
    table = expected()
    for rule, method in rules(played):
        if rule.rule == "/sign-out":  # would end the shared sign-ins
            continue
        for role, sign_in in ACTORS.items():
            found = meets(played, sign_in, rule, method)
            said = table[rule.rule, method][role]
            if found != said:
                wrong.append(f"{method} {rule.rule} {role}: {found}, the matrix says {said}")
    assert not wrong, "\n".join(wrong)


def meets(played: Played, sign_in: str, rule: Rule, method: str) -> str:
    """What a person meets there; acts are tried with a body that cannot succeed."""
    visitor = played.visitor(sign_in)
    address = address_of(played, rule)
    before = played.digest() if method != "GET" else ""
    if method == "GET":
        answer = visitor.client.get(address)
    else:
        answer = visitor.post(address, {"token": "x", "digest": "x"})
    assert answer.status_code < 500, f"{method} {address}: {answer.text[:400]}"
    if answer.status_code == 401 or "/sign-in" in answer.headers.get("Location", ""):
        found = SIGN_IN
    elif answer.status_code == 403 and "belongs to another role" in answer.text:
        found = SHUT
    else:
        found = IN
    if method != "GET" and found != IN:
        assert played.digest() == before, f"a refused {method} {address} changed something"
    return found


def test_every_view_has_a_rule(played: Played) -> None:
    for endpoint in played.app.view_functions:
        assert rule_of(played.app, endpoint) is not None, endpoint


def test_every_post_without_a_form_token_is_refused_and_changes_nothing(played: Played) -> None:
    for rule, method in rules(played):
        if method == "GET":
            continue
        for sign_in in ("", "piers", "ngozi", "delphine"):
            visitor = played.visitor(sign_in)
            before = played.digest()
            address = address_of(played, rule)
            bare = visitor.client.open(address, method=method, data={"name": "x"})
            assert bare.status_code in {400, 403}, f"{method} {address} as {sign_in or 'nobody'}"
            other = played.visitor("hilde" if sign_in != "hilde" else "piers").form_token
            stolen = visitor.client.open(address, method=method, data={"csrf_token": other})
            assert stolen.status_code in {400, 403}, f"{method} {address} with another's token"
            across = visitor.client.open(
                address,
                method=method,
                data={"csrf_token": visitor.form_token},
                headers={"Sec-Fetch-Site": "cross-site"},
            )
            assert across.status_code in {400, 403}, f"{method} {address} from another site"
            assert played.digest() == before, f"{method} {address} changed something"


def test_no_get_changes_a_row(played: Played) -> None:
    for sign_in in ACTORS.values():
        visitor = played.visitor(sign_in)
        before = played.digest()
        for rule, method in rules(played):
            if method == "GET":
                visitor.client.get(address_of(played, rule))
        assert played.digest() == before, f"reading as {sign_in or 'nobody'} changed something"


SECURITY = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
}
POLICY = (
    "default-src 'none'",
    "script-src 'self'",
    "style-src 'self'",
    "img-src 'self'",
    "connect-src 'self'",
    "form-action 'self'",
    "frame-ancestors 'none'",
    "base-uri 'none'",
    "object-src 'none'",
)


def test_every_answer_carries_the_security_headers(played: Played) -> None:
    for sign_in in ("", "delphine", "ngozi", "piers", "hilde", "ottoline"):
        visitor = played.visitor(sign_in)
        answers = [
            visitor.client.get(address_of(played, rule))
            for rule, method in rules(played)
            if method == "GET"
        ]
        answers.append(visitor.client.get("/no-such-page"))
        answers.append(visitor.client.delete("/check"))
        answers.append(visitor.client.post("/check", data={"csrf_token": "x" * 600_000}))
        for answer in answers:
            where = f"{answer.request.path} as {sign_in or 'nobody'}"
            for name, value in SECURITY.items():
                assert answer.headers.get(name) in {value, "no-referrer"}, f"{where}: {name}"
            policy = answer.headers.get("Content-Security-Policy", "")
            for part in POLICY:
                if not (answer.mimetype or "").startswith("image/"):
                    assert part in policy, f"{where}: {part} not in {policy}"
            assert "unsafe" not in policy
            if (answer.mimetype or "").startswith("text/"):
                assert "charset=utf-8" in answer.headers["Content-Type"].lower(), where
            if (
                sign_in
                and answer.request.path != "/static/look.css"
                and answer.mimetype == "text/html"
            ):
                assert "no-store" in answer.headers.get("Cache-Control", ""), where


def test_every_page_has_a_title_a_language_and_one_heading(played: Played) -> None:
    for sign_in in ACTORS.values():
        visitor = played.visitor(sign_in)
        addresses = [address_of(played, rule) for rule, method in rules(played) if method == "GET"]
        for address in [*addresses, "/no-such-page"]:
            answer = visitor.client.get(address)
            if answer.mimetype != "text/html" or answer.status_code in {301, 302, 303, 308}:
                continue
            page = BeautifulSoup(answer.text, "html.parser")
            assert page.html is not None
            assert page.html.get("lang") == "en", address
            assert page.title is not None, address
            assert page.title.get_text(strip=True), address
            assert len(page.find_all("h1")) == 1, address
            assert page.find("main") is not None, address
            ids = [tag["id"] for tag in page.find_all(id=True)]
            assert len(ids) == len(set(ids)), f"{address}: an id stands twice"
            for tag in page.find_all():
                assert not any(name == "style" or name.startswith("on") for name in tag.attrs), (
                    address
                )
            for script in page.find_all("script"):
                assert script.get("src"), f"{address}: a script in the page"


@pytest.mark.parametrize("who", ["", "mirela"])
def test_a_refusal_names_nobody(played: Played, who: str) -> None:
    for rule, method in rules(played):
        if method == "GET" and "<" in rule.rule:
            answer = played.visitor(who).client.get(address_of(played, rule))
            if answer.status_code in {401, 403, 404}:
                assert "Marrowick" not in answer.text, rule.rule
