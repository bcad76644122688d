"""The header of a file, TOML between two lines ``+++``, and TOML in blocks: read with its places.

    +++
    module = 'M03'
    title = 'Usage counters'
    +++

    The text begins here.

The reading itself (bounds, duplicate keys, unseen characters, lines and columns) is the exercise
reader's; a header is at most 64 KiB.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from trainer.engine.reader_block import Block
from trainer.findings import Finding
from trainer.library.problems import finding, problem
from trainer.library.table import Key, Table

LONGEST = 64 * 1024

NO_HEADER = problem(
    "LIB-101", "The file does not begin with a header.", "Begin it with a line +++ and the keys."
)
UNCLOSED = problem("LIB-102", "The header is not closed.", "Write a line +++ after the last key.")
TOO_LONG = problem(
    "LIB-103", "The header has {size} bytes; {longest} is the most.", "Move words into the text."
)
_FENCE = re.compile(r"\+\+\+[ \t]*")


@dataclass(frozen=True, slots=True)
class FrontMatter:
    """A file cut in two: the table of its header (None where it cannot be read) and its text."""

    table: Table | None
    body: str
    line: int  # of the first line of the body


def read_front_matter(text: str, *, file: str, findings: list[Finding]) -> FrontMatter:
    """Read the header of a file; what is wrong with it is added to ``findings``."""
    lines = text.split("\n")
    if not _FENCE.fullmatch(lines[0]):
        findings.append(finding(NO_HEADER, file, 1, 1, text=lines[0]))
        return FrontMatter(None, text, 1)
    end = next((n for n, entry in enumerate(lines[1:], 1) if _FENCE.fullmatch(entry)), 0)
    if not end:
        findings.append(finding(UNCLOSED, file, 1, 1, text=lines[0]))
        return FrontMatter(None, "", len(lines) + 1)
    header = "".join(f"{entry}\n" for entry in lines[1:end])
    table = table_of(header, file=file, line=2, findings=findings)
    return FrontMatter(table, "\n".join(lines[end + 1 :]), end + 2)


def table_of(body: str, *, file: str, line: int, findings: list[Finding]) -> Table | None:
    """The table of a TOML text whose first line has this number; None where it cannot be read."""
    size = len(body.encode("utf-8", "surrogatepass"))
    if size > LONGEST:
        findings.append(finding(TOO_LONG, file, line, 1, size=size, longest=LONGEST))
        return None
    block = Block(body, file=file, line=line, shipped={})
    readable = block.read()
    findings.extend(block.findings)
    if not readable:
        return None

    def place(path: tuple[Key, ...]) -> tuple[int, int]:
        row, column = block.positions.key_place(path)
        return row + line - 1, column

    return Table(block.data, place, file, findings)
