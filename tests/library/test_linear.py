"""No text takes time by the square of its length: steps are counted, never timed."""

from __future__ import annotations

import sys
from types import FrameType

import pytest

from trainer.library.front_matter import read_front_matter
from trainer.library.markup import render, short

# What a careless reader looks to the end of the text for, again and again.
PIECES = [
    "[", "![", "[^", "[a](", "![](", "[[a](b)", "[a][", "[a](\"", "[a](<", "[^a\n", "[a]: b\n",
    "[^x]: y\n", "](", "(", "*a ", "**a", "*_", "_a ", "`", "``a`", "<", "</", "<a ", "<a b=\"",
    "<!--", "<?", "<![CDATA[", "<http://", "&#", "&lt;", "\\", "\\*", "\\(", "\\( a \\) ", ">",
    "> ", "- ", "- a\n", "1. ", "a\n: b\n\n", "|", "|a|b\n", "a|b\n-|-\n", "#", "# ",
    "## a\n\n", "~", "```\n", "```x\n", "```steps\na\n```\n", "a\n\n", "a  \n", "    a\n", " ",
    "\t", "\n", "=", "a\n===\n", "é", "burr ", "(electrical) ", "http://x ", "x@y.z ", "{: a}",
    "+++\n",
]  # fmt: skip
MOST_GROWTH = 2.6  # twice the text, twice the steps, and some room for what grows in jumps


def steps(text: str) -> int:
    """How many calls of functions, Python's and C's, one rendering makes."""
    calls = 0

    def count(_frame: FrameType, event: str, _argument: object) -> None:
        nonlocal calls
        calls += event in {"call", "c_call"}

    sys.setprofile(count)
    try:
        render(text, file="a.md")
    finally:
        sys.setprofile(None)
    return calls


def repeated(piece: str, length: int) -> str:
    return piece * (length // len(piece))


@pytest.mark.parametrize("piece", PIECES)
def test_twice_the_text_takes_twice_the_steps(piece: str) -> None:
    steps(repeated(piece, 500))  # whatever is made once is made now
    once, twice = steps(repeated(piece, 2000)), steps(repeated(piece, 4000))
    assert twice <= MOST_GROWTH * once + 200, f"{once} steps, then {twice}"


@pytest.mark.parametrize("piece", PIECES)
def test_a_long_text_of_it_is_read_to_its_end(piece: str) -> None:
    # By the square of its length any of these would run for many minutes.
    page = render(repeated(piece, 20_000), file="a.md")
    assert len(page.findings) <= 101
    assert short(repeated(piece, 5_000)) is not None
    read_front_matter(f"+++\n{repeated(piece, 20_000)}\n+++\n", file="a.md", findings=[])


@pytest.mark.parametrize("sign", ["> ", "- ", "1. ", "    ", "* ", ">"])
def test_nesting_has_an_end(sign: str) -> None:
    for depth in (9, 50, 5000):
        page = render(f"Words.\n\n{sign * depth}deep\n", file="a.md")
        if depth > 10 and sign.strip():
            assert "LIB-213" in {one.code for one in page.findings}


def test_lists_that_nest_line_by_line_have_an_end() -> None:
    text = "".join(f"{'    ' * level}- a\n" for level in range(200))
    page = render(text, file="a.md")
    assert page.html == ""
    assert {one.code for one in page.findings if one.severity == "error"} >= {"LIB-213"}
