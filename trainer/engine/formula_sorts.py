"""What sort of thing a symbol or a part of a formula is: its shape, dimension and printed unit."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from typing import Literal

from trainer.maths.units import BARE, Dimension, Unit, base_unit, dimension_name, units_of_dimension

Shape = Literal["number", "series", "log", "date", "truth", "text"]
SHAPE_WORDS: dict[str, str] = {
    "number": "a number",
    "series": "a row of readings",
    "log": "a run log",
    "date": "a date",
    "truth": "a condition",
    "text": "a word",
}
TIME: Dimension = (0, 0, 1, 0, 0, 0, 0)
ANGLE: Dimension = (0, 0, 0, 0, 0, 1, 0)


@dataclass(frozen=True, slots=True)
class Sort:
    """The sort of a part. ``unit`` is only for messages and takes no part in a comparison."""

    shape: Shape = "number"
    dimension: Dimension = BARE
    point: bool = False
    unit: str = field(default="", compare=False)

    @classmethod
    def of(cls, unit: Unit, shape: Shape = "number") -> Sort:
        """The sort of a symbol shown in this unit."""
        return cls(shape, unit.dimension, unit.is_point, unit.symbol)

    @property
    def is_bare(self) -> bool:
        """Whether it is a number without dimension."""
        return self.shape == "number" and self.dimension == BARE and not self.point

    @property
    def in_words(self) -> str:
        """Such as 'in kg (mass)', 'a bare number', 'a run log'."""
        if self.shape in {"log", "date", "truth", "text"}:
            return SHAPE_WORDS[self.shape]
        if self.dimension == BARE:
            return "a bare number"
        if self.point:
            return "in degC (a temperature)"
        return f"in {self.unit or usual_unit(self.dimension)} ({dimension_name(self.dimension)})"


NUMBER = Sort()
TRUTH = Sort("truth")
WORD = Sort("text")
DATE = Sort("date", TIME)
LOG = Sort("log", TIME)


@lru_cache(maxsize=512)
def usual_unit(dimension: Dimension) -> str:
    """The unit in which a message names a dimension."""
    usual = units_of_dimension(dimension)
    return usual[0].symbol if usual else base_unit(dimension).symbol


def sort_of(value: Unit | Dimension | Sort) -> Sort:
    """The sort that a unit, a dimension or a sort stands for."""
    if isinstance(value, Sort):
        return value
    if isinstance(value, Unit):
        return Sort.of(value)
    return Sort("number", value)
