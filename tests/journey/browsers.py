"""Two ways through the same pages: forms posted by hand, and Chromium. One set of verbs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol
from urllib.parse import parse_qsl, urlencode, urljoin, urlsplit

from bs4 import BeautifulSoup, Tag

if TYPE_CHECKING:
    from flask.testing import FlaskClient
    from playwright.sync_api import Page


class Browser(Protocol):
    """What a person does at a page. Fields are named as the form names them."""

    def go(self, address: str) -> None: ...
    def fill(self, name: str, text: str) -> None: ...
    def choose(self, name: str, value: str) -> None: ...
    def press(self, words: str) -> None: ...
    def text(self) -> str: ...
    def soup(self) -> BeautifulSoup: ...
    def address(self) -> str: ...
    def send(self, address: str, fields: dict[str, str]) -> tuple[int, str]: ...
    def status(self) -> int: ...


class FormBrowser:
    """Reads pages with Beautiful Soup and posts their forms: what works here needs no script."""

    def __init__(self, client: FlaskClient) -> None:
        self._client = client
        self._filled: list[tuple[str, str]] = []
        self._at = "/"
        self._page = BeautifulSoup("", "html.parser")
        self._status = 0

    def go(self, address: str) -> None:
        self._take(self._client.get(address, follow_redirects=True))

    def fill(self, name: str, text: str) -> None:
        assert self._page.select_one(f'[name="{name}"]'), f"no field {name} on {self._at}"
        self._filled.append((name, text))

    def choose(self, name: str, value: str) -> None:
        found = self._page.select_one(f'[name="{name}"][value="{value}"]') or self._page.select_one(
            f'select[name="{name}"] option[value="{value}"]'
        )
        assert found, f"no choice {name}={value} on {self._at}"
        self._filled.append((name, value))

    def press(self, words: str) -> None:
        for control in self._page.find_all(["a", "button", "summary"]):
            if _words(control) == words:
                break
        else:
            raise AssertionError(f"nothing called {words!r} on {self._at}: {_controls(self._page)}")
        if control.name == "a":
            self.go(urljoin(self._at, str(control["href"])))
            return
        form = control.find_parent("form")
        assert form is not None, f"{words} stands in no form"
        values = _as_sent(form, self._filled)
        if control.get("name"):
            values.append((str(control["name"]), str(control.get("value", ""))))
        address = urljoin(self._at, str(form.get("action") or self._at))
        if str(form.get("method", "get")).lower() == "get":
            self.go(f"{urlsplit(address).path}?{urlencode(values)}")
            return
        self._take(
            self._client.post(
                address,
                data=urlencode(values),
                content_type="application/x-www-form-urlencoded",
                follow_redirects=True,
            )
        )

    def send(self, address: str, fields: dict[str, str]) -> tuple[int, str]:
        """Post a form made by hand, with the form token of the page at hand; stays on the page."""
        token = str(self._page.select_one('[name="csrf_token"]')["value"])  # type: ignore[index]
        answer = self._client.post(address, data={"csrf_token": token, **fields})
        return answer.status_code, answer.headers.get("Location", "")

    def text(self) -> str:
        return " ".join(self._page.get_text(" ").split())

    def soup(self) -> BeautifulSoup:
        return self._page

    def address(self) -> str:
        return self._at

    def status(self) -> int:
        return self._status

    def _take(self, answer: object) -> None:
        from werkzeug.test import TestResponse

        assert isinstance(answer, TestResponse)
        self._at = answer.request.path
        self._status = answer.status_code
        self._page = BeautifulSoup(answer.text, "html.parser")
        self._filled = []


class ChromiumBrowser:
    """The same verbs in a real browser."""

    def __init__(self, page: Page, origin: str) -> None:
        self.page = page
        self._origin = origin
        self._status = 200
        page.on("response", self._note)

    def _note(self, response: object) -> None:
        from playwright.sync_api import Response

        assert isinstance(response, Response)
        if response.request.is_navigation_request():
            self._status = response.status

    def go(self, address: str) -> None:
        self.page.goto(urljoin(self._origin, address))

    def fill(self, name: str, text: str) -> None:
        self.page.fill(f'[name="{name}"]', text)

    def choose(self, name: str, value: str) -> None:
        select = self.page.locator(f'select[name="{name}"]')
        if select.count():
            select.select_option(value)
            return
        box = self.page.locator(f'[name="{name}"][value="{value}"]')
        box.focus()
        box.check(force=True)

    def press(self, words: str) -> None:
        for control in self.page.locator("a, button, summary").all():
            if " ".join((control.text_content() or "").split()) == words and control.is_visible():
                control.click()
                self.page.wait_for_load_state("load")
                return
        raise AssertionError(f"nothing called {words!r} on {self.page.url}")

    def send(self, address: str, fields: dict[str, str]) -> tuple[int, str]:
        token = self.page.locator('[name="csrf_token"]').first.input_value()
        answer = self.page.request.post(
            urljoin(self._origin, address),
            form={"csrf_token": token, **fields},
            max_redirects=0,
        )
        return answer.status, answer.headers.get("location", "")

    def text(self) -> str:
        return " ".join(self.soup().get_text(" ").split())

    def soup(self) -> BeautifulSoup:
        return BeautifulSoup(self.page.content(), "html.parser")

    def address(self) -> str:
        return urlsplit(self.page.url).path

    def status(self) -> int:
        return self._status


def _words(tag: Tag) -> str:
    return " ".join(tag.get_text(" ").split())


def _controls(page: BeautifulSoup) -> list[str]:
    return [_words(tag) for tag in page.find_all(["a", "button"])]


def _as_sent(form: Tag, filled: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """What a browser would send for this form with these fields filled."""
    values: list[tuple[str, str]] = []
    own = {str(tag["name"]) for tag in form.select("[name]")}
    mine = [(name, text) for name, text in filled if name in own]
    named = {name for name, _ in mine}
    for tag in form.find_all(["input", "textarea", "select"]):
        name, kind = str(tag.get("name", "")), str(tag.get("type", "text"))
        if not name or name in named or tag.has_attr("disabled") or kind in {"submit", "button"}:
            continue
        if kind in {"radio", "checkbox"}:
            if tag.has_attr("checked"):
                values.append((name, str(tag.get("value", "on"))))
        elif tag.name == "select":
            chosen = tag.find("option", selected=True) or tag.find("option")
            if isinstance(chosen, Tag):
                values.append((name, str(chosen.get("value", ""))))
        elif tag.name == "textarea":
            values.append((name, tag.get_text()))
        else:
            values.append((name, str(tag.get("value", ""))))
    return values + mine


def query_of(address: str) -> dict[str, str]:
    """The query of an address."""
    return dict(parse_qsl(urlsplit(address).query))
