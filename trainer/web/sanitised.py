"""The only door by which markup enters a page unescaped: each function says where it comes from.

A template never says ``|safe``: it prints what one of these functions made. Lesson text passed the
library's allow-list when its edition was made; a drawing is built from numbers by our own code.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from html import escape

from markupsafe import Markup

from trainer.drawing import strip
from trainer.engine.outcome import StripMark
from trainer.library.catalogue import Caution
from trainer.library.markup import inline, page_html, short
from trainer.library.panels import panel
from trainer.paper import qr

# A long formula or a broad table scrolls on a narrow screen: the keyboard reaches it, by a name.
_REACHABLE = {
    f'<div class="{kind}">': f'<div class="{kind}" tabindex="0" role="group" aria-label="{name}">'
    for kind, name in (("formula", "formula"), ("cell", "table"))
}


@lru_cache(maxsize=256)
def lesson_html(html: str, edition_hash: str) -> Markup:
    """A lesson's HTML as the library sanitised it, its figures pointed at this edition."""
    found = page_html(html, edition_hash)
    for plain, reachable in _REACHABLE.items():
        found = found.replace(plain, reachable)
    return Markup(found)  # noqa: S704 - nh3 allow-list at put in force


@lru_cache(maxsize=256)
def numbers_strip(paragraphs: tuple[tuple[str, str], ...]) -> Markup:
    """Links to the paragraphs of a lesson by their printed numbers."""
    links = (
        f'<li><a href="#{escape(anchor)}">{escape(number)}</a></li>'
        for anchor, number in paragraphs
    )
    html = f'<ol class="strip-of-numbers">{"".join(links)}</ol>'
    return Markup(html)  # noqa: S704 - anchors and numbers are escaped, the rest is ours


@lru_cache(maxsize=1024)
def short_text(text: str) -> Markup:
    """An author's short Markdown (a situation, a remark) through the library's allow-list."""
    return Markup(short(text))  # noqa: S704 - nh3 allow-list


@lru_cache(maxsize=1024)
def one_line(text: str) -> Markup:
    """The same for a text inside a line: no paragraphs, through the same allow-list."""
    return Markup(inline(text))  # noqa: S704 - nh3 allow-list


@lru_cache(maxsize=256)
def caution_panel(caution: Caution, ident: str) -> Markup:
    """The signal panel of a caution, the same as in a lesson."""
    return Markup(panel(caution, ident))  # noqa: S704 - the library's markup, its texts cleaned


def accept_strip(mark: StripMark, *, inside: bool, ident: str) -> Markup:
    """The accept strip of one find, drawn from its numbers."""
    drawn = strip.accept_strip(
        low=mark.low,
        high=mark.high,
        answer=mark.answer,
        unit=mark.unit,
        low_text=mark.low_text,
        high_text=mark.high_text,
        answer_text=mark.answer_text,
        inside=inside,
        ident=ident,
    )
    return Markup(drawn)  # noqa: S704 - our own SVG, its texts escaped where it is drawn


@lru_cache(maxsize=128)
def qr_code(address: str) -> Markup:
    """The square code of an address, as SVG."""
    return Markup(qr.svg(address))  # noqa: S704 - squares only, no text of anybody's


SHAPES = {".": ("o", "·"), "1": ("one", "1")}


@lru_cache(maxsize=256)
def matrix_cell(letter: str, state: str, *, group: bool) -> str:
    """One cell of the skills matrix; the same few come again and again, so each is made once."""
    shape, shown = SHAPES.get(letter, (letter, letter))
    edge = " g" if group else ""
    tag = "u" if letter == "D" else "span"  # due is underlined as well as cornered
    return (
        f'<td class="k {escape(shape)}{edge}"><{tag} aria-hidden="true">{escape(shown)}</{tag}>'
        f'<i class="unseen">{escape(state)}</i></td>'
    )


def joined(cells: Iterable[str]) -> Markup:
    """Cells made by ``matrix_cell``, side by side."""
    return Markup("".join(cells))  # noqa: S704 - every part was escaped by matrix_cell
