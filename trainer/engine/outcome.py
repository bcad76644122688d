"""What the engine hands out: the sheet a person works on, its marking, the proof of an exercise.

Everything here is plain data. ``Sheet.shown`` is all that may reach a browser while the sheet is
open.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from trainer.engine.definition import Exercise
    from trainer.findings import Finding
    from trainer.maths.quantity import Quantity

ENGINE_EDITION = 1


class Outcome(StrEnum):
    """The result of one find, pick or order; the first that fits."""

    INSIDE = "inside"
    CARRIED_ON = "carried on"
    NAMED_SLIP = "named slip"
    UNIT_SLIP = "unit slip"
    OUTSIDE = "outside"
    NOT_READABLE = "not readable"
    NOT_ANSWERED = "not answered"


@dataclass(frozen=True, slots=True)
class ShownGiven:
    """One row of the given table, as printed."""

    symbol: str
    what: str
    value: str
    unit: str
    together: str = ""
    readings: tuple[str, ...] = ()  # of a row of numbers, each as printed


@dataclass(frozen=True, slots=True)
class ShownLog:
    """A run log as shown: the runs as times of day, and the same in seconds for a chart."""

    symbol: str
    what: str
    begin: str  # '07:30'
    end: str
    rows: tuple[tuple[str, str], ...]  # ('07:31:12', '07:31:24')
    spans: tuple[tuple[int, int], ...]  # seconds from the begin
    length_s: int


@dataclass(frozen=True, slots=True)
class ShownFind:
    """One answer cell: the unit beside it first in ``units``, then others of the same dimension."""

    symbol: str
    what: str
    units: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ShownChoice:
    """One option (letter A, B …) or act (its id) in the order shown."""

    key: str
    text: str


@dataclass(frozen=True, slots=True)
class Shown:
    """The open face of a sheet: no answer, key, tolerance, slip or worked solution."""

    id: str
    title: str
    kind: str
    situation: str  # Markdown with the drawn values filled in; render with library.markup.short
    givens: tuple[ShownGiven, ...] = ()
    finds: tuple[ShownFind, ...] = ()
    choices: tuple[ShownChoice, ...] = ()
    pick: str = ""
    marks: int = 1
    hazards: tuple[str, ...] = ()
    logs: tuple[ShownLog, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """An exercise with one draw: what is shown, and behind it every computed quantity and band."""

    exercise: Exercise
    shown: Shown
    values: dict[str, Quantity]  # givens, hidden, derived and every method line
    bands: dict[str, Band]  # by find symbol
    choice_order: tuple[int, ...] = ()  # pick, order: shown position -> author's position
    redraws: int = 0
    base: Mapping[str, Any] = field(default_factory=dict)  # every symbol in base units
    bare: Mapping[str, Any] = field(default_factory=dict)  # every symbol as shown, for slips
    tolerances: Mapping[str, Decimal] = field(default_factory=dict)  # by find, in its unit
    texts: Mapping[str, str] = field(default_factory=dict)  # every symbol as ``=m=`` prints it


@dataclass(frozen=True, slots=True)
class Band:
    """The accepted span of one find in its printed unit, rounded inward to what is printed."""

    low: Decimal
    high: Decimal
    expected: Decimal
    low_text: str
    high_text: str
    unit: str


@dataclass(frozen=True, slots=True)
class Reading:
    """A person's text read as a quantity (``value``, in the find's unit), or what is wrong with it.

    ``problem`` empty: readable. ``asks`` true: nothing is used up, the person is asked (a separator
    with two meanings, a value far from plausible); otherwise the text cannot be read and costs no
    attempt either. ``written`` is the number as the marked sheet repeats it, ``readings`` what an
    ambiguous one may mean.
    """

    text: str
    value: Decimal | None = None
    problem: str = ""
    asks: bool = False
    blank: bool = False
    written: str = ""
    readings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StripMark:
    """The accept strip in numbers: scale, band and answer, all in the find's unit."""

    low: Decimal
    high: Decimal
    answer: Decimal | None
    unit: str
    low_text: str
    high_text: str
    answer_text: str


@dataclass(frozen=True, slots=True)
class FindMarking:
    """One find marked (for pick and order: one entry with an empty symbol)."""

    symbol: str
    outcome: Outcome
    mark: int
    answer_text: str  # as typed
    said: str  # one sentence: yours, accepted, short by
    slip: str = ""  # name of the named or unit slip
    remark: str = ""
    stopped_at: int = 0  # method line number whose value the answer equals; 0 none
    strip: StripMark | None = None


@dataclass(frozen=True, slots=True)
class WorkedLine:
    """One line of the working; ``source`` where it calls a function of the catalogue."""

    number: int
    symbol: str
    symbols: str  # 't = z + f'
    figures: str  # '= 0.45 s + 4.737 s'
    result: str  # '5.187 s'
    is_find: bool = False
    source: str = ""
    what: str = ""  # the author's words beside the line, or what a find asks for


@dataclass(frozen=True, slots=True)
class Marking:
    """The marked sheet. ``as_plain``/``from_plain`` in ``marking`` carry it to and from storage."""

    exercise: str
    engine_edition: int
    mark: int
    marks: int
    outcome: Outcome  # of the whole: the worst find's
    finds: tuple[FindMarking, ...]
    working: tuple[WorkedLine, ...]
    worked: str  # the author's worked text with these figures, Markdown
    right_choices: tuple[str, ...] = ()  # pick: right keys as shown; order: one right order


@dataclass(frozen=True, slots=True)
class Extreme:
    """The lowest or highest answer of a proof with the draw that gives it."""

    find: str
    value: str
    draw: dict[str, str]


@dataclass(frozen=True, slots=True)
class Proof:
    """What the proof run found out about one exercise."""

    exercise: str
    hash: str
    engine_edition: int
    draws: int
    kept: int
    exhaustive: bool
    distinct: int
    slips_apart: Decimal  # share 0 to 1
    lowest: tuple[Extreme, ...]
    highest: tuple[Extreme, ...]
    findings: tuple[Finding, ...]
    first_line: int = 0  # the line of the exercise's id when it was proved; see proof.placed

    @property
    def is_clean(self) -> bool:
        """No error: the exercise may be put in force."""
        return not any(finding.severity == "error" for finding in self.findings)
