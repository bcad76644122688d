"""The recorder chart, read back as XML."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from decimal import Decimal

from trainer.drawing.recorder import MOST_POINTS, Axis, ChartMark, Note, Trace, recorder


def drawn(svg: str) -> ET.Element:
    return ET.fromstring(svg)  # noqa: S314 - our own drawing


def flow() -> ET.Element:
    # Nothing until 0.45 s, then 3.8 g/s: 18 g at 0.45 + 18/3.8 = 5.19 s.
    return drawn(
        recorder(
            [
                Trace(
                    [
                        (Decimal(0), Decimal(0)),
                        (Decimal("0.45"), Decimal(0)),
                        (Decimal("5.19"), Decimal(18)),
                    ]
                )
            ],
            title="Grams in the basket against seconds <now>",
            ident="rec",
            x_axis=Axis("s", high=Decimal(7)),
            y_axis=Axis("g"),
            marks=[ChartMark(Decimal("4.74"), Decimal("16.3"), "16.3 g", "own")],
            notes=[Note(Decimal("1.3"), Decimal("0.2"), "lag 0.45 s")],
        )
    )


def test_the_grid_is_labelled_with_units_at_the_ends() -> None:
    texts = [one.text for one in flow().iter("text")]
    assert texts[:4] == ["5", "10", "15", "20 g"]
    # On the narrowest page 30 signs fit across: the 6 would touch the 7 s.
    assert texts[4:11] == ["0", "1", "2", "3", "4", "5", "7 s"]
    assert texts[11:] == ["16.3 g", "lag 0.45 s"]


def test_the_trace_runs_through_its_points() -> None:
    (line,) = flow().iter("polyline")
    # By hand, in thousandths: 0.45/7 = 64.3 across; 5.19/7 = 741.4, 18/20 = 900 up, so 100 down.
    assert line.get("points") == "0.0,1000.0 64.3,1000.0 741.4,100.0"


def test_a_mark_goes_from_the_axis_to_its_value() -> None:
    (mark,) = [one for one in flow().iter("line") if one.get("class") == "own"]
    # 4.74/7 = 67.71 %; 16.3/20 = 81.5 % of the 78 % between the lines: 86 - 63.57 = 22.43 %.
    assert (mark.get("x1"), mark.get("y1"), mark.get("y2")) == ("67.71%", "22.43%", "86%")


def test_the_title_is_text() -> None:
    title = flow().find("title")
    assert title is not None
    assert title.text == "Grams in the basket against seconds <now>"
    assert title.get("id") == "rec-says"


def test_a_limit_line_stays_below_the_top() -> None:
    root = drawn(
        recorder(
            [Trace([(Decimal(0), Decimal(30)), (Decimal(10), Decimal(35))])],
            title="duty", ident="r", y_axis=Axis("%", low=Decimal(0)),
            limit=Decimal(40), limit_text="limit 40 %",
        )
    )  # fmt: skip
    (line,) = [one for one in root.iter("line") if "limit" in one.get("class", "")]
    # The scale reaches 50 %: 40/50 of 78 % above the foot at 86 %.
    assert line.get("y1") == "23.60%"
    assert "limit 40 %" in [one.text for one in root.iter("text")]


def test_steps_hold_a_value_until_the_next() -> None:
    root = drawn(
        recorder(
            [
                Trace(
                    [(Decimal(0), Decimal(0)), (Decimal(1), Decimal(1)), (Decimal(2), Decimal(0))],
                    steps=True,
                )
            ],
            title="t",
            ident="r",
        )
    )
    (line,) = root.iter("polyline")
    assert line.get("points") == "0.0,1000.0 500.0,1000.0 500.0,0.0 1000.0,0.0 1000.0,1000.0"


def test_a_long_trace_is_thinned_and_keeps_its_peak() -> None:
    points = [(Decimal(number), Decimal(1 if number == 7777 else 0)) for number in range(10_000)]
    (line,) = drawn(recorder([Trace(points)], title="t", ident="r")).iter("polyline")
    pairs = (line.get("points") or "").split()
    assert len(pairs) <= MOST_POINTS
    assert [pair for pair in pairs if pair.endswith(",0.0")] == ["777.7,0.0"]


def test_a_flat_trace_and_a_single_point_are_drawn() -> None:
    for value in (Decimal(0), Decimal(5), Decimal(-5)):
        root = drawn(recorder([Trace([(Decimal(3), value)])], title="t", ident="r"))
        assert len(list(root.iter("polyline"))) == 1


def test_a_chart_that_nearly_reaches_zero_shows_it() -> None:
    points = [(Decimal(0), Decimal(20)), (Decimal(1), Decimal(90))]
    texts = [
        one.text for one in drawn(recorder([Trace(points)], title="t", ident="r")).iter("text")
    ]
    assert texts[:5] == ["20", "40", "60", "80", "100"]
    points = [(Decimal(0), Decimal(80)), (Decimal(1), Decimal(90))]
    texts = [
        one.text for one in drawn(recorder([Trace(points)], title="t", ident="r")).iter("text")
    ]
    assert texts[:5] == ["82", "84", "86", "88", "90"]
