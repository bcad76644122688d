"""A located finding: what an author's text has wrong, where, and what to write instead."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

Severity = Literal["error", "remark"]


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """One problem in an author's text; lines and columns count from 1, 0 is the whole file."""

    file: str
    line: int
    column: int
    severity: Severity
    code: str
    message: str
    cure: str = ""
    text: str = ""

    def in_file(self, file: str, *, line_offset: int = 0) -> Finding:
        """The same finding, seen from the file that holds its block after that many lines."""
        return replace(self, file=file, line=self.line + line_offset)

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}:{self.column}"
        cure = f" {self.cure}" if self.cure else ""
        return f"{place}: {self.severity}: {self.message}{cure}"


def has_errors(findings: Iterable[Finding]) -> bool:
    """Whether at least one finding keeps the text out of force."""
    return any(finding.severity == "error" for finding in findings)


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Errors before remarks, then by place."""
    return tuple(sorted(findings, key=lambda f: (f.severity != "error", f.file, f.line, f.column)))
