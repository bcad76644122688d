"""The method worked out once more: from a person's own earlier values, or with rounded lines."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from trainer.engine.formula_functions import floored
from trainer.engine.tolerance import CHAIN_FIGURES
from trainer.maths.rounding import to_figures

if TYPE_CHECKING:
    from trainer.engine.definition import Exercise


def finds_again(
    exercise: Exercise,
    base: Mapping[str, Any],
    own: Mapping[str, Decimal] | None = None,
    *,
    rounded: bool = False,
) -> dict[str, Decimal]:
    """Every find in its own unit, worked out again; the caller has set the decimal context.

    Args:
        exercise: the exercise.
        base: its given, hidden and derived values in base units.
        own: values that a person has written for finds, in the find's unit: later lines go on from
            them. The find itself is still worked out by its line.
        rounded: round every line to three figures in its printed unit and carry it on; what a
            person wrote stays as it is, and what is floored is not rounded.

    Returns:
        The finds as far as they can be worked out: it ends where a line has no value.
    """
    values = dict(base)
    accepts = {find.symbol: find.accept for find in exercise.finds}
    found: dict[str, Decimal] = {}
    for line in exercise.method:
        symbol, unit = line.symbol, line.unit
        try:
            value = unit.from_base(line.formula.run(values))
        except (ArithmeticError, ValueError):
            return found
        accept = accepts.get(symbol)
        if accept is not None and accept.kind == "whole down":
            value = floored(value)
        elif rounded:
            value = to_figures(value, CHAIN_FIGURES)
        if accept is not None:
            found[symbol] = value
        values[symbol] = unit.to_base(own[symbol] if own and symbol in own else value)
    return found
