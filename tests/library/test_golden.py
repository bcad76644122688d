"""Golden pairs: a lesson's text, and the page it becomes to the letter."""

from __future__ import annotations

from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest

from tests.library.conftest import SHELF, TOO_FEW_WORDS
from trainer.library.cautions import read_cautions
from trainer.library.figures import read_figure
from trainer.library.markup import Context, Rendered, render
from trainer.library.sanitise import clean

GOLDEN = Path(__file__).parent / "golden"
TEXTS = sorted(GOLDEN.glob("*.md"))


@cache
def context() -> Context:
    cautions, _ = read_cautions((SHELF / "cautions.md").read_text("utf-8"), file="cautions.md")
    content = (SHELF / "modules/M01/figures/wait.svg").read_bytes()
    figure, _ = read_figure("wait.svg", content, file="wait.svg")
    assert figure is not None
    titles = {"M01-E1": "Waiting for the burrs to stop", "M01-E2": "Who takes the <tag> off"}
    return Context(cautions=cautions, figures={"wait.svg": figure}, exercises=titles)


def rendered(file: Path) -> Rendered:
    return render(file.read_text("utf-8"), file=file.name, context=context())


@pytest.mark.parametrize("file", TEXTS, ids=lambda file: file.stem)
def test_a_text_becomes_this_page(file: Path) -> None:
    page = rendered(file)
    assert f"{page.html}\n" == file.with_suffix(".html").read_text("utf-8")
    told = [str(one) for one in page.findings if one.code != TOO_FEW_WORDS]
    expected = file.with_suffix(".findings")
    assert told == (expected.read_text("utf-8").splitlines() if expected.exists() else [])


@pytest.mark.parametrize("file", TEXTS, ids=lambda file: file.stem)
def test_a_page_is_its_own_clean_form_and_its_anchors_are_unique(file: Path) -> None:
    page = rendered(file)
    assert clean(page.html) == page.html
    anchors: list[str] = []

    class Reader(HTMLParser):
        def handle_starttag(self, _tag: str, attrs: list[tuple[str, str | None]]) -> None:
            anchors.extend(value or "" for name, value in attrs if name == "id")

    Reader().feed(page.html)
    assert len(anchors) == len(set(anchors))
    assert {anchor for anchor, _ in page.paragraphs} <= set(anchors)


def test_the_panel_is_marked_up_as_the_look_has_it() -> None:
    # The markup of a panel is the contract with the stylesheet; this one is written by hand.
    expected = (
        '<div class="signal danger" role="note" aria-labelledby="caution-1">'
        '<p class="word" id="caution-1">'
        '<svg viewBox="0 0 24 24" aria-hidden="true" focusable="false">'
        '<path class="tri" d="M12 2.5 22.6 21H1.4Z"></path>'
        '<path class="bang" d="M10.8 8.5h2.4l-.5 6.6h-1.4zM10.9 16.6h2.2v2.2h-2.2z"></path></svg>'
        "DANGER</p><dl>"
        "<dt>Hazard</dt><dd>Bare mains terminals stand open under the cover.</dd>"
        "<dt>Harm</dt><dd>Touching one can kill.</dd>"
        "<dt>Avoid</dt><dd>Pull the plug &amp; keep it.</dd></dl></div>"
    )
    assert expected in rendered(GOLDEN / "only-steps.md").html
