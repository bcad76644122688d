"""Every page in a real browser: accessible, quiet, and no wider than the screen."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pytest
from werkzeug.serving import make_server

from tests.playhouse import chromium
from tests.walk.addresses import address_of, open_sheets
from tests.walk.test_routes import ACTORS, rules

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, Request

    from tests.playhouse import Played

pytestmark = [pytest.mark.browser, pytest.mark.slow]
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
LAUNCH = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]


@dataclass
class Screen:
    """A running server and a browser, shared by the tests of this module."""

    browser: Browser
    origin: str
    played: Played

    def context(self, who: str, *, width: int, **more: Any) -> BrowserContext:  # noqa: ANN401
        context = self.browser.new_context(viewport={"width": width, "height": 800}, **more)
        context.set_default_timeout(15_000)
        if who:
            name = self.played.app.config["SIGN_IN_COOKIE"]
            cookie = self.played.fresh(who).client.get_cookie(name)
            assert cookie is not None
            context.add_cookies([{"name": name, "value": cookie.value, "url": self.origin}])
        return context


@pytest.fixture(scope="module")
def screen(played: Played) -> Iterator[Screen]:
    from playwright.sync_api import sync_playwright

    program = chromium()
    server = make_server("127.0.0.1", 0, played.app, threaded=True)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=program, args=LAUNCH)
        yield Screen(browser, f"http://127.0.0.1:{server.server_port}", played)
        browser.close()
    server.shutdown()
    thread.join(10)


def pages(played: Played) -> list[tuple[str, str]]:
    """(who, address) of every page, by the first person it opens for, and more for telling ones."""
    found = []
    for rule, method in rules(played):
        if method != "GET":
            continue
        address = address_of(played, rule)
        for who in ACTORS.values():
            answer = played.visitor(who).client.get(address)
            if answer.status_code == 200 and answer.mimetype == "text/html":
                found.append((who, address))
                break
    found += [("ikaika", "/job-card"), ("delphine", "/job-card"), ("piers", "/no-such-page")]
    found += [("delphine", address) for address in open_sheets(played, "delphine")]
    found += [("delphine", f"/lesson/{lesson}") for lesson in ("M01-L2", "M03-L2", "M05-L2")]
    return sorted(set(found))


def listen(page: Page, origin: str, wrong: list[str]) -> None:
    """Note what a page complains about and whatever it asks of another origin."""

    def heard(message: ConsoleMessage) -> None:
        if message.type == "error":
            wrong.append(f"{page.url}: {message.text}")

    def asked(request: Request) -> None:
        if not request.url.startswith((origin, "data:")):
            wrong.append(f"off the origin: {request.url}")

    page.on("console", heard)
    page.on("pageerror", lambda error: wrong.append(f"{page.url}: {error}"))
    page.on("request", asked)


@pytest.mark.parametrize("width", [320, 1280])
def test_every_page_is_quiet_and_fits(screen: Screen, width: int) -> None:
    wrong: list[str] = []
    for who, addresses in _by_person(screen.played).items():
        with screen.context(who, width=width) as context:
            page = context.new_page()
            listen(page, screen.origin, wrong)
            for address in addresses:
                page.goto(screen.origin + address)
                spill = page.evaluate(
                    "document.documentElement.scrollWidth - document.documentElement.clientWidth"
                )
                if spill > 0:
                    wrong.append(f"{address} is {spill} px too wide at {width}")
    wrong = [line for line in wrong if "/no-such-page" not in line]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize(("width", "scheme"), [(320, "light"), (1280, "light"), (1280, "dark")])
def test_every_page_passes_axe(screen: Screen, width: int, scheme: str) -> None:
    from axe_playwright_python.sync_playwright import Axe

    axe, wrong = Axe(), []
    for who, addresses in _by_person(screen.played).items():
        with screen.context(who, width=width, bypass_csp=True, color_scheme=scheme) as context:
            page = context.new_page()
            for address in addresses:
                page.goto(screen.origin + address)
                found = axe.run(page, options={"runOnly": {"type": "tag", "values": TAGS}})
                wrong += [
                    f"{address}: {one['id']}: {one['help']}: {one['nodes'][0]['html'][:160]}"
                    for one in found.response["violations"]
                ]
    assert not wrong, "\n".join(wrong)


def test_axe_would_see_a_fault(screen: Screen) -> None:
    from axe_playwright_python.sync_playwright import Axe

    with screen.context("", width=1280, bypass_csp=True) as context:
        page = context.new_page()
        page.set_content(
            "<html lang='en'><title>x</title><main><h1>x</h1><img src='data:,'></main>"
        )
        assert Axe().run(page).response["violations"]


def test_the_main_pages_work_without_a_pointer(screen: Screen) -> None:
    with screen.context("delphine", width=1280) as context:
        page = context.new_page()
        page.goto(f"{screen.origin}/job-card")
        stops = []
        for _ in range(40):
            page.keyboard.press("Tab")
            seen = page.evaluate(
                "(() => { const e = document.activeElement; const s = getComputedStyle(e);"
                " return [e.tagName, (e.textContent || e.value || '').trim().slice(0, 40),"
                " s.outlineStyle !== 'none' || s.boxShadow !== 'none'] })()"
            )
            if seen[0] == "BODY":
                break
            stops.append(seen)
        assert stops[0][1] == "to the sheet"
        assert all(visible for _, _, visible in stops), stops


def _by_person(played: Played) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for who, address in pages(played):
        found.setdefault(who, []).append(address)
    return found
