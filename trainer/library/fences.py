"""Cutting a text into prose and fenced blocks, line by line, with the line each part begins on.

A block begins with a line of three or more backticks (or tildes) and a name, and ends with a line
of as many or more of the same sign and nothing else. It stands at the left edge. More backticks
outside let a block show another block as text.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_OPENING = re.compile(r"(?P<indent> {0,3})(?P<sign>`{3,}|~{3,})[ \t]*(?P<info>[^`]*)")
_INDENTED = re.compile(r"[ \t]+(?:`{3,}|~{3,})[ \t]*(?P<name>[a-z]+)[ \t]*")


@dataclass(frozen=True, slots=True)
class Fence:
    """One fenced block: its name, what stands after the name, its body and where it begins."""

    name: str
    rest: str
    body: str
    line: int  # of the opening line; the body begins on the next
    closed: bool = True


@dataclass(frozen=True, slots=True)
class Prose:
    """The lines between two blocks, and the line of the first."""

    lines: tuple[str, ...]
    line: int


def split(text: str, *, line: int = 1) -> tuple[Fence | Prose, ...]:
    r"""Cut a text into its parts, in order; ``line`` is the number of its first line.

    Example:
        >>> [type(part).__name__ for part in split('words\n```sheet\nM03-E1\n```\n')]
        ['Prose', 'Fence']
    """
    parts: list[Fence | Prose] = []
    prose: list[str] = []
    lines = text.split("\n")
    at = 0

    def close_prose() -> None:
        if any(entry.strip() for entry in prose):
            parts.append(Prose(tuple(prose), line + at - len(prose)))
        prose.clear()

    while at < len(lines):
        opening = _OPENING.fullmatch(lines[at])
        if opening is None:
            prose.append(lines[at])
            at += 1
            continue
        close_prose()
        sign, begin = opening["sign"], at
        closing = re.compile(rf" {{0,3}}{re.escape(sign[0])}{{{len(sign)},}}[ \t]*")
        at += 1
        while at < len(lines) and not closing.fullmatch(lines[at]):
            at += 1
        name, _, rest = opening["info"].strip().partition(" ")
        body = "".join(f"{entry}\n" for entry in lines[begin + 1 : at])
        parts.append(Fence(name, rest.strip(), body, line + begin, closed=at < len(lines)))
        at += 1
    close_prose()
    return tuple(parts)


def indented_names(prose: Prose) -> tuple[tuple[str, int], ...]:
    """Names of blocks that stand indented, where they are only text, with their lines."""
    return tuple(
        (match["name"], prose.line + number)
        for number, entry in enumerate(prose.lines)
        if (match := _INDENTED.fullmatch(entry))
    )
