"""The numbers that people write, read as exact decimals; the grammar stands in ``answer``.

A numeral with one comma before three digits has two readings, a thousand times apart. Both are
returned, and nothing here chooses between them.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from trainer.maths.units import CONTEXT

MOST_DIGITS = 40  # an exact value of 28 figures may be copied in full
LARGEST_POWER = 30

_FRACTIONS = {
    sign: Fraction(unicodedata.numeric(sign)).limit_denominator(10) for sign in "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒"
}
_ONE_FOR_ANOTHER = {
    **dict.fromkeys("−–—‐‑‒―﹣－", "-"),
    **dict.fromkeys("＋﹢", "+"),
    **dict.fromkeys("．٫", "."),
    **dict.fromkeys("，", ","),
    **dict.fromkeys("’‘ʼ′٬＇", "'"),
    **dict.fromkeys("⁄∕／", "/"),
    **dict.fromkeys("：∶", ":"),
    **dict.fromkeys("％٪﹪", "%"),
    **dict.fromkeys("✕⨯", "×"),
    # Marks without width, which a copied text may hold.
    **dict.fromkeys("\u200b\u200c\u200d\u200e\u200f\u2060\ufeff\u00ad", ""),
    **{sign: f" {part.numerator}/{part.denominator}" for sign, part in _FRACTIONS.items()},
}
_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻", "0123456789+-")

_START = re.compile(r"\d[\d .,']*|[.,]\d+", re.ASCII)
_PLAIN = re.compile(r"\d+\.?|\d*\.\d+", re.ASCII)
_COMMA = re.compile(r"\d*,\d+", re.ASCII)
_TWO_READINGS = re.compile(r"[1-9]\d{0,2},\d{3}", re.ASCII)
_GROUPED = (
    (re.compile(r"[1-9]\d{0,2}(?: \d{3})+(?:[.,]\d+)?", re.ASCII), " "),
    (re.compile(r"[1-9]\d{0,2}(?:'\d{3})+(?:[.,]\d+)?", re.ASCII), "'"),
    (re.compile(r"[1-9]\d{0,2}(?:,\d{3}){2,}(?:\.\d+)?", re.ASCII), ","),
    (re.compile(r"[1-9]\d{0,2},\d{3}\.\d+", re.ASCII), ","),
    (re.compile(r"[1-9]\d{0,2}(?:\.\d{3}){2,}(?:,\d+)?", re.ASCII), "."),
    (re.compile(r"[1-9]\d{0,2}\.\d{3},\d+", re.ASCII), "."),
)
_POWER = re.compile(
    r"[eE]([+-]?\d{1,2})(?!\d)"
    r"|\s*[x×*·]\s*10(?:\s*\^\s*([+-]?\d{1,2})(?!\d)|([⁺⁻]?[⁰¹²³⁴-⁹]{1,2}))",
    re.ASCII,
)


class Unreadable(Exception):  # noqa: N818 - a value on its way, caught in ``answer.read``
    """Carries the words about what is wrong with a text."""


@dataclass(frozen=True, slots=True)
class Numeral:
    """The number a text starts with: one value, or two readings of its comma; and the rest."""

    values: tuple[Decimal, ...]
    written: str  # the numeral as it stands in the text
    rest: str


def plain_signs(text: str) -> str:
    """The text with one kind of blank, minus, comma and digit, and fractions written out."""
    if text.isascii():
        return " ".join(text.split())
    signs = []
    for sign in text:
        kind = unicodedata.category(sign)
        if kind == "Nd":
            signs.append(str(unicodedata.digit(sign)))
        elif kind == "Zs":
            signs.append(" ")
        else:
            signs.append(_ONE_FOR_ANOTHER.get(sign, sign))
    return " ".join("".join(signs).split())


def read_numeral(text: str) -> Numeral | None:
    """The number at the start of a text that ``plain_signs`` has been through, without a sign.

    Returns:
        The numeral with what follows it, or None when the text does not start with a number that
        can be read.
    """
    found = _START.match(text)
    if found is None:
        return None
    written = found[0].rstrip(" ,'")
    rest = text[len(written) :]
    if rest.lstrip().startswith("/") and written.endswith(" 1"):
        # '1400 1/min' and '1 205 1/min': the last 1 belongs to the unit.
        written, rest = written[:-2], text[len(written) - 1 :]
    values = read_digits(written)
    if values is None:
        return None
    power = _POWER.match(rest)
    if power is not None:
        exponent = int((power[1] or power[2] or power[3]).translate(_SUPERSCRIPTS))
        if abs(exponent) > LARGEST_POWER:
            return None
        values = tuple(value.scaleb(exponent, CONTEXT) for value in values)
        written, rest = written + power[0], rest[power.end() :]
    return Numeral(values, written, rest.strip())


def read_digits(written: str) -> tuple[Decimal, ...] | None:
    """The values of a numeral without sign and power: one, or two readings, or None."""
    if len(written) > 2 * MOST_DIGITS or sum(map(str.isdigit, written)) > MOST_DIGITS:
        return None
    if _PLAIN.fullmatch(written):
        return (Decimal(written),)
    if _TWO_READINGS.fullmatch(written):
        return (Decimal(written.replace(",", ".")), Decimal(written.replace(",", "")))
    if _COMMA.fullmatch(written):
        return (Decimal(written.replace(",", ".")),)
    for pattern, separator in _GROUPED:
        if pattern.fullmatch(written):
            return (Decimal(written.replace(separator, "").replace(",", ".")),)
    return None


_FRACTION = re.compile(r"(?:(\d{1,6}) )?(\d{1,6}) ?/ ?(\d{1,6})(?![\d.,:])", re.ASCII)


def read_fraction(text: str) -> Numeral | None:
    """A fraction (3/4) or a mixed number (1 1/2) at the start; None if there is none."""
    found = _FRACTION.match(text)
    if found is None:
        return None
    whole, above, below = (int(part or 0) for part in found.groups())
    if below == 0:
        raise Unreadable("Nothing can be divided by zero.")
    if found[1] is not None and above >= below:
        return None
    value = CONTEXT.divide(Decimal(whole * below + above), Decimal(below))
    return Numeral((value,), found[0], text[found.end() :].strip())
