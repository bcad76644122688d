"""The parts of a formula's tree, each with its place in the text, from 0."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from trainer.maths.units import Unit


@dataclass(frozen=True, slots=True)
class Number:
    """A number as written, with its one plain unit if it has one."""

    value: Decimal
    text: str
    unit: Unit | None
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Name:
    """A symbol, or ``pi``."""

    name: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Text:
    """A word in quotes for a catalogue function."""

    text: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Chain:
    """A row of + and -, or of * and /: the first part, then each sign with its part."""

    kind: Literal["sum", "product"]
    first: Node
    rest: tuple[tuple[str, Node], ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Power:
    """Base and exponent."""

    base: Node
    exponent: Node
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Negative:
    """A minus before a part."""

    part: Node
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two parts and the sign between them."""

    sign: str
    left: Node
    right: Node
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Logic:
    """A row joined by ``and`` or by ``or``; ``not`` has one part."""

    kind: Literal["and", "or", "not"]
    parts: tuple[Node, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Call:
    """A function and its arguments."""

    name: str
    arguments: tuple[Node, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Bracket:
    """A part in brackets: kept, so that the working prints what the author wrote."""

    part: Node
    start: int
    end: int


Node = Number | Name | Text | Chain | Power | Negative | Comparison | Logic | Call | Bracket


def constant(node: Node) -> Decimal | None:
    """The value of an exponent that is written as a plain number, maybe with a minus."""
    match node:
        case Number(unit=None):
            return node.value
        case Negative():
            inner = constant(node.part)
            return None if inner is None else -inner
        case Bracket():
            return constant(node.part)
        case _:
            return None


def parts_of(node: Node) -> tuple[Node, ...]:  # noqa: PLR0911 - one return a kind
    """The parts directly inside a part."""
    match node:
        case Chain():
            return (node.first, *(part for _, part in node.rest))
        case Power():
            return node.base, node.exponent
        case Negative() | Bracket():
            return (node.part,)
        case Comparison():
            return node.left, node.right
        case Logic():
            return node.parts
        case Call():
            return node.arguments
        case _:
            return ()


def every_part(node: Node) -> Iterator[Node]:
    """A part and everything inside it."""
    waiting = [node]
    while waiting:
        part = waiting.pop()
        yield part
        waiting.extend(reversed(parts_of(part)))
