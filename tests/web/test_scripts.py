"""The two small scripts and the content policy, in Chromium: what is typed is kept, truthfully."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest
from markupsafe import Markup

from tests.web.test_learning_pages import open_sheet
from tests.web.test_observing_pages import begin, ready

if TYPE_CHECKING:
    from flask import Flask
    from playwright.sync_api import BrowserContext, Page

    from tests.web.conftest import SignedIn

__all__ = ["ready"]
pytestmark = [pytest.mark.browser, pytest.mark.slow]
SignIn = Callable[[str], "SignedIn"]
Show = Callable[..., "BrowserContext"]


def says(page: Page, words: str, *, within: str = "#kept") -> None:
    page.locator(within, has_text=words).first.wait_for()


def test_a_sheet_is_kept_while_it_is_filled_in(sign_in_as: SignIn, show: Show) -> None:
    somebody = sign_in_as("trainee")
    address = open_sheet(somebody.page, "M91-E1")
    with show(somebody) as context:
        page = context.new_page()
        page.goto(address)
        says(page, "nothing kept yet")
        page.fill('input[name="r"]', "12,5")
        says(page, "saved 14:03:21 UTC")
        context.set_offline(True)
        page.fill('input[name="r"]', "13")
        says(page, "not saved yet - keep this page open")
        context.set_offline(False)
        says(page, "saved 14:03:21 UTC")
        page.reload()
        assert page.input_value('input[name="r"]') == "13"


def test_a_sheet_closed_elsewhere_says_so(sign_in_as: SignIn, show: Show) -> None:
    somebody = sign_in_as("trainee")
    address = open_sheet(somebody.page, "M91-E1")
    with show(somebody) as context:
        page = context.new_page()
        page.goto(address)
        somebody.page.fill("r", "100")
        somebody.page.press("close and mark")
        page.fill('input[name="r"]', "200")
        says(page, "was closed and marked before")


def test_a_criterion_is_kept_at_once_and_can_be_taken_back(
    sign_in_as: SignIn, ready: SignedIn, show: Show
) -> None:
    observer = sign_in_as("supervisor")
    sheet = begin(observer, ready)
    with show(observer) as context:
        page = context.new_page()
        page.goto(sheet)
        first = page.locator('[data-criterion="C91.1"]')
        first.get_by_label("done", exact=True).check(force=True)
        says(page, "saved 14:03:21", within='[data-criterion="C91.1"] [data-said]')
        first.get_by_label("not done").check(force=True)
        page.get_by_role("button", name="back to done").click()
        says(page, "saved 14:03:21", within='[data-criterion="C91.1"] [data-said]')
        page.wait_for_timeout(300)
        page.reload()
        assert first.get_by_label("done", exact=True).is_checked()


def test_a_sheet_can_be_worked_without_any_script(sign_in_as: SignIn, show: Show) -> None:
    with show(sign_in_as("trainee"), java_script_enabled=False) as context:
        page = context.new_page()
        page.goto("/sheet/M91-E1")
        page.click("text=open the sheet")
        page.fill('input[name="r"]', "100")
        page.click("text=keep and leave")
        page.click("text=go on with the open sheet")
        assert page.input_value('input[name="r"]') == "100"
        page.click("text=close and mark")
        assert "marked" in page.title()


def test_the_policy_stops_what_a_sanitiser_might_let_through(
    sign_in_as: SignIn, show: Show, app: Flask
) -> None:
    planted = Markup(
        "<script>window.__hit = 1</script><img src='/no-such' onerror='window.__hit = 2' alt=''>"
        "<p style='color: rgb(1, 2, 3)' id='dyed'>x</p>"
        "<img src='http://127.0.0.1:9/track' alt=''>"
        "<a id='j' href='javascript:window.__hit=3'>x</a>"
    )
    app.jinja_env.filters["lesson_html"] = lambda *_: planted
    asked: list[str] = []
    with show(sign_in_as("trainee")) as context:
        page = context.new_page()
        page.on("requestfinished", lambda request: asked.append(request.url))
        page.goto("/lesson/M91-L1")
        page.click("#j")
        page.wait_for_timeout(300)
        assert page.evaluate("window.__hit") is None
        colour = page.evaluate("getComputedStyle(document.getElementById('dyed')).color")
        assert colour != "rgb(1, 2, 3)"
        assert not [url for url in asked if ":9/" in url]
