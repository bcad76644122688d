"""The planted attacks once more, in a browser: nothing runs, nothing is fetched."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.library.test_sanitise import FRAMED
from tests.playhouse import chromium
from trainer.library.markup import render, short
from trainer.library.sanitise import clean

if TYPE_CHECKING:
    from playwright.sync_api import Route

pytestmark = pytest.mark.browser


def test_no_attack_runs_and_nothing_leaves_the_page() -> None:
    from playwright.sync_api import sync_playwright

    program = chromium()
    attacks = [attack.replace("parent.__hit=1", "window.__hit=1") for attack in FRAMED]
    pages = {
        "cleaned": "".join(f"<div>{clean(attack)}</div>" for attack in attacks),
        "lesson": render("\n\n".join(attacks), file="a.md").html,
        "short": "".join(short(attack) for attack in attacks),
    }
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=program, args=["--no-sandbox"])
        page = browser.new_page()
        asked: list[str] = []

        def refuse(route: Route) -> None:
            asked.append(route.request.url)
            route.abort()

        page.route("**/*", refuse)
        # Without the cleaner the page is hit at once: so the trap works.
        page.set_content(f"<!doctype html>{'<img src=x onerror=window.__hit=1>'}")
        page.wait_for_function("window.__hit === 1")
        for name, html in pages.items():
            page.goto("about:blank")
            asked.clear()
            page.set_content(f"<!doctype html><title>x</title><main>{html}</main>")
            for link in page.query_selector_all("a, summary, button, input"):
                link.dispatch_event("click")
            page.wait_for_timeout(50)
            assert page.evaluate("window.__hit") is None, name
            assert [url for url in asked if not url.startswith("figure:")] == [], name
        browser.close()
