"""A run log drawn: one row for each hour, every run a bar from its start to its end.

SVG as text with the classes of the recorder, across in percent of an hour, so that a person can
read off start and end to a fraction of a minute.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from html import escape

from trainer.drawing.scale import NARROW_ROOM, Label, with_room

HOUR_S = 3600
TOP, FOOT = 4, 90  # percent of the height: the first and the last row's lines
LEFT = 18  # percent of the width kept free for the times of day
MINUTES_LABELLED = (0, 10, 20, 30, 40, 50, 60)
MOST_ROWS = 14  # more hours than this share rows of two hours, and so on
_PLACES = Decimal("0.01")


def run_log(
    spans: Sequence[tuple[int, int]], *, begin: str, length_s: int, title: str, ident: str
) -> str:
    """The log as SVG text.

    Args:
        spans: each run's first and last second, counted from the begin.
        begin: the time of day at which the log begins, ``07:30``.
        length_s: how long the log is.
        title: what it shows, in words, for those who do not see it.
        ident: a word that no other drawing of the page has; ids start with it.
    """
    row_s = HOUR_S * -(-length_s // (HOUR_S * MOST_ROWS))
    rows = max(1, -(-length_s // row_s))
    name = escape(ident, quote=True)
    return "".join(
        (
            f'<svg class="recorder" role="img" aria-labelledby="{name}-says">',
            f'<title id="{name}-says">{escape(title)}</title>',
            _grid(rows, row_s, _seconds_of_day(begin)),
            *(
                f'<rect fill="currentColor" x="{left}%" width="{right - left}%" y="{y}%" '
                'height=".6em" transform="translate(0 -4)"/>'
                for left, right, y in _bars(spans, rows, row_s)
            ),
            "</svg>",
        )
    )


def _seconds_of_day(begin: str) -> int:
    hours, minutes = begin.split(":")[:2]
    return int(hours) * HOUR_S + int(minutes) * 60


def _row_y(row: int, rows: int) -> Decimal:
    """The middle of a row, in percent of the height."""
    step = Decimal(FOOT - TOP) / rows
    return (TOP + step * row + step * Decimal("0.55")).quantize(_PLACES)


def _bars(
    spans: Sequence[tuple[int, int]], rows: int, row_s: int
) -> list[tuple[Decimal, Decimal, Decimal]]:
    """Every run cut at the ends of the rows: left and right in percent, and its row's height."""
    bars = []
    for start, end in spans:
        for row in range(start // row_s, min(rows - 1, max(start, end - 1) // row_s) + 1):
            left = max(start - row * row_s, 0)
            right = min(end - row * row_s, row_s)
            bars.append((_across(left, row_s), _across(right, row_s), _row_y(row, rows)))
    return bars


def _across(seconds: int, row_s: int) -> Decimal:
    return (LEFT + Decimal((100 - LEFT) * seconds) / row_s).quantize(_PLACES)


def _grid(rows: int, row_s: int, begin_s: int) -> str:
    parts = []
    for row in range(rows):
        y = _row_y(row, rows)
        clock = (begin_s + row * row_s) // 60
        parts.append(
            f'<line class="grid" x1="{LEFT}%" x2="100%" y1="{y}%" y2="{y}%"/>'
            f'<text x="0%" y="{y}%" dy=".35em">{clock // 60 % 24:02}:{clock % 60:02}</text>'
        )
    labels = [
        Label(str(minute * row_s // HOUR_S), _across(minute * 60 * row_s // HOUR_S, row_s))
        for minute in MINUTES_LABELLED
    ]
    labels[0] = Label(labels[0].text, labels[0].at, "start")
    labels[-1] = Label(f"{labels[-1].text} min", labels[-1].at, "end")
    for one, is_shown in zip(labels, with_room(labels, NARROW_ROOM), strict=True):
        parts.append(f'<line class="grid" x1="{one.at}%" x2="{one.at}%" y1="{TOP}%" y2="{FOOT}%"/>')
        if is_shown:
            parts.append(
                f'<text class="{one.anchor}" x="{one.at}%" y="{FOOT}%" dy="1.5em">{one.text}</text>'
            )
    return "".join(parts)
