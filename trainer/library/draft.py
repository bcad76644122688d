"""The Markdown of a lesson with a mark in the place of each heading, step and block."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from itertools import count

from trainer.library.blocks import BLOCKS
from trainer.library.desk import Desk, Piece
from trainer.library.fences import Fence, Prose, indented_names
from trainer.library.page import Page
from trainer.library.parts import mark
from trainer.library.problems import did_you_mean, problem
from trainer.library.sanitise import clean_text
from trainer.library.steps import judged, tagged

DEEPEST = 10

TOO_DEEP = problem(
    "LIB-213", "Lists or quotes are nested more than {deepest} deep here.", "Keep them flat."
)
TITLE = problem(
    "LIB-221",
    "A heading with one # is the page's title.",
    "Write ##; the title stands in the header.",
)
SMALL_HEADING = problem("LIB-222", "A heading has at most three #.", "Write ## or ###.")
EMPTY_HEADING = problem("LIB-223", "The heading is empty.", "Write words after the ##.")
UNKNOWN_BLOCK = problem("LIB-224", "There is no block '{text}'.", "{cure}")
UNCLOSED_BLOCK = problem(
    "LIB-225", "The block '{text}' is never closed.", "Write a line of ``` after its last line."
)
MORE_THAN_NAME = problem(
    "LIB-226",
    "After the block's name stands '{text}'.",
    "Leave it out: keys stand inside the block.",
)
INDENTED_BLOCK = problem(
    "LIB-227", "The block '{text}' is indented and would be shown as text.", "Begin it at the edge."
)

_NESTING = re.compile(r"(?:[ \t]*(?:>|[-*+][ \t]|\d{1,9}\.[ \t]))*[ \t]*")
_NEST_SIGN = re.compile(r">|[-*+](?=[ \t])|\d+\.|[ ]{4}|\t")


@dataclass(slots=True)
class Draft:
    """The Markdown with its marks, and what each mark stands for."""

    desk: Desk
    source: list[str] = field(default_factory=list)
    marks: list[tuple[Piece, int]] = field(default_factory=list)
    spoken: list[tuple[int, str]] = field(default_factory=list)  # numbered lines that people read
    is_too_deep: bool = False

    def put(self, piece: Piece, line: int) -> None:
        """Leave the mark of a piece in the Markdown."""
        self.source.append(mark(len(self.marks), piece.text))
        self.marks.append((piece, line))

    def fence(self, fence: Fence) -> None:
        """Read a block and leave the marks of its pieces."""
        if not fence.closed:
            self.desk.note(UNCLOSED_BLOCK, fence.line, 1, text=fence.name)
        block = BLOCKS.get(fence.name)
        if block is not None:
            if fence.rest:
                self.desk.note(MORE_THAN_NAME, fence.line, 1, text=fence.rest)
            if fence.name == "steps":
                self.spoken.extend(enumerate(fence.body.split("\n"), fence.line + 1))
            for piece in block.read(fence, self.desk):
                self.put(piece, fence.line)
        elif fence.name in {"", "text"}:
            html = f"<pre><code>{clean_text(fence.body)}</code></pre>"
            self.put(Piece(lambda page, _html: page.thing(html)), fence.line)
        else:
            known = ", ".join(sorted(BLOCKS))
            cure = did_you_mean(fence.name, BLOCKS, otherwise=f"Blocks: {known}.")
            self.desk.note(UNKNOWN_BLOCK, fence.line, 4, text=fence.name, cure=cure)

    def prose(self, prose: Prose) -> None:
        """Take lines of text in, a mark in the place of each heading."""
        for name, number in indented_names(prose):
            if name in BLOCKS:
                self.desk.note(INDENTED_BLOCK, number, 1, text=name)
        for number, entry in zip(count(prose.line), prose.lines):
            self.spoken.append((number, entry))
            if depth(entry) > DEEPEST:
                self.desk.note(TOO_DEEP, number, 1, deepest=DEEPEST)
                self.is_too_deep = True
            hashes = len(entry) - len(entry.lstrip("#"))
            if 1 <= hashes <= 6 and entry[hashes : hashes + 1] in {" ", "\t", ""}:
                self.heading(hashes, entry.strip("#").strip(), number)
            else:
                self.source.append(entry)

    def heading(self, level: int, words: str, line: int) -> None:
        """Leave the mark of a heading."""
        if level == 1:
            self.desk.note(TITLE, line, 1, text=words)
        elif level > 3:
            self.desk.note(SMALL_HEADING, line, 1, text=words)
        if not words:
            self.desk.note(EMPTY_HEADING, line, 1)
        tag = tagged(words)

        def place(page: Page, html: str) -> None:
            if level < 3:
                page.heading(html, judged(tag, line, self.desk))
            else:
                page.text(f"<h3>{html}</h3>")

        self.put(Piece(place, tag.text if level < 3 else words), line)


def depth(entry: str) -> int:
    """How deep the lists and quotes are that this line begins with."""
    front = _NESTING.match(entry)
    return len(_NEST_SIGN.findall(front.group())) if front else 0
