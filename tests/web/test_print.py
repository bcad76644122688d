"""What is printed: one page where one page is promised, black on white, no house strip."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING

import pytest

from tests.web.conftest import PASSWORD
from tests.web.test_observing_pages import ready
from tests.web.test_scheme_pages import candidate

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext

    from tests.web.conftest import SignedIn

__all__ = ["candidate", "ready"]
pytestmark = [pytest.mark.browser, pytest.mark.slow]


def pages(pdf: bytes) -> int:
    """How many pages a PDF has, by its page objects."""
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_certificate_is_one_page_with_what_a_stranger_needs(
    sign_in_as: Callable[[str], SignedIn],
    candidate: SignedIn,
    show: Callable[..., BrowserContext],
    paper: str,
) -> None:
    decider = sign_in_as("decision maker")
    decider.page.go("/decisions")
    decider.page.press("Marrowick, Delphine")
    decider.page.fill("reason", "One whole sheet, the rule met.")
    decider.page.fill("password", PASSWORD.format("decision maker"))
    decider.page.press("grant")
    with show(decider) as context:
        page = context.new_page()
        page.goto(decider.page.address())
        page.emulate_media(media="print")
        for kept in (".qr", ".check-word", ".scope", ".holder", ".title-block"):
            assert page.locator(kept).first.is_visible(), kept
        for hidden in (".house", ".skip", "form.later"):
            assert not page.locator(hidden).first.is_visible(), hidden
        colours = page.evaluate(
            "[getComputedStyle(document.querySelector('.holder')).color,"
            " getComputedStyle(document.querySelector('main')).backgroundColor]"
        )
        assert colours == ["rgb(0, 0, 0)", "rgb(255, 255, 255)"]
        assert pages(page.pdf(format=paper, prefer_css_page_size=False)) == 1


def test_the_matrix_is_one_broad_page(
    sign_in_as: Callable[[str], SignedIn], show: Callable[..., BrowserContext]
) -> None:
    with show(sign_in_as("scheme administrator")) as context:
        page = context.new_page()
        page.goto("/skills-matrix")
        pdf = page.pdf(prefer_css_page_size=True)
        assert pages(pdf) == 1
        box = re.search(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]", pdf)
        assert box is not None
        assert float(box.group(1)) > float(box.group(2))
