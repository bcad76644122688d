"""Short texts, and what importing and rendering may and may not do."""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from tests.library.conftest import SHELF
from trainer.library import lesson
from trainer.library.lesson import (
    FEWEST_WORDS,
    LONGEST,
    MOST_WORDS,
    judge_short,
    render_short,
)
from trainer.library.markup import Context, inline, is_plain, page_html, render, short
from trainer.library.places import Trouble, troubles_with_places
from trainer.library.sanitise import clean


@pytest.mark.parametrize(
    ("text", "html"),
    [
        ("", ""),
        ("\n  \n", ""),
        ("The chute gives 3.8 g/s.", "<p>The chute gives 3.8 g/s.</p>"),
        ("One.\n\nTwo.\n", "<p>One.</p>\n<p>Two.</p>"),
        ("Wait *at least* 14 s.", "<p>Wait <em>at least</em> 14 s.</p>"),
        ("- one\n- two", "<ul>\n<li>one</li>\n<li>two</li>\n</ul>"),
        ("a < b & c", "<p>a &lt; b &amp; c</p>"),
        ("## no heading", "<p>## no heading</p>"),
        ("<b onclick=x>bold</b>", "<p>&lt;b onclick=x&gt;bold&lt;/b&gt;</p>"),
        ("[x](https://x.example)", "<p><a>x</a></p>"),
        ("![x](//x.example/a.png)", '<p><img alt="x"></p>'),
        ("\ue0001\ue001 marks of ours", "<p>1 marks of ours</p>"),
        (
            r"\( z \)",
            '<p><math display="inline" alttext="z"><mrow><mi>z</mi></mrow></math></p>',
        ),
        ("> " * 40 + "deep", f"<p>{'&gt; ' * 40}deep</p>"),
    ],
)
def test_a_short_text(text: str, html: str) -> None:
    assert short(text) == html


def test_a_text_that_is_too_long_is_shown_as_it_is() -> None:
    text = "*" * (LONGEST + 1)
    assert short(text) == f"<p>{text}</p>"


@pytest.mark.parametrize(
    ("text", "html"),
    [
        ("the person who hung it", "the person who hung it"),
        ("Wait for *standstill*.", "Wait for <em>standstill</em>."),
        ("One.\n\nTwo.", "<p>One.</p>\n<p>Two.</p>"),
        ("- a", "<ul>\n<li>a</li>\n</ul>"),
    ],
)
def test_an_inline_text_has_no_paragraph_of_its_own(text: str, html: str) -> None:
    assert inline(text) == html


PLAIN_SIGNS = st.sampled_from([*"abc XYZ 059.,;:!?()'\"/%=+-°µ×–’\n", "\n\n", "1. ", "- ", "=m="])


@given(st.lists(PLAIN_SIGNS, max_size=30).map("".join))
def test_the_short_way_and_markdown_agree_on_plain_text(text: str) -> None:
    if is_plain(text):
        assert short(text) == clean(render_short(text))


def test_the_short_way_is_taken_for_what_authors_mostly_write() -> None:
    assert is_plain("At North Station N-01 shows 41 200 doses.\nHow many a day?\n\nIn 3 - 4 weeks.")
    for text in ("*a*", "a_b", "`a`", "[a]", "<a>", "a & b", "1. a", "- a", " a", "a  ", "# a"):
        assert not is_plain(text), text


@given(st.text(max_size=120))
def test_any_short_text_is_clean(text: str) -> None:
    html = short(text)
    assert clean(html) == html


def test_figures_get_the_address_of_their_edition() -> None:
    html = '<img src="figure:a.svg" alt="figure:a.svg"><source srcset="figure:b-1.png">'
    assert page_html(html, "ff00") == (
        '<img src="/figure/ff00/a.svg" alt="figure:a.svg"><source srcset="/figure/ff00/b-1.png">'
    )


def test_a_lesson_without_a_context_knows_nothing_and_still_renders() -> None:
    page = render("## Read.\n\n```sheet\nM01-E1\n```\n", file="a.md", line=7)
    assert [(one.code, one.line) for one in page.findings if one.severity == "error"] == [
        ("LIB-242", 10)
    ]
    assert page.html.count("<li id=") == 1


@pytest.mark.parametrize(
    ("words", "told"),
    [(FEWEST_WORDS - 1, True), (FEWEST_WORDS, False), (MOST_WORDS, False), (MOST_WORDS + 1, True)],
)
def test_a_lesson_is_one_sitting(words: int, told: bool) -> None:
    page = render("word " * words, file="a.md")
    assert page.words == words
    assert [one.severity for one in page.findings] == (["remark"] if told else [])


def test_declared_hazards_stand_first_unless_the_author_places_them() -> None:
    from trainer.library.cautions import read_cautions

    cautions, _ = read_cautions((SHELF / "cautions.md").read_text("utf-8"), file="cautions.md")
    context = Context(cautions=cautions, hazards=("H01", "H05"))
    page = render(
        "First.\n\n```caution\nuse = 'H05'\n```\n\nSecond.\n", file="a.md", context=context
    )
    assert page.cautions == ("H01", "H05")
    assert page.html.index("DANGER") < page.html.index("First.")
    assert page.html.index("First.") < page.html.index("WARNING") < page.html.index("Second.")
    assert page.html.count('class="signal') == 2


SERVING = """
import sys
from trainer.library import edition, markup
from trainer.library.differences import between
markup.short('The chute gives 3.8 g/s.')
assert not {'markdown', 'latex2mathml'} & set(sys.modules), 'brought in while serving'
markup.short('*that*')
assert 'markdown' in sys.modules
"""


def test_serving_stored_pages_imports_no_markdown() -> None:
    subprocess.run([sys.executable, "-c", SERVING], check=True, timeout=60)


def test_a_text_too_deep_for_the_reader_is_told_and_not_set(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def sink(*_: object, **__: object) -> None:
        raise RecursionError

    monkeypatch.setattr(lesson, "read_prose", sink)
    page = render("## Words.\n", file="a.md", line=7)
    assert page.html == ""
    assert ("LIB-213", 7) in [(one.code, one.line) for one in page.findings]
    assert render_short("*a* < b") == "<p>*a* &lt; b</p>"
    told = judge_short(["*a*", "plain"], "x = '*a*'", file="a.md", line=3)
    assert [(one.code, one.line, one.column) for one in told] == [("LIB-213", 3, 6)]


def test_words_that_cannot_be_found_again_are_told_at_the_beginning() -> None:
    troubles = [Trouble("A", "gone"), Trouble("B", "b"), Trouble("C", "b"), Trouble("D", "b")]
    places = [place[1:] for place in troubles_with_places(troubles, "a\nb b\n", 10)]
    assert places == [(10, 0), (11, 1), (11, 3), (10, 0)]
