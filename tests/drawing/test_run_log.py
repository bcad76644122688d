"""The drawn run log, read back as XML."""

from __future__ import annotations

import xml.etree.ElementTree as ET

from trainer.drawing.run_log import MOST_ROWS, run_log


def drawn(spans: list[tuple[int, int]], *, hours: int = 2, begin: str = "07:30") -> ET.Element:
    svg = run_log(spans, begin=begin, length_s=hours * 3600, title="A <log>", ident="log")
    return ET.fromstring(svg)  # noqa: S314 - our own drawing


def bars(root: ET.Element) -> list[tuple[str, str, str]]:
    return [(one.get("x", ""), one.get("width", ""), one.get("y", "")) for one in root.iter("rect")]


def test_a_run_stands_where_it_began() -> None:
    # 12 s from 07:31:12: 72 s and 84 s of 3600 s, in the 82 % right of the labels: 18 + 1.64 and
    # 18 + 1.913 %. Row 1 of two: 4 + 0.55 * 43 = 27.65.
    assert bars(drawn([(72, 84)])) == [("19.64%", "0.27%", "27.65%")]


def test_a_run_over_the_hour_is_cut_in_two() -> None:
    assert bars(drawn([(3590, 3610)])) == [
        ("99.77%", "0.23%", "27.65%"),
        ("18.00%", "0.23%", "70.65%"),
    ]


def test_a_run_that_ends_with_the_hour_has_no_second_bar() -> None:
    assert len(bars(drawn([(3540, 3600), (7100, 7200)]))) == 2


def test_rows_are_labelled_by_the_time_of_day() -> None:
    texts = [one.text for one in drawn([], hours=3, begin="22:30").iter("text")]
    assert texts == ["22:30", "23:30", "00:30", "0", "10", "20", "30", "40", "60 min"]


def test_a_long_log_shares_rows() -> None:
    root = drawn([(20 * 3600, 20 * 3600 + 60)], hours=24, begin="00:00")
    texts = [one.text for one in root.iter("text")]
    assert sum(":" in (text or "") for text in texts) == 12 <= MOST_ROWS
    assert texts[:2] == ["00:00", "02:00"]
    assert texts[-1] == "120 min"
    # 20 h are ten rows of two hours; 60 s of 7200 s are 0.68 % of the width.
    assert bars(root)[0][:2] == ("18.00%", "0.68%")


def test_the_title_is_text() -> None:
    title = drawn([]).find("title")
    assert title is not None
    assert (title.text, title.get("id")) == ("A <log>", "log-says")
