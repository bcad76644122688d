"""Fenced blocks: where they begin and end, who reads them, and steps with their tags."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from trainer.library import blocks
from trainer.library.blocks import BLOCKS, register_block
from trainer.library.cross_check import circles
from trainer.library.desk import Desk, Piece
from trainer.library.fences import Fence, Prose, split
from trainer.library.markup import render
from trainer.library.steps import Tagged, tagged


def test_a_text_is_cut_into_prose_and_blocks_with_their_lines() -> None:
    text = "one\n\n```sheet\nM03-E1\n```\ntwo\n~~~~ figure x\n~~~\n```\n~~~~\n"
    assert split(text, line=10) == (
        Prose(("one", ""), 10),
        Fence("sheet", "", "M03-E1\n", 12),
        Prose(("two",), 15),
        Fence("figure", "x", "~~~\n```\n", 16),
    )


@pytest.mark.parametrize("text", ["```steps\nA", "````steps\nA\n```\n", "~~~steps\nA\n```\n"])
def test_a_block_that_is_not_closed_goes_to_the_end(text: str) -> None:
    (fence,) = split(text)
    assert isinstance(fence, Fence)
    assert not fence.closed


def test_backticks_within_a_line_and_far_inside_are_prose() -> None:
    for text in ("a ``` b", "``` a ` b", "     ```sheet"):
        assert split(text) == (Prose((text,), 1),)


@given(
    st.lists(
        st.sampled_from(["a", "", "```", "````", "~~~", "```x", "   ```", "> ```"]), max_size=20
    )
)
def test_no_line_is_lost(lines: list[str]) -> None:
    kept = 0
    for part in split("\n".join(lines)):
        if isinstance(part, Prose):
            kept += sum(bool(line) for line in part.lines)
            assert lines[part.line - 1 : part.line - 1 + len(part.lines)] == list(part.lines)
        else:
            kept += 1 + part.closed + sum(bool(line) for line in part.body.split("\n"))
            assert lines[part.line - 1].lstrip().startswith(("```", "~~~"))
    assert kept == sum(bool(line) for line in lines)


@pytest.fixture
def own_blocks(monkeypatch: pytest.MonkeyPatch) -> Iterator[dict[str, blocks.Block]]:
    kept = dict(BLOCKS)
    yield BLOCKS
    BLOCKS.clear()
    BLOCKS.update(kept)


def says(word: str) -> list[Piece]:
    return [Piece(lambda page, html: page.text(f"<p>{word} {html}</p>"), "*here*")]


def test_a_block_of_another_room_is_read_by_its_name(own_blocks: dict[str, blocks.Block]) -> None:
    register_block("sample", lambda fence, _desk: says(fence.body.strip()))
    assert "<p>water <em>here</em></p>" in render("```sample\nwater\n```\n", file="a.md").html


def test_the_higher_priority_has_the_name(own_blocks: dict[str, blocks.Block]) -> None:
    register_block("sample", lambda _fence, _desk: says("first"))
    register_block("sample", lambda _fence, _desk: says("same"))
    assert "first" in render("```sample\n```\n", file="a.md").html
    register_block("sample", lambda _fence, _desk: says("higher"), priority=60)
    register_block("sample", lambda _fence, _desk: says("lower"), priority=40)
    assert "higher" in render("```sample\n```\n", file="a.md").html


def test_a_piece_that_the_text_swallows_is_told(own_blocks: dict[str, blocks.Block]) -> None:
    def table(_fence: Fence, _desk: Desk) -> list[Piece]:
        return [Piece(lambda page, html: page.text(html), "a | b\n--- | ---\n1 | 2")]

    register_block("sample", table)
    for text in ("Words.\n\n```sample\n```\n", "```sample\n```\n\nWords.\n"):
        page = render(text, file="a.md")
        line = 3 if text.startswith("W") else 1
        told = [(one.code, one.line) for one in page.findings if one.severity == "error"]
        assert told == [("LIB-228", line)]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Pull the plug. (electrical)", Tagged("Pull the plug.", ("electrical",))),
        ("Lift it. (burrs).", Tagged("Lift it.", ("burrs",))),
        ("Both. (burrs, electrical)", Tagged("Both.", ("electrical", "burrs"))),
        ("Both. (Electrical and burrs)", Tagged("Both.", ("electrical", "burrs"))),
        ("Both (burrs/electrical):", Tagged("Both", ("electrical", "burrs"))),
        ("No tag at all.", Tagged("No tag at all.")),
        ("A word (in passing).", Tagged("A word (in passing).")),
        ("It stands (electrical) inside", Tagged("It stands (electrical) inside")),
        ("Wrong. (eletrical)", Tagged("Wrong. (eletrical)", doubtful="eletrical")),
        ("Wrong. (burr)", Tagged("Wrong. (burr)", doubtful="burr")),
        (
            "Half. (burrs, elektrical)",
            Tagged("Half. (burrs, elektrical)", ("burrs",), "burrs, elektrical"),
        ),
        ("(", Tagged("(")),
        (")", Tagged(")")),
        ("", Tagged("")),
    ],
)
def test_tags_at_the_end_of_a_step(text: str, expected: Tagged) -> None:
    assert tagged(text) == expected


@pytest.mark.parametrize(
    ("body", "steps"),
    [
        ("1. a\n2. b\n", ["a", "b"]),
        ("1) a\n   goes on\n\n2) b\n", ["a goes on", "b"]),
        ("- a\ngoes on\n- b\n", ["a goes on", "b"]),
        ("a\nb\n  goes on\n", ["a", "b goes on"]),
        ("10. a\n3. b\n", ["a", "b"]),
        ("a | b\n", ["a | b"]),
        (": a\n", [": a"]),
        ("# a\n", ["# a"]),
        ("> a\n", ["&gt; a"]),
        ("[^1]: a\n", ["[^1]: a"]),
    ],
)
def test_lines_of_a_procedure(body: str, steps: list[str]) -> None:
    html = render(f"```steps\n{body}```\n", file="a.md").html
    found = html.split('<div class="matter">')[1:]
    assert [part.split("</div>")[0] for part in found] == steps


NEEDS = st.dictionaries(
    st.sampled_from("abcdef"), st.lists(st.sampled_from("abcdefg"), max_size=4), max_size=6
)


@given(NEEDS)
def test_circles_are_found_exactly_where_there_are_some(needs: dict[str, list[str]]) -> None:
    found = circles(needs)
    for circle in found:
        for one, next_ in zip(circle, (*circle[1:], circle[0]), strict=True):
            assert next_ in needs[one]
    # Taking away whatever needs nothing that is left empties a graph without a circle.
    left = {name: set(inner) & set(needs) for name, inner in needs.items()}
    while free := [name for name, inner in left.items() if not inner & set(left)]:
        for name in free:
            del left[name]
    assert bool(found) == bool(left)


def test_a_long_chain_of_needs_is_no_matter() -> None:
    needs = {f"M{n}": [f"M{n + 1}"] for n in range(5000)}
    assert circles(needs) == []
    needs["M5000"] = ["M0"]
    assert len(circles(needs)[0]) == 5001
