"""The recorder: a line chart as on a chart recorder, with a limit line, marks and notes.

SVG as text, across in percent and down in percent of the height; colours come from the classes of
the stylesheet. A trace is one path in an inner drawing that stretches, with a stroke that does not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from html import escape
from typing import Literal

from trainer.drawing.scale import NARROW_ROOM, Label, Scale, scale_for, with_room

TOP, FOOT = 8, 86  # percent of the height: the highest and the lowest line of the grid
MOST_X_STEPS, MOST_Y_STEPS = 7, 5
MOST_POINTS = 600  # a longer trace keeps the lowest and highest point of each slice
_INNER = 1000


@dataclass(frozen=True, slots=True)
class Trace:
    """One line: its points from left to right; ``steps`` holds a value until the next one."""

    points: Sequence[tuple[Decimal, Decimal]]
    steps: bool = False


@dataclass(frozen=True, slots=True)
class Axis:
    """What is drawn along an axis: the unit on its last label, and values it must reach."""

    unit: str = ""
    low: Decimal | None = None
    high: Decimal | None = None


@dataclass(frozen=True, slots=True)
class ChartMark:
    """A line from the axis up to a point, with a text: the person's own value, or the right one."""

    x: Decimal
    y: Decimal
    text: str
    kind: Literal["own", "right"]


@dataclass(frozen=True, slots=True)
class Note:
    """A few words at a point of the chart."""

    x: Decimal
    y: Decimal
    text: str


def recorder(
    traces: Sequence[Trace],
    *,
    title: str,
    ident: str,
    x_axis: Axis = Axis(),
    y_axis: Axis = Axis(),
    limit: Decimal | None = None,
    limit_text: str = "",
    marks: Sequence[ChartMark] = (),
    notes: Sequence[Note] = (),
) -> str:
    """The chart as SVG text.

    Args:
        traces: at least one line with at least one point.
        title: what the chart shows, in words, for those who do not see it.
        ident: a word that no other drawing of the page has; ids start with it.
        x_axis: unit and span of the axis across.
        y_axis: unit and span of the axis up.
        limit: a value that must not be passed, drawn across the whole chart.
        limit_text: the words on the limit line.
        marks: values pointed out.
        notes: words on the chart.
    """
    across = _scale(
        [x for trace in traces for x, _ in trace.points] + [mark.x for mark in marks],
        x_axis,
        MOST_X_STEPS,
    )
    up = _scale(
        [y for trace in traces for _, y in trace.points]
        + [mark.y for mark in marks]
        + ([] if limit is None else [limit * Decimal("1.05")]),  # a line at the very top hides
        y_axis,
        MOST_Y_STEPS,
    )
    name = escape(ident, quote=True)
    return "".join(
        (
            f'<svg class="recorder" role="img" aria-labelledby="{name}-says">',
            f'<title id="{name}-says">{escape(title)}</title>',
            _grid_up(up, y_axis.unit),
            _grid_across(across, x_axis.unit),
            f'<line class="axis" x1="0%" x2="100%" y1="{FOOT}%" y2="{FOOT}%"/>',
            f'<line class="axis" x1="0%" x2="0%" y1="{TOP}%" y2="{FOOT}%"/>',
            "" if limit is None else _limit(up, limit, limit_text),
            *(_trace(trace, across, up) for trace in traces),
            *(_mark(mark, across, up) for mark in marks),
            *(
                f'<text x="{across.at(note.x)}%" y="{_height(up, note.y)}%" dy="-.35em">'
                f"{escape(note.text)}</text>"
                for note in notes
            ),
            "</svg>",
        )
    )


def _scale(values: list[Decimal], axis: Axis, most: int) -> Scale:
    ends = [end for end in (axis.low, axis.high) if end is not None]
    low, high = min(values + ends), max(values + ends)
    if low == high:
        low, high = min(low, Decimal(0)), max(high, Decimal(0)) or Decimal(1)
    elif axis.low is None and 0 < low <= high / 2:
        low = Decimal(0)  # a chart that nearly reaches zero shows it
    return scale_for(low, high, most=most)


def _height(scale: Scale, value: Decimal) -> Decimal:
    share = scale.at(value) / 100
    return (FOOT - (FOOT - TOP) * share).quantize(Decimal("0.01"))


def _grid_up(scale: Scale, unit: str) -> str:
    parts = []
    for value in scale.majors():
        if value == scale.low:
            continue
        y = _height(scale, value)
        text = scale.label(value)
        if value == scale.high:
            text = f"{text} {unit}".rstrip()
        parts.append(
            f'<line class="grid" x1="0%" x2="100%" y1="{y}%" y2="{y}%"/>'
            f'<text x=".5em" y="{y}%" dy="-.35em">{escape(text)}</text>'
        )
    return "".join(parts)


def _grid_across(scale: Scale, unit: str) -> str:
    labels = [Label(scale.label(value), scale.at(value)) for value in scale.majors()]
    labels[0] = Label(labels[0].text, labels[0].at, "start")
    labels[-1] = Label(f"{labels[-1].text} {unit}".rstrip(), labels[-1].at, "end")
    parts = []
    for one, is_shown in zip(labels, with_room(labels, NARROW_ROOM), strict=True):
        if one.at:
            parts.append(
                f'<line class="grid" x1="{one.at}%" x2="{one.at}%" y1="{TOP}%" y2="{FOOT}%"/>'
            )
        if is_shown:
            parts.append(
                f'<text class="{one.anchor}" x="{one.at}%" y="{FOOT}%" dy="1.5em">'
                f"{escape(one.text)}</text>"
            )
    return "".join(parts)


def _limit(scale: Scale, limit: Decimal, text: str) -> str:
    y = _height(scale, limit)
    words = text or "limit"
    return (
        f'<line class="own limit" x1="0%" x2="100%" y1="{y}%" y2="{y}%" stroke-dasharray="8 4"/>'
        f'<text class="own end" x="99%" y="{y}%" dy="-.35em">{escape(words)}</text>'
    )


def _trace(trace: Trace, across: Scale, up: Scale) -> str:
    pairs: list[str] = []
    last = ""
    for x, y in _thinned(trace.points):
        here = f"{across.at(x) * _INNER / 100:.1f}"
        height = f"{_INNER - up.at(y) * _INNER / 100:.1f}"
        if trace.steps and last:
            pairs.append(f"{here},{last}")
        pairs.append(f"{here},{height}")
        last = height
    return (
        f'<svg x="0" y="{TOP}%" width="100%" height="{FOOT - TOP}%" '
        f'viewBox="0 0 {_INNER} {_INNER}" preserveAspectRatio="none" overflow="visible">'
        f'<polyline class="trace" fill="none" vector-effect="non-scaling-stroke" '
        f'points="{" ".join(pairs)}"/></svg>'
    )


def _thinned(points: Sequence[tuple[Decimal, Decimal]]) -> Sequence[tuple[Decimal, Decimal]]:
    """At most ``MOST_POINTS`` points, so that no peak is lost."""
    if len(points) <= MOST_POINTS:
        return points
    size = -(-len(points) // (MOST_POINTS // 2))
    kept: list[tuple[Decimal, Decimal]] = []
    for start in range(0, len(points), size):
        part = points[start : start + size]
        kept += sorted(
            {min(part, key=lambda point: point[1]), max(part, key=lambda point: point[1])}
        )
    return kept


def _mark(mark: ChartMark, across: Scale, up: Scale) -> str:
    x, y = across.at(mark.x), _height(up, mark.y)
    end = " end" if mark.kind == "own" or x > 80 else ""
    text_x = x - 1 if end else x + 1
    return (
        f'<line class="{mark.kind}" x1="{x}%" x2="{x}%" y1="{y}%" y2="{FOOT}%"/>'
        f'<text class="{mark.kind}{end}" x="{text_x}%" y="{y}%" dy="-.2em">'
        f"{escape(mark.text)}</text>"
    )
