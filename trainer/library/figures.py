"""Figures of a lesson: drawings and pictures by name, their sizes, and the plate that frames them.

A figure lies in the module's folder ``figures/`` and is named by its file name alone. Besides SVG,
PNG and JPEG are taken; their heads are read for the size, and a file that is cut off, too large or
has something hidden behind its end is refused. In stored HTML a figure is called ``figure:NAME``;
``page_html`` puts the address in when the page is served, because only then the edition is known.
"""

from __future__ import annotations

import re
import struct
import zlib
from dataclasses import dataclass
from html import escape

from trainer.findings import Finding
from trainer.library.problems import finding, problem
from trainer.library.sanitise import FIGURE_NAME, NARROW_SCREEN
from trainer.library.svg import read_svg

LARGEST_PICTURE = 1024 * 1024
MOST_PIXELS_A_SIDE = 4000

BAD_PICTURE = problem(
    "LIB-412",
    "The picture is not a sound {kind} file: {why}.",
    "Save it again and compare the ending.",
)
PICTURE_TOO_LARGE = problem(
    "LIB-413",
    "The picture is too large: {size}.",
    "Keep it under 1 MiB and 4000 pixels a side; a drawing as SVG is better still.",
)
_ADDRESS = re.compile(rf'(src|srcset)="figure:({FIGURE_NAME})"')
_PNG_HEAD = b"\x89PNG\r\n\x1a\n"


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure as it is served."""

    name: str
    content: bytes
    width: int
    height: int


def read_figure(
    name: str, content: bytes, *, file: str
) -> tuple[Figure | None, tuple[Finding, ...]]:
    """One figure file, with every finding; None where nothing can be served of it."""
    if name.endswith(".svg"):
        drawing, findings = read_svg(content, file=file)
        if drawing is None:
            return None, findings
        return Figure(name, drawing.text.encode(), drawing.width, drawing.height), findings
    kind = "PNG" if name.endswith(".png") else "JPEG"
    try:
        width, height = _png_size(content) if kind == "PNG" else _jpeg_size(content)
    except ValueError as fault:
        return None, (finding(BAD_PICTURE, file, 0, kind=kind, why=str(fault)),)
    if len(content) > LARGEST_PICTURE or max(width, height) > MOST_PIXELS_A_SIDE:
        size = f"{len(content)} bytes, {width} by {height} pixels"
        return None, (finding(PICTURE_TOO_LARGE, file, 0, size=size),)
    return Figure(name, content, width, height), ()


def plate(figure: Figure, narrow: Figure | None, *, alt: str, caption: str, number: int) -> str:
    """The figure in its frame, with its number; the narrow drawing where the screen is narrow.

    ``caption`` is HTML, ``alt`` plain text.
    """
    image = (
        f'<img src="figure:{figure.name}" width="{figure.width}" height="{figure.height}"'
        f' alt="{escape(alt)}">'
    )
    if narrow is not None:
        source = f'<source media="{NARROW_SCREEN}" srcset="figure:{narrow.name}">'
        image = f"<picture>{source}{image}</picture>"
    words = f" {caption}" if caption else ""
    legend = f"<figcaption><b>Figure {number}</b>{words}</figcaption>"
    return f'<figure class="plate">{image}{legend}</figure>'


def page_html(html: str, module_hash: str) -> str:
    """Stored HTML with the address of each figure in the edition it belongs to.

    Example:
        >>> page_html('<img src="figure:gap.svg" alt="">', 'ab12')
        '<img src="/figure/ab12/gap.svg" alt="">'
    """
    return _ADDRESS.sub(rf'\1="/figure/{module_hash}/\2"', html)


def _png_size(content: bytes) -> tuple[int, int]:
    if not content.startswith(_PNG_HEAD):
        raise ValueError("it does not begin like one")
    at, size = len(_PNG_HEAD), (0, 0)
    while at + 12 <= len(content):
        (length,) = struct.unpack_from(">I", content, at)
        kind, end = content[at + 4 : at + 8], at + 8 + length
        if end + 4 > len(content):
            break
        if zlib.crc32(content[at + 4 : end]) != struct.unpack_from(">I", content, end)[0]:
            raise ValueError("a part of it is damaged")
        if at == len(_PNG_HEAD):
            if kind != b"IHDR" or length != 13:
                raise ValueError("it has no head")
            size = struct.unpack_from(">II", content, at + 8)
            if 0 in size:
                raise ValueError("it has no area")
        at = end + 4
        if kind == b"IEND":
            if at != len(content):
                raise ValueError("something stands behind its end")
            return size
    raise ValueError("it is cut off")


def _jpeg_size(content: bytes) -> tuple[int, int]:
    if not content.startswith(b"\xff\xd8\xff"):
        raise ValueError("it does not begin like one")
    if not content.endswith(b"\xff\xd9"):
        raise ValueError("it is cut off, or something stands behind its end")
    at = 2
    while at + 9 <= len(content) and content[at] == 0xFF:
        mark = content[at + 1]
        if 0xC0 <= mark <= 0xCF and mark not in {0xC4, 0xC8, 0xCC}:  # a frame, not a table
            height, width = struct.unpack_from(">HH", content, at + 5)
            return width, height
        (length,) = struct.unpack_from(">H", content, at + 2)
        at += 2 + max(length, 2)
    raise ValueError("it has no frame")
