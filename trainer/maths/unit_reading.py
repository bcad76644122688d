"""Reading the text of a unit: people's spellings in, rows of the table and their powers out."""

from __future__ import annotations

import re
import unicodedata

from trainer.errors import InputError, register
from trainer.maths.unit_table import ATOMS, REFUSED, SPELLINGS, WHOLE, Atom

unknown_unit = register("MTH-001", "There is no unit '{text}' here.", "{cure}", audience="trainee")
unreadable_unit = register(
    "MTH-002", "The unit '{text}' cannot be read: {why}.", "{cure}", audience="trainee"
)

LONGEST_TEXT = 60

BY_SYMBOL: dict[str, Atom] = {atom.symbol: atom for atom in ATOMS}
_EXACT: dict[str, Atom] = {
    **{alias: atom for atom in ATOMS for alias in atom.aliases},
    **{typed: BY_SYMBOL[symbol] for typed, symbol in SPELLINGS.items()},
    **BY_SYMBOL,
}
_NAMES: dict[str, Atom] = {name.casefold(): atom for atom in ATOMS for name in atom.names}
_TERM = re.compile(r"(%-points?|%|[^\W\d_]+)(?:\^?(-?[1-9]))?")
_NUMBER = re.compile(r"[1-9][0-9]{0,6}")


def terms_of(text: str) -> tuple[list[tuple[Atom, int]], int]:
    """The rows of the table that a unit's text names, each with its power, and a number under it.

    Returns:
        No rows for a bare number; the number is 1 but for ``event/1000 dose``.

    Raises:
        InputError: MTH-001 for a word that is not in the table, MTH-002 for broken grammar.
    """
    if len(text) > LONGEST_TEXT:
        raise InputError(
            unreadable_unit,
            text=text[:20] + "…",
            why="it is too long",
            cure="Write a unit such as kg/day.",
        )
    plain = _plain(text)
    plain = WHOLE.get(plain, plain)
    if not plain:
        return [], 1
    above, slash, below = plain.partition("/")
    if "/" in below:
        raise InputError(
            unreadable_unit,
            text=text,
            why="it has two strokes",
            cure="Write m/s2, or J/(kg K) with brackets.",
        )
    terms = _product(above, text, 1) if above.strip() != "1" else []
    scale = 1
    if slash:
        if not above.strip() or not below.strip():
            raise InputError(
                unreadable_unit,
                text=text,
                why="one side of the stroke is empty",
                cure="Write 1/min, or kg/day.",
            )
        scale, below = _scale(below.strip())
        terms += _product(below, text, -1)
    elif above.strip() == "1":
        return [], 1
    return terms, scale


def _plain(text: str) -> str:
    """The text in the table's own letters: µ and Ω spelled out, superscripts as digits."""
    plain = unicodedata.normalize("NFKC", text.replace("º", "°")).strip()
    for typed, own in (
        ("μ", "u"), ("Ω", "ohm"), ("°C", "degC"), ("° C", "degC"), ("−", "-"), ("⋅", "·"),
        ("∙", "·"), ("*", "·"), (" per ", "/"), ("⁄", "/"), ("∕", "/"),
    ):  # fmt: skip
        plain = plain.replace(typed, own)
    return re.sub(r"\s+", " ", plain)


def _scale(below: str) -> tuple[int, str]:
    """A whole number before the unit under the stroke (``event/1000 dose``), and the rest."""
    if below.startswith("(") and below.endswith(")"):
        return 1, below
    first, _, rest = below.partition(" ")
    if rest and _NUMBER.fullmatch(first):
        return int(first), rest
    return 1, below


def _product(part: str, text: str, sign: int) -> list[tuple[Atom, int]]:
    part = part.strip()
    bracketed = part.startswith("(") and part.endswith(")")
    words = [word for word in re.split(r"[\s·]+", part[1:-1] if bracketed else part) if word]
    if sign < 0 and len(words) > 1 and not bracketed:
        raise InputError(
            unreadable_unit,
            text=text,
            why="it is not clear what stands under the stroke",
            cure=f"Write {text.partition('/')[0].strip()}/({' '.join(words)}).",
        )
    return [_term(word, text, sign) for word in words]


def _term(word: str, text: str, sign: int) -> tuple[Atom, int]:
    match = _TERM.fullmatch(word)
    if match is None:
        raise InputError(
            unreadable_unit,
            text=text,
            why=f"'{word}' is not a unit",
            cure="Write a unit such as kg/day or mm2.",
        )
    return _atom(match[1], text), sign * int(match[2] or 1)


def _atom(word: str, text: str) -> Atom:
    found = _EXACT.get(word) or (_NAMES.get(word.casefold()) if len(word) > 1 else None)
    if found is not None:
        return found
    if word in REFUSED:
        raise InputError(
            unknown_unit, text=text, cure=REFUSED[word][:1].upper() + REFUSED[word][1:] + "."
        )
    raise InputError(unknown_unit, text=text, cure=_nearest(word))


def _nearest(word: str) -> str:
    from difflib import get_close_matches

    folded = {symbol.casefold(): symbol for symbol in BY_SYMBOL} | {
        name: atom.symbol for name, atom in _NAMES.items()
    }
    close = get_close_matches(word.casefold(), folded, n=3, cutoff=0.6)
    if not close:
        return "Write one of the units of the table, such as g, kg, s, min, mm, um, ohm or kg/day."
    symbols = list(dict.fromkeys(folded[name] for name in close))
    return f"Did you mean {' or '.join(symbols)}?"
