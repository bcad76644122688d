r"""Texts with drawn values in them: ``=m=``, ``=m bare=``, ``=m in kg=``; plain is ``\=``.

A text is cut into pieces once; filling it in is then only joining.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from trainer.errors import InputError
from trainer.maths.units import Unit, parse_unit

_PLACE = r"=([A-Za-z][A-Za-z0-9_]*)(?: +(bare)| +in +([^ =\n][^=\n]{0,30}?))?="
# Something between two signs without blanks at its ends was meant as a placeholder.
_SIGN = re.compile(rf"\\=|{_PLACE}|=(?=[^\s=])[^=\n]{{1,40}}(?<=\S)=|=")


@dataclass(frozen=True, slots=True)
class Place:
    """One ``=…=`` of a text: the symbol and how it is to be printed. ``at`` counts from 0."""

    symbol: str
    at: int
    bare: bool = False
    unit: Unit | None = None


@dataclass(frozen=True, slots=True)
class Fault:
    """A sign that is no placeholder; ``text`` is what stands there."""

    at: int
    text: str
    why: str
    cure: str


@dataclass(frozen=True, slots=True)
class Wording:
    """A text in pieces."""

    pieces: tuple[str | Place, ...]
    faults: tuple[Fault, ...] = ()

    @property
    def places(self) -> tuple[Place, ...]:
        """The placeholders in the order of the text."""
        return tuple(piece for piece in self.pieces if isinstance(piece, Place))

    def filled(self, printed: Callable[[Place], str]) -> str:
        r"""The text with every placeholder printed.

        Example:
            >>> wording("=m= is =m bare= \\= m").filled(lambda p: "18" if p.bare else "18 g")
            '18 g is 18 = m'
        """
        return "".join(
            [piece if isinstance(piece, str) else printed(piece) for piece in self.pieces]
        )


@lru_cache(maxsize=8192)
def wording(text: str) -> Wording:
    """A text cut into pieces; a sign that is no placeholder is a fault and stays as it stands."""
    pieces: list[str | Place] = []
    faults: list[Fault] = []
    end = 0
    for sign in _SIGN.finditer(text):
        pieces.append(text[end : sign.start()])
        end = sign.end()
        if sign.group() == "\\=":
            pieces.append("=")
            continue
        piece = _placeholder(sign)
        if isinstance(piece, Fault):
            faults.append(piece)
            pieces.append(sign.group())
        else:
            pieces.append(piece)
    pieces.append(text[end:])
    return Wording(tuple(piece for piece in pieces if piece), tuple(faults))


def _placeholder(sign: re.Match[str]) -> Place | Fault:
    symbol, bare, unit_text = sign.groups()
    if not symbol:
        return Fault(
            sign.start(),
            sign.group(),
            "is no value to fill in",
            r"Write =m=, =m bare= or =m in kg=; a plain equals sign is \=.",
        )
    if not unit_text:
        return Place(symbol, sign.start(), bare=bool(bare))
    try:
        return Place(symbol, sign.start(), unit=parse_unit(unit_text.strip()))
    except InputError as refused:
        return Fault(sign.start(), sign.group(), f"names the unit {unit_text}", refused.cure)
