"""Where each key and value of a TOML text stands: a scanner for findings with line and column.

The standard reader gives values without their places. This scanner walks the same text, notes every
key (tables, inline tables, arrays of tables) and finds the usual mistakes of writing first, in
words of the trade. It also keeps the bound on nesting, so that the standard reader never meets a
text that is too deep.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass
from typing import Literal

Path = tuple[str | int, ...]
ValueKind = Literal["plain", "literal", "basic", "array", "table"]

MAX_DEPTH = 10
_BLANK = re.compile(r"[ \t]*")
_GAP = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_REST = re.compile(r"[ \t]*(?:#[^\n]*)?")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
# A date may be parted from its time by a blank; no other plain value holds one.
_PLAIN = re.compile(r"[0-9-]{10} [0-9:.]{5,}|[^,\]}#\n \t]*")
_ESCAPE = re.compile(r"\\(?:u[0-9A-Fa-f]{4}|U[0-9A-Fa-f]{8}|[ \t]*\n\s*|.)", re.DOTALL)
_INSIDE = {
    "'": re.compile(r"[^'\n]*"),
    '"': re.compile(r'(?:[^"\\\n]|\\.)*'),
    "'''": re.compile(r"(?:[^']|'(?!''))*"),
    '"""': re.compile(r'(?:[^"\\]|\\.|"(?!""))*', re.DOTALL),
}


class Problem(Exception):  # noqa: N818 - a finding in the making, never an error that escapes
    """The first thing that keeps a text from being TOML: its place, what it is, what to write."""

    def __init__(self, offset: int, what: str, cure: str) -> None:
        super().__init__(what)
        self.offset = offset
        self.what = what
        self.cure = cure


@dataclass(frozen=True, slots=True)
class Entry:
    """One key (or item of an array) with its value, as offsets into the text."""

    key_at: int
    value_at: int
    value_end: int
    kind: ValueKind
    content_at: int = 0


@dataclass(frozen=True, slots=True)
class Duplicate:
    """A key that stands twice."""

    path: Path
    offset: int
    first: int

    @property
    def name(self) -> str:
        """The key with the tables around it."""
        return ".".join(map(str, self.path))


class Positions:
    """Every place of a text. Lines and columns count from 1."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.entries: dict[Path, Entry] = {}
        self.duplicates: list[Duplicate] = []
        self._starts = [0, *(match.end() for match in re.finditer("\n", text))]

    def place(self, offset: int) -> tuple[int, int]:
        """Line and column of an offset."""
        line = bisect_right(self._starts, offset)
        return line, offset - self._starts[line - 1] + 1

    def entry(self, path: Path) -> Entry | None:
        """The entry of a path, or of the nearest table around it."""
        while path:
            if path in self.entries:
                return self.entries[path]
            path = path[:-1]
        return None

    def key_place(self, path: Path) -> tuple[int, int]:
        """Where the key of this path stands; the first line when nothing is known of it."""
        entry = self.entry(path)
        return self.place(entry.key_at) if entry else (1, 1)

    def value_place(self, path: Path, offset: int | None = None) -> tuple[int, int]:
        """Where a value begins or, of a text, where its character number ``offset`` stands."""
        entry = self.entry(path)
        if entry is None:
            return 1, 1
        is_text = path in self.entries and entry.kind in {"literal", "basic"}
        if offset is None or not is_text:
            return self.place(entry.value_at)
        if entry.kind == "literal":
            return self.place(min(entry.content_at + offset, entry.value_end))
        return self.place(self._behind_escapes(entry, offset))

    def _behind_escapes(self, entry: Entry, offset: int) -> int:
        at = entry.content_at
        while at < entry.value_end:
            escape = _ESCAPE.match(self.text, at)
            if escape and escape.group()[1:2] in {" ", "\t", "\n"}:
                at = escape.end()  # a line that goes on: nothing of it is in the value
            elif offset == 0:
                break
            else:
                at = escape.end() if escape else at + 1
                offset -= 1
        return at

    def source(self, path: Path) -> str:
        """The text of a value as written, cut to one short line."""
        entry = self.entries.get(path)
        if entry is None:
            return str(path[-1]) if path else ""
        written = self.text[entry.value_at : entry.value_end].strip()
        first = written.split("\n", 1)[0]
        return first if len(first) <= 60 and first == written else first[:59] + "…"


def scan(text: str) -> Positions:
    """The places of every key of a text.

    Raises:
        Problem: the first thing that keeps it from being TOML.
    """
    scanner = _Scanner(text)
    scanner.run()
    found = scanner.positions.duplicates
    doubled = {twice.path for twice in found}
    found[:] = [
        twice
        for twice in found
        if not any(twice.path[:length] in doubled for length in range(len(twice.path)))
    ]
    return scanner.positions


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.positions = Positions(text)
        self.table: Path = ()
        self.counts: dict[Path, int] = {}

    def run(self) -> None:
        while True:
            self.skip(_GAP)
            if self.at >= len(self.text):
                return
            if self.text[self.at] == "[":
                self.header()
            else:
                self.key_and_value(self.table, depth=len(self.table))
            self.line_end()

    def skip(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self.text, self.at)
        assert match, "every pattern of the scanner matches the empty text"
        self.at = match.end()

    def peek(self, length: int = 1) -> str:
        return self.text[self.at : self.at + length]

    def line_end(self) -> None:
        self.skip(_REST)
        if self.at >= len(self.text) or self.peek() == "\n":
            return
        before = self.text[self.at - 1 : self.at]
        cure = "Put each key on a line of its own."
        if before == "'":
            cure = "A text that holds ' stands between ''' and '''."
        if before == '"':
            cure = "A text that holds \" stands between ' and '."
        raise Problem(self.at, f"After the value comes '{self.peek(12).strip()}'.", cure)

    def header(self) -> None:
        start = self.at
        brackets = 2 if self.peek(2) == "[[" else 1
        self.at += brackets
        keys = self.keys(depth=0)
        if self.peek(brackets) != "]" * brackets:
            raise Problem(
                self.at, "The table's name is not closed.", f"Write '{']' * brackets}' after it."
            )
        self.at += brackets
        path: Path = ()
        for key, _ in keys[:-1]:
            path = self.inside((*path, key))
        path = (*path, keys[-1][0])
        if brackets == 2:
            number = self.counts.get(path, 0)
            self.counts[path] = number + 1
            self.positions.entries.setdefault(path, Entry(start, start, self.at, "array"))
            path = (*path, number)
        self.note(path, Entry(start, start, self.at, "table"))
        self.table = path

    def inside(self, path: Path) -> Path:
        """A path on the way to a table: of an array of tables, its last one."""
        return (*path, self.counts[path] - 1) if path in self.counts else path

    def note(self, path: Path, entry: Entry) -> None:
        first = self.positions.entries.get(path)
        if first is not None:
            self.positions.duplicates.append(Duplicate(path, entry.key_at, first.key_at))
            return
        self.positions.entries[path] = entry

    def keys(self, *, depth: int) -> list[tuple[str, int]]:
        """A key, maybe dotted: each part with its offset."""
        found: list[tuple[str, int]] = []
        while True:
            self.skip(_BLANK)
            found.append(self.key())
            if depth + len(found) > MAX_DEPTH:
                raise self.too_deep(found[-1][1])
            self.skip(_BLANK)
            if self.peek() != ".":
                return found
            self.at += 1

    def key(self) -> tuple[str, int]:
        start = self.at
        bare = _BARE_KEY.match(self.text, start)
        if bare:
            self.at = bare.end()
            return bare.group(), start
        if self.peek() in {"'", '"'}:
            entry = self.quoted(start, start)
            return self.text[entry.content_at : self.at - 1], start
        shown = self.peek().strip()
        what = f"A key begins with a letter, not with '{shown}'." if shown else "A key is missing."
        cure = "Write: key = value."
        if not self.peek().isascii():
            cure = "Use the letters a to z for keys and symbols."
        raise Problem(start, what, cure)

    def too_deep(self, offset: int) -> Problem:
        return Problem(
            offset,
            f"The text is nested more than {MAX_DEPTH} levels deep.",
            "No exercise needs more than three.",
        )

    def key_and_value(self, table: Path, *, depth: int) -> None:
        start = self.at
        keys = self.keys(depth=depth)
        if self.peek() != "=":
            name = keys[-1][0]
            before = self.text[:start].rstrip()
            if name.isdigit() and before.endswith(",") and before[-2:-1].isdigit():
                raise Problem(start, "A number is parted by a comma.", "Write a point: 0.05.")
            raise Problem(
                self.at, f"After '{name}' no '=' comes.", f"Write: {name} = 'text' or a number."
            )
        self.at += 1
        self.skip(_BLANK)
        path = (*table, *(key for key, _ in keys))
        for length in range(len(table) + 1, len(path)):
            self.positions.entries.setdefault(path[:length], Entry(start, start, start, "table"))
        self.value(path, keys[-1][1], depth=depth + len(keys))

    def value(self, path: Path, key_at: int, *, depth: int) -> None:
        """A value, noted under its path; ``depth`` counts the levels around it."""
        if depth > MAX_DEPTH:
            raise self.too_deep(self.at)
        start = self.at
        sign = self.peek()
        if sign in {"'", '"'}:
            self.note(path, self.quoted(key_at, start))
        elif sign == "[":
            self.array(path, key_at, depth=depth)
        elif sign == "{":
            self.inline_table(path, key_at, depth=depth)
        else:
            self.skip(_PLAIN)
            end = start + len(self.text[start : self.at].rstrip())
            if end == start:
                raise Problem(start, "A value is missing.", "Texts stand between ' and '.")
            self.at = end
            self.note(path, Entry(key_at, start, end, "plain"))

    def quoted(self, key_at: int, start: int) -> Entry:
        quote = self.peek()
        triple = self.peek(3) == quote * 3
        length = 3 if triple else 1
        content = start + length
        if triple and self.text[content : content + 1] == "\n":
            content += 1
        inside = _INSIDE[quote * length].match(self.text, content)
        end = inside.end() if inside else content
        if self.text[end : end + length] != quote * length:
            raise Problem(
                start,
                "The text is not closed.",
                f"Write {quote * length} at its end."
                if triple
                else "Close it on the same line, or write it between ''' and '''.",
            )
        self.at = end + length
        # Up to two more quotes belong to the text itself.
        while triple and self.peek() == quote and self.at - end < 5:
            self.at += 1
        return Entry(key_at, start, self.at, "literal" if quote == "'" else "basic", content)

    def array(self, path: Path, key_at: int, *, depth: int) -> None:
        start = self.at
        self.at += 1
        number = 0
        while True:
            self.skip(_GAP)
            if self.peek() == "]":
                self.at += 1
                break
            if self.at >= len(self.text):
                raise Problem(start, "The list is not closed.", "Write ']' at its end.")
            self.value((*path, number), self.at, depth=depth + 1)
            number += 1
            self.skip(_GAP)
            if self.peek() == ",":
                self.at += 1
            elif self.peek() != "]":
                raise Problem(
                    self.at,
                    "In the list a comma is missing." if self.peek() else "The list is not closed.",
                    "Part the values with commas and close the list with ']'.",
                )
        self.note(path, Entry(key_at, start, self.at, "array"))

    def inline_table(self, path: Path, key_at: int, *, depth: int) -> None:
        start = self.at
        self.at += 1
        self.skip(_BLANK)
        if self.peek() == "}":
            self.at += 1
            self.note(path, Entry(key_at, start, self.at, "table"))
            return
        while True:
            self.skip(_BLANK)
            if self.peek() in {"\n", "#", ""}:
                raise Problem(
                    self.at, "The { … } goes over the line's end.", "Write it on one line."
                )
            self.key_and_value(path, depth=depth + 1)
            self.skip(_BLANK)
            if self.peek() == ",":
                self.at += 1
                continue
            if self.peek() == "}":
                self.at += 1
                self.note(path, Entry(key_at, start, self.at, "table"))
                return
            raise Problem(
                self.at,
                "In the { … } a comma or '}' is missing.",
                "Part the keys with commas and close with '}', all on one line.",
            )
