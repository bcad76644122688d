"""The four ways of the journey: two browsers times two databases."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from werkzeug.serving import make_server

from tests.journey.browsers import Browser, ChromiumBrowser, FormBrowser
from tests.playhouse import CONTENT, chromium
from tests.postgres_server import postgres_server
from trainer import settings as settings_table
from trainer.actions.house import House, open_house
from trainer.web.application import create_app

if TYPE_CHECKING:
    from flask import Flask
    from playwright.sync_api import Page, Request

__all__ = ["postgres_server"]


@pytest.fixture
def content(tmp_path: Path) -> Path:
    from tests.journey.story import copy_content

    return copy_content(CONTENT, tmp_path / "content")


@pytest.fixture(params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def house(request: pytest.FixtureRequest, tmp_path: Path, content: Path) -> Iterator[House]:
    with ExitStack() as stack:
        url = ""
        if request.param == "postgres":
            server = request.getfixturevalue("postgres_server")
            url = server.url(stack.enter_context(server.fresh()))
        yield stack.enter_context(closing(_open(tmp_path, content, url)))


def listen_off_origin(page: Page, origin: str, complaints: list[str]) -> None:
    """Note faults of scripts and requests off the origin; a refused page is no fault."""

    def asked(request: Request) -> None:
        if not request.url.startswith((origin, "data:")):
            complaints.append(f"off the origin: {request.url}")

    page.on("pageerror", lambda error: complaints.append(f"{page.url}: {error}"))
    page.on("request", asked)


def _open(tmp_path: Path, content: Path, url: str) -> House:
    return open_house(
        settings_table.load(
            {
                "instance": tmp_path / "instance",
                "content": content,
                "database": url,
                "firm": "Quernhithe Grinder Care",
                "plain_http": True,
            },
            environment={},
        )
    )


@pytest.fixture
def app(house: House) -> Flask:
    return create_app(house)


@pytest.fixture(params=["forms", pytest.param("chromium", marks=pytest.mark.browser)])
def open_browser(request: pytest.FixtureRequest, app: Flask) -> Iterator[Callable[[str], Browser]]:
    if request.param == "forms":
        yield lambda _who: FormBrowser(app.test_client())
        return
    from playwright.sync_api import sync_playwright

    program = chromium()
    server = make_server("127.0.0.1", 0, app, threaded=True)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    origin = f"http://127.0.0.1:{server.server_port}"
    complaints: list[str] = []
    with sync_playwright() as play:
        chrome = play.chromium.launch(
            executable_path=program,
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
        )

        def open_one(who: str) -> Browser:
            wide = (
                {"width": 375, "height": 740} if who == "ngozi" else {"width": 1280, "height": 900}
            )
            page = chrome.new_context(viewport=wide).new_page()  # type: ignore[arg-type]
            page.set_default_timeout(15_000)
            listen_off_origin(page, origin, complaints)
            return ChromiumBrowser(page, origin)

        yield open_one
        chrome.close()
    server.shutdown()
    thread.join(10)
    assert not complaints, complaints
