"""A small table of keys an author wrote: each key asked for by name and kind, problems collected.

Every block and header of the library reads its TOML through a ``Table``. A key of the wrong kind, a
missing one and one that nobody asked for are findings at their own line and column; the reader goes
on with a stand-in value, so that all problems of all keys are told at once.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TypeVar

from trainer.errors import CATALOGUE
from trainer.findings import Finding
from trainer.library.problems import did_you_mean, finding, listed, problem, shortened

MISSING = problem("LIB-111", "The key '{key}' is missing.", "Write {example}.")
WRONG_KIND = problem("LIB-112", "'{key}' must be {kind}.", "Write {example}.")
UNKNOWN_KEY = problem("LIB-113", "There is no key '{key}' here.", "{cure}")
NOT_ONE_OF = problem("LIB-114", "'{key}' cannot be '{text}'.", "{cure}")
OUT_OF_RANGE = problem(
    "LIB-115", "'{key}' is {text}.", "Write a whole number from {low} to {high}."
)
EMPTY_TEXT = problem("LIB-116", "'{key}' is empty.", "Write {example}, or leave the key out.")
TWICE = problem("LIB-117", "'{text}' stands in '{key}' twice.", "Leave one out.")

MOST_UNKNOWN = 20  # of one table; more of the same helps nobody
Key = str | int
Place = Callable[[tuple[Key, ...]], tuple[int, int]]
Word = TypeVar("Word", bound=str)


@dataclass(slots=True)
class Table:
    """One table: its values, where each stands, and the findings about them."""

    values: Mapping[str, object]
    place: Place
    file: str
    findings: list[Finding]
    path: tuple[Key, ...] = ()
    asked: set[str] = field(default_factory=set)

    def at(self, key: str | None = None, *inner: Key) -> tuple[int, int]:
        """Line and column of a key of this table, or of the table itself."""
        path = self.path if key is None else (*self.path, key, *inner)
        return self.place(path)

    def note(self, code: str, key: str | None, *, text: str = "", **fields: object) -> None:
        """Add a finding at a key of this table; without a key, at the table."""
        line, column = self.at(key if key in self.values else None)
        row = CATALOGUE[code]
        shown = shortened(text)
        named = {"key": key, "text": shown} | fields
        message, cure = row.sentence.format_map(named), row.cure.format_map(named)
        self.findings.append(Finding(self.file, line, column, "error", code, message, cure, shown))

    def has(self, key: str) -> bool:
        """Whether the author wrote this key."""
        return key in self.values

    def text(self, key: str, example: str, *, required: bool = True) -> str:
        """A text with at least one sign in it; empty where it is missing."""
        value = self._value(key, example, required=required)
        if value is None:
            return ""
        if not isinstance(value, str):
            self.note(WRONG_KIND, key, kind="a text in quotes", example=f"{key} = {example}")
            return ""
        if not value.strip():
            self.note(EMPTY_TEXT, key, example=f"{key} = {example}")
        return value.strip()

    def texts(self, key: str, example: str, *, required: bool = False) -> tuple[str, ...]:
        """A list of texts, each once."""
        value = self._value(key, example, required=required)
        if value is None:
            return ()
        if not isinstance(value, list) or not all(isinstance(entry, str) for entry in value):
            self.note(WRONG_KIND, key, kind="a list of texts", example=f"{key} = {example}")
            return ()
        for entry, times in Counter(value).items():
            if times > 1:
                self.note(TWICE, key, text=entry)
        return tuple(dict.fromkeys(entry.strip() for entry in value))

    def whole(self, key: str, *, low: int, high: int, default: int | None = None) -> int:
        """A whole number in a range; required where there is no default."""
        value = self._value(key, str(low), required=default is None)
        if value is None:
            return low if default is None else default
        if not isinstance(value, Decimal) or value != value.to_integral_value():
            self.note(WRONG_KIND, key, kind="a whole number", example=f"{key} = {low}")
            return low
        if not low <= value <= high:
            self.note(OUT_OF_RANGE, key, text=str(value), low=low, high=high)
            return low
        return int(value)

    def flag(self, key: str, *, default: bool) -> bool:
        """``true`` or ``false``."""
        value = self._value(key, "true", required=False)
        if value is None:
            return default
        if not isinstance(value, bool):
            self.note(WRONG_KIND, key, kind="true or false", example=f"{key} = true")
            return default
        return value

    def one_of(self, key: str, words: Collection[Word], *, default: Word) -> Word:
        """One of a few words; required."""
        written = self.text(key, f"'{default}'")
        for word in words:
            if word == written:
                return word
        if written:
            cure = did_you_mean(written, words, otherwise=f"Write {listed(words)}.")
            self.note(NOT_ONE_OF, key, text=written, cure=cure)
        return default

    def some_of(self, key: str, words: Collection[Word]) -> tuple[Word, ...]:
        """A list that holds some of a few words."""
        kept: list[Word] = []
        for number, written in enumerate(self.texts(key, f"['{next(iter(words))}']")):
            known = [word for word in words if word == written]
            if known:
                kept.extend(known)
                continue
            cure = did_you_mean(written, words, otherwise=f"Write {listed(words)}.")
            line, column = self.at(key, number)
            found = finding(NOT_ONE_OF, self.file, line, column, text=written, key=key, cure=cure)
            self.findings.append(found)
        return tuple(kept)

    def inner(self, key: str) -> Table | None:
        """A table within this one."""
        value = self._value(key, "", required=False)
        if value is None:
            return None
        if not isinstance(value, Mapping):
            self.note(WRONG_KIND, key, kind="a table", example=f"[{key}] on a line of its own")
            return None
        return self._child(value, (*self.path, key))

    def rows(self, key: str) -> tuple[Table, ...]:
        """Tables that stand one after the other under ``[[key]]``; at least one is required."""
        value = self._value(key, "", required=False)
        if value is None:
            self.note(MISSING, key, example=f"[[{key}]] on a line of its own")
            return ()
        if not isinstance(value, list) or not all(isinstance(row, Mapping) for row in value):
            self.note(WRONG_KIND, key, kind="a list of tables", example=f"[[{key}]] on a line")
            return ()
        return tuple(
            self._child(row, (*self.path, key, number)) for number, row in enumerate(value)
        )

    def amounts(self, *, low: int, high: int) -> dict[str, int]:
        """Every key of this table with its whole number."""
        return {key: self.whole(key, low=low, high=high) for key in self.values}

    def close(self) -> None:
        """Find fault with every key that nobody asked for."""
        known = sorted(self.asked)
        unknown = [key for key in self.values if key not in self.asked]
        for key in unknown[:MOST_UNKNOWN]:
            cure = did_you_mean(key, known, otherwise=f"Known keys: {', '.join(known)}.")
            self.note(UNKNOWN_KEY, key, text=key, cure=cure)

    def _value(self, key: str, example: str, *, required: bool) -> object | None:
        self.asked.add(key)
        value = self.values.get(key)
        if value is None and required:
            self.note(MISSING, key, example=f"{key} = {example}")
        return value

    def _child(self, value: Mapping[str, object], path: tuple[Key, ...]) -> Table:
        return Table(value, self.place, self.file, self.findings, path)
