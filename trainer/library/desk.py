"""What the reader of one lesson has at hand: the module around it, and where findings are laid."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from trainer.findings import Finding, Severity, worst_first
from trainer.library.catalogue import Caution
from trainer.library.figures import Figure
from trainer.library.page import Page
from trainer.library.problems import finding, problem

MOST_FINDINGS = 100
MORE = problem(
    "LIB-215", "There are more findings than {most} here.", "Mend these first, then look again."
)


@dataclass(frozen=True, slots=True)
class Context:
    """The module around a lesson, as far as its text may speak of it."""

    cautions: Mapping[str, Caution] = field(default_factory=dict)
    figures: Mapping[str, Figure] = field(default_factory=dict)
    exercises: Mapping[str, str] = field(default_factory=dict)  # id -> title, of the whole module
    exercise_at: Mapping[int, str] = field(default_factory=dict)  # line of a block here -> its id
    shipped: Mapping[str, bytes] = field(default_factory=dict)  # data files by name
    hazards: tuple[str, ...] = ()  # declared in the lesson's header
    hazards_line: int = 1


@dataclass(slots=True)
class Desk:
    """Context, file and findings while one lesson is read."""

    context: Context
    file: str
    findings: list[Finding] = field(default_factory=list)
    own_cautions: dict[str, Caution] = field(default_factory=dict)
    placed: set[str] = field(default_factory=set)  # ids of cautions the author placed himself

    def note(
        self,
        code: str,
        line: int,
        column: int = 0,
        *,
        severity: Severity = "error",
        text: str = "",
        **fields: object,
    ) -> None:
        """Lay down a finding at a line of the lesson's file."""
        found = finding(code, self.file, line, column, severity=severity, text=text, **fields)
        self.findings.append(found)


@dataclass(frozen=True, slots=True)
class Piece:
    """What a block puts on the page; ``text``, if any, is Markdown rendered before it is placed."""

    place: Callable[[Page, str], None]
    text: str = ""


def bounded(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings of one file, errors first, and after a hundred only that there are more."""
    first = worst_first(findings)[:MOST_FINDINGS]
    if len(findings) <= MOST_FINDINGS:
        return first
    last = first[-1]
    return (*first, finding(MORE, last.file, last.line, most=MOST_FINDINGS))
