"""The unit check of a function's arguments, and what the function gives back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.engine.formula_errors import (
    angle_wanted,
    argument_unit,
    point_refused,
    root_refused,
    unknown_word,
)
from trainer.engine.formula_functions import function_named
from trainer.engine.formula_nodes import Call, Node, Text
from trainer.engine.formula_sorts import ANGLE, NUMBER, SHAPE_WORDS, Shape, Sort
from trainer.maths import catalogue
from trainer.maths.units import parse_unit

if TYPE_CHECKING:
    from trainer.engine.formula_check import Check


def call_sort(check: Check, node: Call) -> Sort | None:  # noqa: PLR0911 - one a kind
    """What a call gives back; ``None`` when an argument leaves it unknown."""
    function = function_named(node.name)
    assert function is not None, "the tree holds only known functions"
    match function.kind:
        case "number" | "whole":
            check.bare(node.arguments[0], node.name)
            return NUMBER
        case "same":
            return check.number(node.arguments[0], "made positive")
        case "root":
            return _root(check, node)
        case "angle":
            return _angle(check, node)
        case "step":
            return _step(check, node)
        case "choice":
            return _choice(check, node)
        case "series" | "count":
            return _series(check, node)
        case _:
            return _catalogued(check, node)


def _root(check: Check, node: Call) -> Sort | None:
    sort = check.number(node.arguments[0], "put under a root")
    if sort is None:
        return None
    if any(part % 2 for part in sort.dimension):
        check.refuse(root_refused, node.arguments[0], unit=sort.in_words)
        return None
    return Sort("number", tuple(part // 2 for part in sort.dimension))


def _angle(check: Check, node: Call) -> Sort:
    sort = check.number(node.arguments[0], f"given to {node.name}")
    if sort is not None and sort.dimension != ANGLE:
        check.refuse(angle_wanted, node.arguments[0], name=node.name, unit=sort.in_words)
    return NUMBER


def _step(check: Check, node: Call) -> Sort | None:
    first, second = node.arguments
    sort, step = check.number(first, "stepped"), check.number(second, "a step")
    return sort if check.alike(first, sort, second, step, "put in steps") else None


def _choice(check: Check, node: Call) -> Sort | None:
    condition, first, second = node.arguments
    check.shaped(condition, "truth")
    sort, other = check.either(first), check.either(second)
    if not check.alike(first, sort, second, other, "chosen between"):
        return None
    return sort or other


def _series(check: Check, node: Call) -> Sort | None:
    whole: Sort | None = None
    first: Node | None = None
    known = True
    for argument in node.arguments:
        sort = check.sort(argument)
        if sort is not None and sort.shape == "series":
            sort = Sort("number", sort.dimension, sort.point, sort.unit)
        elif sort is not None and sort.shape != "number":
            sort = check.shaped(argument, "number")
        if sort is None:
            known = False
        elif first is None or whole is None:
            whole, first = sort, argument
        elif not check.alike(first, whole, argument, sort, "put together"):
            known = False
    if node.name == "count":
        return NUMBER
    if whole is None or not known:
        return None
    if whole.point and node.name in {"sd", "range_of"}:
        return Sort("number", whole.dimension, unit="K")
    if whole.point and node.name == "sum":
        check.refuse(point_refused, node.arguments[0], act="added to another")
        return None
    return whole


def _catalogued(check: Check, node: Call) -> Sort:
    row = catalogue.entry(node.name)
    for argument, part in zip(row.arguments, node.arguments, strict=False):
        sort = check.sort(part)
        if sort is None:
            continue
        shapes: dict[str, Shape] = {
            "scalar": "number", "whole": "number", "sequence": "series", "log": "log",
            "text": "text", "flag": "truth", "date": "date", "dates": "series",
        }  # fmt: skip
        wanted = shapes[argument.shape]
        unit = parse_unit(argument.unit)
        fits = sort.shape == wanted and (
            wanted not in {"number", "series"}
            or (sort.dimension == unit.dimension and sort.point == unit.is_point)
        )
        if isinstance(part, Text) and argument.choices and part.text not in argument.choices:
            choices = ", ".join(f"'{choice}'" for choice in argument.choices)
            check.refuse(unknown_word, part, name=node.name, text=part.text, choices=choices)
        elif not fits:
            in_unit = wanted in {"number", "series"}
            check.refuse(
                argument_unit,
                part,
                name=node.name,
                argument=argument.name,
                meaning=argument.meaning,
                wanted=(unit.symbol or "a bare number") if in_unit else SHAPE_WORDS[wanted],
                unit=sort.in_words,
                dimension=Sort.of(unit).in_words if in_unit else SHAPE_WORDS[wanted],
            )
    return Sort.of(parse_unit(row.unit))
