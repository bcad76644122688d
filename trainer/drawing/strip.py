"""The accept strip: a scale with a hatched accept band and a mark where the answer lies.

SVG as text, across in percent and down in em, so that the text never shrinks; colours come from
the classes of the stylesheet, and the title says in words what is drawn.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from html import escape

from trainer.drawing.scale import NARROW_ROOM, WIDE_ROOM, Label, Scale, scale_for, with_room

MOST_STEPS = 5
FARTHEST = 60  # an answer more band widths away than this is shown by an arrow at the edge
_PLACES = Decimal("0.01")
_NARROWEST_BAND = Decimal("0.8")  # percent: an exact answer is a band without width


@dataclass(frozen=True, slots=True)
class _Answer:
    """The answer on the strip: where (percent), its label, -1 or 1 when it lies off the scale."""

    at: Decimal
    text: str
    off: int


def accept_strip(
    *,
    low: Decimal,
    high: Decimal,
    answer: Decimal | None,
    unit: str,
    low_text: str,
    high_text: str,
    answer_text: str,
    inside: bool,
    ident: str,
    unit_words: str = "",
) -> str:
    """The strip as SVG text.

    Args:
        low: lower edge of the accept band; the edge is inside.
        high: upper edge; equal to ``low`` for an exact answer.
        answer: the person's value in the same unit, or None when there is none to show.
        unit: the unit as printed on the scale.
        low_text: the lower edge as printed.
        high_text: the upper edge as printed.
        answer_text: the answer as printed.
        inside: whether the answer was taken as right.
        ident: a word that no other drawing of the page has; ids start with it.
        unit_words: the unit as read aloud, when it differs from ``unit``.

    Example:
        >>> svg = accept_strip(low=Decimal("5.14"), high=Decimal("5.23"), answer=Decimal("4.74"),
        ...     unit="s", low_text="5.14", high_text="5.23", answer_text="4.74", inside=False,
        ...     ident="t", unit_words="seconds")
        >>> svg.split("title")[1].partition(">")[2][:40]
        'Scale from 4.6 to 5.4 seconds. Accepted '
    """
    scale, off = _scale(low, high, answer, low_text)
    band = low_text if low_text == high_text else f"{low_text} to {high_text}"
    own = None
    if answer is not None:
        at = Decimal(100 if off > 0 else 0) if off else scale.at(answer)
        arrow = {-1: "< ", 0: "", 1: ""}[off], {-1: "", 0: "", 1: " >"}[off]
        own = _Answer(at, f"{arrow[0]}yours {answer_text}{arrow[1]}", off)
    said_unit = unit_words or unit
    said = _answer_spoken(answer, low, high, f"{answer_text} {said_unit}".rstrip(), off)
    spoken = _spoken(scale, band, said_unit, said)
    name = escape(ident, quote=True)
    return "".join(
        (
            f'<svg class="strip" role="img" aria-labelledby="{name}-says">',
            f'<title id="{name}-says">{escape(spoken)}</title>',
            _hatch(name),
            '<rect class="bed" x="0" y="2em" width="100%" height="1.5em"/>',
            _band(scale, low, high, name),
            _ticks(scale, unit),
            _mark(own, inside=inside),
            _above(own, Label(band, scale.at((low + high) / 2)), inside=inside),
            "</svg>",
        )
    )


def _scale(low: Decimal, high: Decimal, answer: Decimal | None, low_text: str) -> tuple[Scale, int]:
    """The scale, and -1 or 1 when the answer lies too far below or above to be on it."""
    last_place = Decimal(1).scaleb(-len(low_text.partition(".")[2]))
    width = high - low or last_place
    # An exact answer has no width to compare with: two percent of it are as good as a band.
    reach = FARTHEST * (high - low or max(last_place, abs(low) / 50))
    off = 0
    first, last = low, high
    if answer is not None:
        if low - answer > reach:
            off = -1
        elif answer - high > reach:
            off = 1
        else:
            first, last = min(low, answer), max(high, answer)
    margin = max((last - first) / 6, width)
    least = last_place if low == high else None
    return scale_for(first - margin, last + margin, most=MOST_STEPS, least_step=least), off


def _spoken(scale: Scale, band: str, unit: str, answer: str) -> str:
    unit = f" {unit}" if unit else ""
    return (
        f"Scale from {scale.label(scale.low)} to {scale.label(scale.high)}{unit}. "
        f"Accepted {band}{unit}. {answer}"
    )


def _answer_spoken(answer: Decimal | None, low: Decimal, high: Decimal, text: str, off: int) -> str:
    if answer is None:
        return "There is no answer on it."
    where = "lies below" if answer < low else "lies above" if answer > high else "lies inside"
    return f"Yours, {text}, {where}{', off the scale' if off else ''}."


def _hatch(name: str) -> str:
    return (
        f'<defs><pattern id="{name}-hatch" width="6" height="6" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><line class="hatch" x1="1" y1="0" x2="1" y2="6"/>'
        "</pattern></defs>"
    )


def _band(scale: Scale, low: Decimal, high: Decimal, name: str) -> str:
    left, right = scale.at(low), scale.at(high)
    if right - left < _NARROWEST_BAND:
        middle = (left + right) / 2
        left, right = middle - _NARROWEST_BAND / 2, middle + _NARROWEST_BAND / 2
    return (
        f'<rect class="accept" x="{left}%" y="2em" width="{right - left}%" height="1.5em" '
        f'fill="url(#{name}-hatch)"/>'
    )


def _ticks(scale: Scale, unit: str) -> str:
    majors = scale.majors()
    labels = [Label(scale.label(value), scale.at(value)) for value in majors]
    labels[0] = Label(labels[0].text, labels[0].at, "start")
    labels[-1] = Label(f"{labels[-1].text} {unit}".rstrip(), labels[-1].at, "end")
    narrow, wide = with_room(labels, NARROW_ROOM), with_room(labels, WIDE_ROOM)
    parts = [
        f'<line class="tick" x1="{at}%" x2="{at}%" y1="3.5em" y2="3.8em"/>'
        for at in map(scale.at, scale.minors())
    ]
    for one, in_narrow, in_wide in zip(labels, narrow, wide, strict=True):
        parts.append(f'<line class="tick" x1="{one.at}%" x2="{one.at}%" y1="3.5em" y2="4em"/>')
        if in_wide or in_narrow:
            both = "" if in_narrow else " rest"
            parts.append(
                f'<text class="{one.anchor}{both}" x="{one.at}%" y="5.1em">'
                f"{escape(one.text)}</text>"
            )
    return "".join(parts)


def _mark(own: _Answer | None, *, inside: bool) -> str:
    if own is None:
        return ""
    state = "mark inside" if inside else "mark"
    if own.off:
        tip, foot = (99, "97.5") if own.off > 0 else (1, "2.5")
        return "".join(
            f'<line class="{state}" x1="{foot}%" x2="{tip}%" y1="{start}em" y2="2.75em"/>'
            for start in ("2.25", "3.25")
        )
    return f'<line class="{state}" x1="{own.at}%" x2="{own.at}%" y1="1.5em" y2="3.5em"/>'


def _above(own: _Answer | None, says: Label, *, inside: bool) -> str:
    """The two labels over the bed; the band's moves aside where it would touch the answer's.

    Where a narrow page has no room for both it is left out there, and everywhere where no page has:
    the sentence beside the strip gives the band.
    """
    if own is None:
        return _label("says", _within(says))
    mine = _within(Label(own.text, own.at))
    drawn = _label("own inside" if inside else "own", mine)
    if inside and own.text.endswith(f" {says.text}"):
        return drawn
    for room, kind in ((NARROW_ROOM, "says"), (WIDE_ROOM, "says rest")):
        beside = _beside(mine, _within(says), room, is_left=says.at < own.at)
        if beside is not None:
            return drawn + _label(kind, beside)
    return drawn


def _beside(fixed: Label, moved: Label, room: int, *, is_left: bool) -> Label | None:
    """The second label where it does not touch the first; None without room."""
    gap = Decimal(100) / room
    left, right = fixed.span(room)
    from_, to = moved.span(room)
    if to + gap <= left or right + gap <= from_:
        return moved
    places = (
        Label(moved.text, (left - gap).quantize(_PLACES), "end"),
        Label(moved.text, (right + gap).quantize(_PLACES), "start"),
    )
    for one in places if is_left else reversed(places):
        from_, to = one.span(room)
        if from_ >= 0 and to <= 100:
            return one
    return None


def _within(one: Label) -> Label:
    left, right = one.span(NARROW_ROOM)
    if left < 0:
        return Label(one.text, Decimal(0), "start")
    if right > 100:
        return Label(one.text, Decimal(100), "end")
    return one


def _label(kind: str, one: Label) -> str:
    return f'<text class="{kind} {one.anchor}" x="{one.at}%" y="1em">{escape(one.text)}</text>'
