"""A formula written out for the working: with its symbols, then with figures in their place."""

from __future__ import annotations

from collections.abc import Mapping

from trainer.engine.formula_nodes import (
    Bracket,
    Chain,
    Comparison,
    Logic,
    Name,
    Negative,
    Node,
    Number,
    Power,
    Text,
    constant,
)
from trainer.maths.quantity import with_unit

_SIGNS = {"*": "·", "<=": "≤", ">=": "≥", "!=": "≠", "==": "="}
_RAISED = str.maketrans("0123456789-", "⁰¹²³⁴⁵⁶⁷⁸⁹⁻")


def symbols_of(tree: Node) -> str:
    """The formula with its symbols.

    Example:
        >>> from trainer.engine.formula_tree import tree_of
        >>> symbols_of(tree_of("pi/4*(D^2 - d^2)", bare=False))
        'π / 4 · (D² - d²)'
    """
    return _written(tree, {})


def figures_of(tree: Node, texts: Mapping[str, str]) -> str:
    """The formula with a text for every symbol; a negative or compound one stands in brackets.

    Example:
        >>> from trainer.engine.formula_tree import tree_of
        >>> figures_of(tree_of("d^2 - t", bare=False), {"d": "75 mm", "t": "-3 mm2"})
        '(75 mm)² - (-3 mm2)'
    """
    return _written(tree, texts)


def _written(node: Node, texts: Mapping[str, str]) -> str:  # noqa: PLR0911 - one return a kind
    match node:
        case Number():
            return with_unit(node.text, node.unit, node.value) if node.unit else node.text
        case Name():
            if node.name == "pi":
                return "π"
            return texts.get(node.name, node.name)
        case Text():
            return f"'{node.text}'"
        case Bracket():
            return _bracketed(node, texts)
        case Negative():
            return f"-{_part(node.part, texts)}"
        case Chain():
            return _chain(node, texts)
        case Power():
            return _power(node, texts)
        case Comparison():
            sign = _SIGNS.get(node.sign, node.sign)
            return f"{_written(node.left, texts)} {sign} {_written(node.right, texts)}"
        case Logic(kind="not"):
            return f"not {_written(node.parts[0], texts)}"
        case Logic():
            return f" {node.kind} ".join(_written(part, texts) for part in node.parts)
        case _:
            inside = ", ".join(_written(part, texts) for part in node.arguments)
            return f"{node.name}({inside})"


def _bracketed(node: Bracket, texts: Mapping[str, str]) -> str:
    inside = node.part
    while isinstance(inside, Bracket):
        inside = inside.part
    # Brackets around one symbol or number add nothing once it stands alone.
    if isinstance(inside, (Name, Number)):
        return _part(inside, texts)
    return f"({_written(inside, texts)})"


def _part(node: Node, texts: Mapping[str, str]) -> str:
    """A part beside a sign: a negative figure gets brackets."""
    text = _written(node, texts)
    if isinstance(node, (Name, Negative)) and text.startswith(("-", "−")):
        return f"({text})"
    return text


def _chain(node: Chain, texts: Mapping[str, str]) -> str:
    text = _written(node.first, texts)
    if node.kind == "product" and isinstance(node.first, Name):
        text = _part(node.first, texts)
    for sign, part in node.rest:
        text += f" {_SIGNS.get(sign, sign)} {_part(part, texts)}"
    return text


def _power(node: Power, texts: Mapping[str, str]) -> str:
    base = _written(node.base, texts)
    plain = isinstance(node.base, (Name, Number, Bracket)) and " " not in base and base[:1] != "-"
    if not plain and not base.startswith("("):
        base = f"({base})"
    value = constant(node.exponent)
    if value is not None and value == value.to_integral_value():
        return base + f"{value:f}".translate(_RAISED)
    return f"{base}^{_part(node.exponent, texts)}"
