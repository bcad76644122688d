"""The demonstration company as a fixture: the fullest house there is, made by the acts."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from bs4 import BeautifulSoup
from sqlalchemy import MetaData, select

from trainer import settings as settings_table
from trainer.actions import people
from trainer.actions.house import House, open_house
from trainer.cli import scenario
from trainer.web.application import create_app

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

CONTENT = Path(__file__).parent.parent / "content"
CHANGES_WITH_READING = {"sign_in", "throttle"}  # last seen, and counts of failed tries


@dataclass
class Played:
    """A played house with its application and the people one can be."""

    house: House
    app: Flask
    guests: dict[str, scenario.Guest]
    _clients: dict[str, Visitor] = field(default_factory=dict)
    _tables: MetaData = field(default_factory=MetaData)
    addresses: dict[str, object] = field(default_factory=dict)

    def visitor(self, sign_in: str = "") -> Visitor:
        """A browser without a screen, signed in as this person ('' nobody)."""
        if sign_in not in self._clients:
            self._clients[sign_in] = self.fresh(sign_in)
        return self._clients[sign_in]

    def fresh(self, sign_in: str = "") -> Visitor:
        """A new browser without a screen."""
        client = self.app.test_client()
        if sign_in:
            guest = self.guests[sign_in]
            result = people.sign_in(
                self.house, sign_in_name=sign_in, password=guest.password, address="127.0.0.1"
            )
            assert isinstance(result, people.SignedIn), result
            client.set_cookie(self.app.config["SIGN_IN_COOKIE"], result.token)
        return Visitor(client)

    def digest(self) -> str:
        """One figure over every row of every table but those that only note who looked."""
        found = hashlib.sha256()
        engine = self.house.database.engine
        if not self._tables.tables:
            self._tables.reflect(engine)
        with engine.connect() as connection:
            for table in sorted(self._tables.tables.values(), key=lambda one: one.name):
                if table.name not in CHANGES_WITH_READING:
                    for row in connection.execute(
                        select(table).order_by(*table.primary_key.columns)
                    ):
                        found.update(repr((table.name, tuple(row))).encode())
        return found.hexdigest()


@dataclass
class Visitor:
    """A test client that carries the form token of its session."""

    client: FlaskClient
    _token: str = ""

    @property
    def form_token(self) -> str:
        """A form token of this session, read off a page with a form."""
        if not self._token:
            for address in ("/me", "/sign-in"):
                page = BeautifulSoup(self.client.get(address).text, "html.parser")
                cell = page.find("input", attrs={"name": "csrf_token"})
                if cell is not None:
                    self._token = str(cell["value"])
                    break
        return self._token

    def post(self, address: str, data: dict[str, str] | None = None, **more: object):  # type: ignore[no-untyped-def]  # noqa: ANN201
        """Post a form with its token."""
        return self.client.post(
            address, data={"csrf_token": self.form_token, **(data or {})}, **more
        )


def make_house(folder: Path, **changes: object) -> tuple[House, dict[str, scenario.Guest]]:
    """Play the company into a fresh instance folder."""
    house = open_house(
        settings_table.load(
            {
                "instance": folder,
                "content": CONTENT,
                "firm": "Quernhithe Grinder Care",
                "address": "http://127.0.0.1",
                "plain_http": True,
                **changes,
            },
            environment={},
        )
    )
    guests = scenario.play(house, everybody=True)
    return house, {guest.sign_in_name: guest for guest in guests}


@pytest.fixture(scope="session")
def played(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Played]:
    house, guests = make_house(tmp_path_factory.mktemp("played"))
    app = create_app(house)
    yield Played(house, app, guests)
    house.close()


def chromium() -> str:
    """The path of a Chromium on this machine, or skip."""
    for path in (os.environ.get("CHROMIUM", ""), "/usr/bin/chromium", "/usr/bin/chromium-browser"):
        if path and Path(path).exists():
            return path
    pytest.skip("no Chromium on this machine: install Debian's package chromium")
