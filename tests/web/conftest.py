"""A small house for the tests of the pages, made through the acts of live use.

One module, one competency, one certificate; one person of each role and two of those who may be
strangers to each other. The house is made once a run and copied for each test that changes it.
"""

from __future__ import annotations

import shutil
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import event
from werkzeug.serving import make_server

from tests.journey.browsers import FormBrowser
from tests.playhouse import chromium
from trainer import clock
from trainer import settings as settings_table
from trainer.actions import people
from trainer.actions.actor import operator
from trainer.actions.house import Actor, House, open_house
from trainer.web.application import create_app

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient
    from playwright.sync_api import BrowserContext

CONTENT = Path(__file__).parent / "content"
PASSWORD = "quern-hithe-lantern-{}"
NOW = datetime(2026, 3, 20, 14, 3, 21, tzinfo=UTC)
CAST = {
    "trainee": ("Delphine Marrowick", "North Yard"),
    "technician": ("Tomasz Fennelhurst", "North Yard"),
    "supervisor": ("Ngozi Thistlewaite-Lund", "North Yard"),
    "trainer": ("Ottoline Vraskov-Adeyemi", ""),
    "second reader": ("Bartholomew Quillfeather", ""),
    "scheme administrator": ("Piers Umbrage-Nakata", ""),
    "decision maker": ("Hilde Saltonstone", ""),
    "auditor": ("Auberon Keck", ""),
    "client contact": ("Mirela Dunnock", ""),
}
ELSEWHERE = {
    "trainee elsewhere": ("Samira Oystergate", "trainee", "Harbour Shed"),
    "supervisor elsewhere": ("Rasmus Okonkwo-Pell", "supervisor", "Harbour Shed"),
}
EVERYBODY = {role: (name, role, team) for role, (name, team) in CAST.items()} | ELSEWHERE


def sign_in_name(who: str) -> str:
    return EVERYBODY[who][0].split()[0].lower()


def settings_of(folder: Path, **changes: object) -> settings_table.Settings:
    given = {
        "instance": folder,
        "content": CONTENT,
        "firm": "Quernhithe Grinder Care",
        "plain_http": True,
        **changes,
    }
    return settings_table.load(given, environment={})


def populate(house: House) -> None:
    """Take everybody in; the supervisors are recognised on earlier evidence."""
    teams = {
        team: people.add_team(house, operator(), name=team, site="Ostelmoor")
        for team in ("North Yard", "Harbour Shed")
    }
    for who, (name, role, team) in EVERYBODY.items():
        made = people.invite(
            house,
            operator(),
            full_name=name,
            short_name=f"{name[0]}. {name.split()[-1]}",
            sign_in_name=sign_in_name(who),
            roles=[role],
            team_id=teams.get(team),
        )
        people.accept_invitation(house, token=made.token, password=PASSWORD.format(who))
    for who in ("supervisor", "supervisor elsewhere"):
        people.recognise(
            house,
            people.acting(house, sign_in_name("scheme administrator")),
            person_id=people.acting(house, sign_in_name(who)).person_id,
            competency="C91",
            evidence="Nine years on the tools.",
        )


@pytest.fixture(scope="session")
def populated(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The instance folder of the house as it was first made."""
    folder = tmp_path_factory.mktemp("house") / "instance"
    with clock.at(NOW):
        house = open_house(settings_of(folder))
        populate(house)
        house.close()
    return folder


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """A folder of lessons that a test may change."""
    return Path(shutil.copytree(CONTENT, tmp_path / "content"))


@contextmanager
def opened_house(populated: Path, folder: Path, **changes: object) -> Iterator[House]:
    """A copy of the populated house, opened with these settings at the moment of the tests."""
    copied = Path(shutil.copytree(populated, folder))
    with clock.at(NOW):
        house = open_house(settings_of(copied, **changes))
        try:
            yield house
        finally:
            house.close()


@pytest.fixture
def house(populated: Path, tmp_path: Path, content: Path) -> Iterator[House]:
    with opened_house(populated, tmp_path / "instance", content=content) as opened:
        yield opened


@pytest.fixture
def app(house: House) -> Flask:
    return create_app(house)


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    """Nobody's browser."""
    return app.test_client()


@dataclass
class SignedIn:
    """A browser without a screen in which somebody is signed in: requests, and pages as forms."""

    client: FlaskClient
    actor: Actor
    page: FormBrowser = field(init=False)
    _token: str = ""

    def __post_init__(self) -> None:
        self.page = FormBrowser(self.client)

    @property
    def form_token(self) -> str:
        if not self._token:
            self.page.go("/me")
            cell = self.page.soup().find("input", attrs={"name": "csrf_token"})
            assert cell is not None
            self._token = str(cell["value"])
        return self._token

    def post(self, address: str, data: dict[str, str] | None = None, **more: object):  # type: ignore[no-untyped-def]  # noqa: ANN201
        sent = {"csrf_token": self.form_token, **(data or {})}
        return self.client.post(address, data=sent, **more)


@pytest.fixture
def sign_in_as(app: Flask, house: House) -> Callable[[str], SignedIn]:
    """Sign in as the person of a role ('trainee', 'supervisor elsewhere', …)."""

    def sign_in(who: str) -> SignedIn:
        name = sign_in_name(who)
        result = people.sign_in(
            house, sign_in_name=name, password=PASSWORD.format(who), address="127.0.0.1"
        )
        assert isinstance(result, people.SignedIn), result
        browser = app.test_client()
        browser.set_cookie(app.config["SIGN_IN_COOKIE"], result.token)
        actor = people.actor_of(house, result.token)
        assert actor is not None
        return SignedIn(browser, actor)

    return sign_in


@pytest.fixture
def statements(house: House) -> Iterator[list[str]]:
    """Every statement that reaches the database, transaction words left out."""
    seen: list[str] = []

    def note(_connection: object, _cursor: object, statement: str, *_rest: object) -> None:
        if not statement.upper().startswith(("BEGIN", "PRAGMA", "COMMIT", "ROLLBACK", "SAVEPOINT")):
            seen.append(statement)

    event.listen(house.database.engine, "before_cursor_execute", note)
    yield seen
    event.remove(house.database.engine, "before_cursor_execute", note)


@pytest.fixture
def show(app: Flask) -> Iterator[Callable[..., BrowserContext]]:
    """Open a browser window in which somebody is signed in, at a server on the test's own clock."""
    from playwright.sync_api import sync_playwright

    def timed(environ: Any, start_response: Any) -> Any:  # noqa: ANN401 - the server's own types
        with clock.at(NOW):
            return list(app(environ, start_response))

    program = chromium()
    server = make_server("127.0.0.1", 0, timed, threaded=True)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    origin = f"http://127.0.0.1:{server.server_port}"
    with sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=program,
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
        )

        def window(somebody: SignedIn, **more: Any) -> BrowserContext:  # noqa: ANN401
            context = browser.new_context(
                base_url=origin, viewport={"width": 375, "height": 740}, **more
            )
            context.set_default_timeout(10_000)
            cookie = somebody.client.get_cookie("trainer")
            assert cookie is not None
            context.add_cookies([{"name": "trainer", "value": cookie.value, "url": origin}])
            return context

        yield window
        browser.close()
    server.shutdown()
    thread.join(10)
