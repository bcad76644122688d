"""What an exercise is, once read: frozen values that every later step works from.

An ``Exercise`` is made by ``reader.read_block`` and by nothing else. Numbers are exact decimals in
the unit the author wrote; method lines and conditions are compiled (``formula.Formula``).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from trainer.engine.formula import Formula
    from trainer.maths.units import Unit

Stakes = Literal["none", "quality", "safety"]
SafeSide = Literal["", "higher", "lower"]
AcceptKind = Literal["percent", "absolute", "points", "figures", "exact", "whole down"]


class Kind(StrEnum):
    """What an exercise asks for."""

    CALCULATION = "calculation"
    PICK = "pick"
    ORDER = "order"


@dataclass(frozen=True, slots=True)
class Values:
    """The values a drawn quantity may take: a grid, a list, or one fixed value."""

    start: Decimal | None = None
    step: Decimal | None = None
    count: int = 1
    choices: tuple[Decimal, ...] = ()

    def __len__(self) -> int:
        return len(self.choices) or self.count

    def at(self, index: int) -> Decimal:
        """The value number ``index``, exact, in the author's unit."""
        if self.choices:
            return self.choices[index]
        assert self.start is not None
        assert self.step is not None
        return self.start + self.step * index


@dataclass(frozen=True, slots=True)
class Sample:
    """Several drawn readings around a middle; both numbers in the given's unit, or formulas."""

    count: int
    about: Decimal | Formula
    spread: Decimal | Formula
    step: Decimal


@dataclass(frozen=True, slots=True)
class RunLog:
    """How a drawn on/off log is made: first second of the day, its length, share on, one run."""

    start_s: int
    length_s: int
    busy: Decimal
    run_s: int


@dataclass(frozen=True, slots=True)
class Given:
    """A quantity of the draw, shown or hidden.

    Drawn from ``values`` (a date when ``is_date``: its day number), computed by ``formula``, or a
    row of numbers: ``sample`` is drawn, ``column`` is shipped data, ``run_log`` a drawn log.
    """

    symbol: str
    what: str
    unit: Unit
    places: int
    values: Values | None = None
    tied_to: str = ""
    formula: Formula | None = None
    step: Decimal | None = None
    shown: bool = True
    together: str = ""
    sample: Sample | None = None
    column: tuple[Decimal, ...] = ()
    run_log: RunLog | None = None
    is_date: bool = False


@dataclass(frozen=True, slots=True)
class Accept:
    """How near an answer must be: the stated tolerance, before the rounding allowance."""

    kind: AcceptKind
    value: Decimal = Decimal(0)
    text: str = ""


@dataclass(frozen=True, slots=True)
class Find:
    """A wanted quantity: printed unit, tolerance, plausible span (in it) and safe side."""

    symbol: str
    what: str
    unit: Unit
    accept: Accept
    plausible: tuple[Decimal, Decimal] | None = None
    safe_side: SafeSide = ""
    strict: bool = False


@dataclass(frozen=True, slots=True)
class MethodLine:
    """One line of the method: a symbol, its formula over quantities, the unit it is printed in."""

    symbol: str
    formula: Formula
    unit: Unit
    what: str = ""


@dataclass(frozen=True, slots=True)
class Slip:
    """A usual mistake, as a formula over bare numbers in the shown units, and the remark on it."""

    name: str
    find: str
    formula: Formula
    remark: str


@dataclass(frozen=True, slots=True)
class Option:
    """One choice of a pick exercise, in the author's order."""

    text: str
    right: bool
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Act:
    """One act of an order exercise."""

    id: str
    text: str


@dataclass(frozen=True, slots=True)
class Before:
    """This act must come before that one, and why."""

    first: str
    then: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class Exercise:
    """A whole exercise, sound enough to be drawn; ``source`` is its text, ``hash`` its identity."""

    id: str
    title: str
    kind: Kind
    situation: str
    source: str
    hash: str
    stakes: Stakes = "none"
    topic: str = ""
    hazards: tuple[str, ...] = ()
    shows: tuple[str, ...] = ()
    givens: tuple[Given, ...] = ()
    conditions: tuple[Formula, ...] = ()
    finds: tuple[Find, ...] = ()
    method: tuple[MethodLine, ...] = ()
    slips: tuple[Slip, ...] = ()
    worked: str = ""
    pick: Literal["", "one", "all"] = ""
    options: tuple[Option, ...] = ()
    acts: tuple[Act, ...] = ()
    before: tuple[Before, ...] = ()
    few_draws: str = ""
    lines: dict[str, tuple[int, int]] = field(default_factory=dict, compare=False, repr=False)
    file: str = field(default="", compare=False, repr=False)

    @property
    def marks(self) -> int:
        """One mark a find; one for a pick or an order."""
        return len(self.finds) or 1
