"""Procedure steps: one act a line, each with what it touches.

    ```steps
    1. **Pull the plug and keep it.** Lock it in the box. (electrical)
    2. Wait for standstill. (burrs)
    ```

A line is a step; ``1.`` or ``-`` before it is dropped, the page numbers anew. A line that begins
with a space goes on with the step above; where the steps are numbered, so does a line without one.
Words in ``**`` at the beginning become the step's heading. A step that touches electrical parts or
burrs ends with ``(electrical)``, ``(burrs)`` or ``(electrical, burrs)``.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass

from trainer.library.catalogue import About
from trainer.library.desk import Desk, Piece
from trainer.library.fences import Fence
from trainer.library.page import Page, Tag
from trainer.library.problems import problem

ABOUT: tuple[About, ...] = ("electrical", "burrs")

NO_STEPS = problem("LIB-231", "The steps block is empty.", "Write one step a line.")
UNKNOWN_TAG = problem(
    "LIB-232",
    "'({text})' is no tag of a step.",
    "Write (electrical), (burrs) or (electrical, burrs).",
)
UNGUARDED = problem(
    "LIB-233",
    "This step is tagged ({text}), and no caution about it stands before it.",
    "Put a caution block with about = ['{text}'] before it, or declare the hazard in the header.",
)
_BULLET = re.compile(r"(?:\d{1,3}[.)]|[-*])[ \t]+")
_JOINED = re.compile(r"\s*(?:,|/|\band\b)\s*")
_LEAD = re.compile(r"<strong>(.*?)</strong>", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Tagged:
    """A text, the tags at its end taken off it, and a bracket that was perhaps meant as one."""

    text: str
    tags: tuple[About, ...] = ()
    doubtful: str = ""


def tagged(text: str) -> Tagged:
    """Take the tags off the end of a step or heading.

    Example:
        >>> tagged('Pull the plug. (electrical)')
        Tagged(text='Pull the plug.', tags=('electrical',), doubtful='')
    """
    bare = text.rstrip()
    closed = bare.rstrip(".: ")
    closed = closed if closed.endswith(")") else bare
    opening = closed.rfind("(")
    if opening < 0 or not closed.endswith(")"):
        return Tagged(bare)
    inner = closed[opening + 1 : -1].strip()
    words = [word for word in _JOINED.split(inner.lower()) if word]
    tags = tuple(about for about in ABOUT if about in words)
    if words and len(tags) == len(set(words)):
        return Tagged(closed[:opening].rstrip(), tags)
    if len(words) <= len(ABOUT) and any(_is_near(word) for word in words):
        return Tagged(bare, tags, doubtful=inner)
    return Tagged(bare)


def steps(fence: Fence, desk: Desk) -> list[Piece]:
    """The steps of a block as pieces of the page."""
    rows: list[tuple[int, str]] = []
    lines = fence.body.split("\n")
    numbered = any(_BULLET.match(entry) for entry in lines)
    for number, entry in enumerate(lines, start=fence.line + 1):
        bullet = _BULLET.match(entry)
        goes_on = entry[:1].isspace() or (numbered and not bullet)
        if not entry.strip():
            continue
        if rows and goes_on:
            rows[-1] = (rows[-1][0], f"{rows[-1][1]} {entry.strip()}")
        else:
            rows.append(
                (number, entry.strip() if bullet is None else entry[bullet.end() :].strip())
            )
    if not rows:
        desk.note(NO_STEPS, fence.line, 1)
    return [_step(line, text, desk) for line, text in rows]


def judged(tagged: Tagged, line: int, desk: Desk) -> Tag:
    """The tags of a step or heading for the page, with findings laid at its line."""
    if tagged.doubtful:
        desk.note(UNKNOWN_TAG, line, 1, text=tagged.doubtful)

    def note(unguarded: tuple[About, ...]) -> None:
        for about in unguarded:
            desk.note(UNGUARDED, line, 1, text=about)

    return Tag(tagged.tags, note)


def _step(line: int, text: str, desk: Desk) -> Piece:
    tag = tagged(text)

    def place(page: Page, html: str) -> None:
        lead = _LEAD.match(html)
        if lead:
            html = f"<h2>{lead[1]}</h2>{html[lead.end() :]}"
        page.step(html, judged(tag, line, desk))

    return Piece(place, tag.text)


def _is_near(word: str) -> bool:
    return word.isalpha() and bool(difflib.get_close_matches(word[:20], ABOUT, n=1, cutoff=0.7))
