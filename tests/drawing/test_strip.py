"""The accept strip, read back as XML: positions worked by hand, labels that never touch."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import tests.strategies  # noqa: F401 - loads the profile
from trainer.drawing.scale import NARROW_ROOM, WIDE_ROOM
from trainer.drawing.strip import accept_strip


def strip(
    low: str,
    high: str,
    answer: str | None,
    *,
    unit: str = "s",
    inside: bool = False,
    unit_words: str = "",
    answer_text: str | None = None,
) -> ET.Element:
    svg = accept_strip(
        low=Decimal(low),
        high=Decimal(high),
        answer=None if answer is None else Decimal(answer),
        unit=unit,
        low_text=low,
        high_text=high,
        answer_text=answer_text if answer_text is not None else answer or "",
        inside=inside,
        ident="t",
        unit_words=unit_words,
    )
    return ET.fromstring(svg)  # noqa: S314 - our own drawing


def of_class(root: ET.Element, word: str) -> list[ET.Element]:
    return [one for one in root.iter() if word in one.get("class", "").split()]


def test_the_band_and_the_mark_stand_where_the_scale_says() -> None:
    # By hand: the scale runs from 4.6 to 5.4, so 0.8 s fill it. 5.14 is 0.54/0.8 = 67.5 %,
    # 0.09/0.8 = 11.25 % wide; 4.74 is 0.14/0.8 = 17.5 %.
    root = strip("5.14", "5.23", "4.74")
    (band,) = of_class(root, "accept")
    assert (band.get("x"), band.get("width")) == ("67.50%", "11.25%")
    (mark,) = of_class(root, "mark")
    assert (mark.get("x1"), mark.get("x2")) == ("17.50%", "17.50%")
    texts = [one.text for one in root.iter("text")]
    assert texts == ["4.6", "4.8", "5.0", "5.2", "5.4 s", "yours 4.74", "5.14 to 5.23"]


def test_the_title_says_it_in_words() -> None:
    root = strip("5.14", "5.23", "4.74", unit_words="seconds")
    title = root.find("title")
    assert title is not None
    assert title.text == (
        "Scale from 4.6 to 5.4 seconds. Accepted 5.14 to 5.23 seconds. "
        "Yours, 4.74 seconds, lies below."
    )
    assert root.get("aria-labelledby") == title.get("id")
    assert root.get("role") == "img"


@pytest.mark.parametrize(
    ("answer", "words"),
    [
        ("5.14", "lies inside."),
        ("5.23", "lies inside."),
        ("5.24", "lies above."),
        ("5190", "lies above, off the scale."),
        ("-5.19", "lies below, off the scale."),
        (None, "There is no answer on it."),
    ],
)
def test_where_the_answer_lies(answer: str | None, words: str) -> None:
    title = strip("5.14", "5.23", answer).find("title")
    assert title is not None
    assert title.text is not None
    assert title.text.endswith(words)


def test_an_answer_far_off_is_an_arrow_at_the_edge_and_the_band_keeps_its_size() -> None:
    root = strip("5.14", "5.23", "5190")
    assert [one.get("x2") for one in of_class(root, "mark")] == ["99%", "99%"]
    (own,) = of_class(root, "own")
    assert own.text == "yours 5190 >"
    (band,) = of_class(root, "accept")
    assert Decimal(band.get("width", "").rstrip("%")) > 10


def test_an_answer_twice_too_large_is_still_on_the_scale() -> None:
    (mark,) = of_class(strip("99", "101", "200"), "mark")
    assert mark.get("x1") == mark.get("x2")


def test_a_whole_number_has_ticks_at_whole_numbers_and_a_band_to_be_seen() -> None:
    root = strip("6", "6", "5", unit="locks")
    assert [one.text for one in root.iter("text")] == ["4", "5", "6", "7 locks", "yours 5", "6"]
    (band,) = of_class(root, "accept")
    assert band.get("width") == "0.80%"


def test_a_right_whole_number_is_not_printed_twice() -> None:
    root = strip("6", "6", "6", inside=True)
    assert not of_class(root, "says")
    assert of_class(root, "mark")[0].get("class") == "mark inside"


def test_texts_are_escaped_and_ids_belong_to_this_strip() -> None:
    svg = accept_strip(
        low=Decimal(1), high=Decimal(2), answer=Decimal(1), unit="<b>", low_text="1", high_text="2",
        answer_text='"><script>', inside=True, ident='a"b',
    )  # fmt: skip
    assert "<script" not in svg
    assert "<b>" not in svg
    root = ET.fromstring(svg)  # noqa: S314 - our own drawing
    ids = [one.get("id") for one in root.iter() if one.get("id")]
    assert ids == ['a"b-says', 'a"b-hatch']
    assert "style" not in {name for one in root.iter() for name in one.attrib}


def spans(root: ET.Element, y: str, room: int, *, narrow: bool) -> list[tuple[Decimal, Decimal]]:
    found = []
    for one in root.iter("text"):
        words = one.get("class", "").split()
        if one.get("y") != y or (narrow and "rest" in words):
            continue
        at, width = Decimal(one.get("x", "").rstrip("%")), Decimal(100 * len(one.text or "")) / room
        left = at if "start" in words else at - width if "end" in words else at - width / 2
        found.append((left, left + width))
    return sorted(found)


numbers = st.decimals(min_value=-(10**7), max_value=10**7, places=3, allow_nan=False)


@settings(max_examples=150)
@given(low=numbers, width=st.decimals(0, 1000, places=3), answer=st.none() | numbers)
def test_labels_never_touch_on_any_page(
    low: Decimal, width: Decimal, answer: Decimal | None
) -> None:
    root = strip(str(low), str(low + width), None if answer is None else str(answer), unit="g/s")
    for room, narrow in ((NARROW_ROOM, True), (WIDE_ROOM, False)):
        for y in ("1em", "5.1em"):
            placed = spans(root, y, room, narrow=narrow)
            assert placed
            for (_, right), (left, _) in pairwise(placed):
                assert right < left
    for one in of_class(root, "accept") + of_class(root, "mark"):
        for name in ("x", "x1", "x2"):
            place = Decimal((one.get(name) or "0%").rstrip("%"))
            assert 0 <= place <= 100
