"""A formula's text cut into tokens, each with its place; every bound on size is kept here."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from trainer.engine.formula_errors import (
    FormulaError,
    character_refused,
    name_refused,
    number_refused,
    too_long,
)

MAX_CHARACTERS = 2_000
MAX_TOKENS = 500
MAX_DIGITS = 28
MAX_POWER_OF_TEN = 64
WORD_OPERATORS = frozenset({"and", "or", "not"})
SYMBOL_PATTERN = "[A-Za-z][A-Za-z0-9_]{0,23}"

TokenKind = Literal["number", "unit", "word", "text", "operator", "end"]

_BLANK = re.compile(r"[ \t\n]+")
_NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?")
_WORD = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
# After a number a unit may stand, with the four signs beyond ASCII that the unit table knows.
_UNIT = re.compile(r"[A-Za-zµμΩ\u2126°][A-Za-z0-9µμΩ\u2126°]*|%")
_TEXT = re.compile(r"'([A-Za-z0-9 ._/-]{1,32})'|\"([A-Za-z0-9 ._/-]{1,32})\"")
_OPERATORS = ("<=", ">=", "==", "!=", "<", ">", "+", "-", "*", "/", "^", "(", ")", ",")
_CURES = {
    "=": "A comparison is written '=='.",
    "×": "Write '*'.", "·": "Write '*'.", "⋅": "Write '*'.", "÷": "Write '/'.", ":": "Write '/'.",
    "−": "Write the plain '-'.", "–": "Write the plain '-'.", "²": "Write '^2'.",
    "³": "Write '^3'.", "≤": "Write '<='.", "≥": "Write '>='.", "≠": "Write '!='.",
    "√": "Write 'sqrt(…)'.", "π": "Write 'pi'.", "%": "A percent sign follows a number: 5 %.",
    "[": "Only round brackets are used.", "{": "Only round brackets are used.",
    ".": "Write a number with digits on both sides of the point: 0.5 or 5.0.",
    "'": "Only a class or kind of up to 32 plain letters may stand in quotes.",
    '"': "Only a class or kind of up to 32 plain letters may stand in quotes.",
    "&": "Write 'and'.", "|": "Write 'or'.", "!": "Write 'not', or '!=' for unequal.",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Token:
    """One token. ``start`` and ``end`` are places in the formula's text, from 0."""

    kind: TokenKind
    text: str
    start: int
    end: int

    @property
    def column(self) -> int:
        """The column a person counts, from 1."""
        return self.start + 1


def tokens_of(source: str) -> tuple[Token, ...]:
    """The tokens of a formula, closed by one of kind ``end``.

    Raises:
        FormulaError: for a text that is too long, a character that has no place in a formula, or a
            number written otherwise than 12.5 or 1.25e3.

    Example:
        >>> [token.text for token in tokens_of("z + 10 min / q")][:4]
        ['z', '+', '10', 'min']
    """
    if len(source) > MAX_CHARACTERS:
        raise FormulaError(
            too_long, count=len(source), things="characters", limit=MAX_CHARACTERS, text=""
        )
    found: list[Token] = []
    at = 0
    while at < len(source):
        blank = _BLANK.match(source, at)
        if blank:
            at = blank.end()
            continue
        token = _next(source, at, after_number=bool(found) and found[-1].kind == "number")
        found.append(token)
        if len(found) > MAX_TOKENS:
            raise FormulaError(
                too_long,
                count=f"more than {MAX_TOKENS}",
                things="signs and words",
                limit=MAX_TOKENS,
                column=token.column,
                text=token.text,
            )
        at = token.end
    found.append(Token("end", "", len(source), len(source)))
    return tuple(found)


def _next(source: str, at: int, *, after_number: bool) -> Token:
    number = _NUMBER.match(source, at)
    if number:
        return _number(source, number)
    if after_number:
        unit = _UNIT.match(source, at)
        if unit and unit.group() not in WORD_OPERATORS:
            return Token("unit", unit.group(), at, unit.end())
    word = _WORD.match(source, at)
    if word:
        return _word(word.group(), at)
    for operator in _OPERATORS:
        if source.startswith(operator, at):
            if source.startswith("**", at):
                break
            return Token("operator", operator, at, at + len(operator))
    text = _TEXT.match(source, at)
    if text:
        return Token("text", text.group(1) or text.group(2), at, text.end())
    raise _refused(source, at)


def _number(source: str, number: re.Match[str]) -> Token:
    text, at, end = number.group(), number.start(), number.end()
    follows = source[end : end + 1]
    if follows in {"_", "."} and follows:
        tail = re.match(r"[0-9_.]*", source[end:])
        whole = text + (tail.group() if tail else "")
        raise FormulaError(
            number_refused,
            text=whole,
            why="digits are not grouped and there is one point",
            cure=_number_cure(whole),
            column=at + 1,
        )
    mantissa, _, power = text.lower().partition("e")
    digits = mantissa.replace(".", "").lstrip("0")
    if len(digits) > MAX_DIGITS:
        raise FormulaError(
            number_refused,
            text=text[:40],
            why=f"it has more than {MAX_DIGITS} digits",
            cure="Give as many figures as are known.",
            column=at + 1,
        )
    if power and (len(power) > 4 or abs(int(power)) > MAX_POWER_OF_TEN):
        raise FormulaError(
            number_refused,
            text=text[:40],
            why=f"its power of ten is beyond {MAX_POWER_OF_TEN}",
            cure="Use a unit with a fitting prefix.",
            column=at + 1,
        )
    return Token("number", text, at, end)


def _number_cure(text: str) -> str:
    if "_" in text:
        return f"Write {text.replace('_', '')}."
    return f"Write {text}0." if text.count(".") == 1 else "Write it like 12.5."


def _word(word: str, at: int) -> Token:
    if word.startswith("_"):
        raise FormulaError(
            name_refused,
            name=word,
            text=word,
            cure="A symbol begins with a letter.",
            column=at + 1,
        )
    if len(word) > 48:
        raise FormulaError(
            name_refused,
            name=word[:48] + "…",
            text=word[:48],
            cure="A symbol has at most 24 letters.",
            column=at + 1,
        )
    return Token("operator" if word in WORD_OPERATORS else "word", word, at, at + len(word))


def _refused(source: str, at: int) -> FormulaError:
    sign = source[at]
    cure = _CURES.get(sign, "")
    shown = f"'{sign}'"
    if sign == "." and source[at + 1 : at + 2].isalpha():
        cure = "A symbol has no parts: write its name alone."
    if source.startswith("**", at):
        shown, cure = "'**'", "A power is written '^'."
    elif not sign.isprintable():
        shown, cure = f"The unseen character U+{ord(sign):04X}", "Take it out."
    elif sign.isdigit() and not sign.isascii() and not cure:
        cure = "Use the digits 0 to 9."
    elif not cure:
        cure = (
            "Take it out." if sign.isascii() else "Use the letters A to Z and the signs + - * / ^."
        )
    return FormulaError(character_refused, shown=shown, text=sign, cure=cure, column=at + 1)
