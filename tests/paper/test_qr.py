"""The square code: its squares read back from the drawing, its three finders where they belong."""

from __future__ import annotations

import re

import pytest

from trainer.paper.certificate import check_address
from trainer.paper.qr import svg

ADDRESS = "https://train.example.org/c/Zk3v9dQq0aXb7LwYt1RmPg"
QUIET = 4  # squares of quiet zone. Source: ISO/IEC 18004 (from memory)
# A finder is a ring of dark, a ring of light, a dark core. Source: ISO/IEC 18004 (from memory)
FINDER = (
    "1111111",
    "1000001",
    "1011101",
    "1011101",
    "1011101",
    "1000001",
    "1111111",
)


def squares(drawing: str) -> list[list[bool]]:
    """Dark squares by row, from the one stroked path: 'M4 4.5h7m1 0h1m-9 1h2' moves and draws."""
    box = re.search(r'viewBox="0 0 (\d+) (\d+)"', drawing)
    path = re.search(r' d="([^"]+)"', drawing)
    assert box
    assert path
    size = int(box.group(1))
    dark = [[False] * size for _ in range(size)]
    x = y = 0.0
    for kind, first, second in re.findall(r"([Mmh])(-?[\d.]+)(?:[ ,](-?[\d.]+))?", path.group(1)):
        if kind == "M":
            x, y = float(first), float(second)
        elif kind == "m":
            x, y = x + float(first), y + float(second)
        else:
            for step in range(int(first)):
                dark[int(y)][int(x) + step] = True
            x += int(first)
    return dark


@pytest.fixture(scope="module")
def dark() -> list[list[bool]]:
    return squares(svg(ADDRESS))


def test_the_quiet_zone_is_light_all_round(dark: list[list[bool]]) -> None:
    size = len(dark)
    for row in range(size):
        for column in range(size):
            if min(row, column, size - 1 - row, size - 1 - column) < QUIET:
                assert not dark[row][column]


def test_three_corners_carry_the_finder_and_the_fourth_does_not(dark: list[list[bool]]) -> None:
    def corner(top: int, left: int) -> tuple[str, ...]:
        return tuple(
            "".join("1" if dark[top + row][left + column] else "0" for column in range(7))
            for row in range(7)
        )

    far = len(dark) - QUIET - 7
    assert corner(QUIET, QUIET) == FINDER
    assert corner(QUIET, far) == FINDER
    assert corner(far, QUIET) == FINDER
    assert corner(far, far) != FINDER


def test_the_timing_lines_alternate(dark: list[list[bool]]) -> None:
    line = QUIET + 6
    inner = range(QUIET + 8, len(dark) - QUIET - 8)
    assert [dark[line][at] for at in inner] == [at % 2 == QUIET % 2 for at in inner]
    assert [dark[at][line] for at in inner] == [at % 2 == QUIET % 2 for at in inner]


def test_another_address_is_another_code() -> None:
    assert svg(ADDRESS) != svg(ADDRESS[:-1])


def test_the_drawing_has_a_name_and_nothing_active() -> None:
    drawing = svg(ADDRESS)
    assert drawing.startswith('<svg role="img" ')
    assert "<title>" in drawing
    for word in ("style=", "script", "href", "http", "xmlns"):
        assert word not in drawing.replace("<title>Square code with the address", "")


@pytest.mark.parametrize(
    ("base", "words"),
    [
        ("https://train.example.org", "train.example.org/check"),
        ("https://train.example.org/", "train.example.org/check"),
        ("http://127.0.0.1:8600", "127.0.0.1:8600/check"),
    ],
)
def test_the_address_in_words_is_what_people_type(base: str, words: str) -> None:
    address = check_address(base, "abc")
    assert address.words == words
    assert address.link.endswith("/c/abc")
    assert "//c" not in address.link
