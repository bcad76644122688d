"""One exercise block on its way to a definition: its values, their places, and the findings."""

from __future__ import annotations

import tomllib
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from typing import Any

from trainer.engine import reader_errors as wrong
from trainer.engine.formula import Formula, FormulaError, compile_formula
from trainer.engine.positions import Path, Positions, Problem, scan
from trainer.engine.reader_toml import refusal_of
from trainer.engine.spelling import meant
from trainer.errors import CATALOGUE, InputError
from trainer.findings import Finding, Severity
from trainer.maths.units import Unit, parse_unit

MAX_BYTES = 64 * 1024
MAX_FINDINGS = 100
MAX_DIGITS = 28
MAX_POWER_OF_TEN = 30
TOP_KEYS = (
    "id", "title", "situation", "accept", "plausible", "safe_side", "strict", "stakes", "hazards",
    "shows", "topic", "few_draws", "worked", "only_when", "given", "hidden", "derived", "find",
    "method", "slips", "pick", "options", "acts", "before",
)  # fmt: skip
# Signs that change how the text around them is read, without being seen themselves.
_UNSEEN = frozenset("\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff")
_NOTHING: Any = object()


class Block:
    """The values of a block by path, and what is wrong with them.

    Every ``take_…`` method gives a value of the asked type or notes a finding and gives ``None``,
    so that reading goes on and all findings come at once.
    """

    def __init__(self, text: str, *, file: str, line: int, shipped: Mapping[str, bytes]) -> None:
        self.text = unicodedata.normalize("NFC", text.replace("\r\n", "\n"))
        self.file = file
        self.first_line = line
        self.shipped = shipped
        self.used_files: dict[str, bytes] = {}
        self.findings: list[Finding] = []
        self.positions = Positions("")
        self.data: dict[str, Any] = {}
        self.unusable: set[Path] = set()
        self.misplaced: set[str] = set()

    # Reading the text

    def read(self) -> bool:
        """Read the TOML text; whether there is something to go on with."""
        size = len(self.text.encode("utf-8", "surrogatepass"))
        if size > MAX_BYTES:
            self._at(1, 1, wrong.block_too_large, "", size=size, limit=MAX_BYTES)
            return False
        try:
            self.positions = scan(self.text)
            if not self.positions.duplicates:
                self.data = tomllib.loads(self.text, parse_float=Decimal)
        except Problem as problem:
            line, column = Positions(self.text).place(problem.offset)
            self._at(line, column, wrong.not_toml, self._line_text(line), what=problem.what,
                     cure=problem.cure)  # fmt: skip
            return False
        except (tomllib.TOMLDecodeError, ValueError, RecursionError) as refused:
            self._refused(str(refused))
            return False
        for twice in self.positions.duplicates[: MAX_FINDINGS + 1]:
            line, column = self.positions.place(twice.offset)
            first, _ = self.positions.place(twice.first)
            self._at(line, column, wrong.key_twice, twice.name, name=twice.name,
                     first=first + self.first_line - 1)  # fmt: skip
        if self.positions.duplicates:
            return False
        self.data = {key: self._plain(value, (key,)) for key, value in self.data.items()}
        return True

    def _refused(self, message: str) -> None:
        refusal = refusal_of(message, self.text)
        text = self._line_text(refusal.line)
        fields = {"shown": refusal.what, "what": refusal.what, "cure": refusal.cure}
        code = wrong.unseen_character if refusal.is_unseen else wrong.not_toml
        self._at(refusal.line, refusal.column, code, text, **fields)

    def _line_text(self, line: int) -> str:
        lines = self.text.split("\n")
        return lines[line - 1].strip()[:60] if line <= len(lines) else ""

    def _plain(self, value: Any, path: Path) -> Any:  # noqa: ANN401 - whatever TOML holds
        """Numbers as decimals, bounds kept, unseen characters found."""
        if isinstance(value, dict):
            return {key: self._plain(item, (*path, key)) for key, item in value.items()}
        if isinstance(value, list):
            return [self._plain(item, (*path, number)) for number, item in enumerate(value)]
        if isinstance(value, str):
            self._look_for_unseen(value, path)
            return value
        if isinstance(value, int) and not isinstance(value, bool):
            value = Decimal(value)
        if isinstance(value, Decimal):
            return self._number(value, path)
        return value

    def _number(self, value: Decimal, path: Path) -> Decimal:
        if not value.is_finite():
            self.note(wrong.not_finite, path)
            self.unusable.add(path)
            return Decimal(1)
        digits = len(value.as_tuple().digits)
        if digits > MAX_DIGITS or abs(value.adjusted()) > MAX_POWER_OF_TEN:
            self.note(wrong.number_beyond, path)
            self.unusable.add(path)
            return Decimal(1)
        return value

    def _look_for_unseen(self, text: str, path: Path) -> None:
        entry = self.positions.entries.get(path)
        escapes = entry is not None and entry.kind == "basic"
        for at, sign in enumerate(text):
            if sign == "\n" or (sign == "\t" and not escapes):
                continue
            if unicodedata.category(sign) == "Cc" or sign in _UNSEEN:
                self.note(wrong.unseen_character, path, offset=at, shown=f"U+{ord(sign):04X}",
                          text=self.positions.source(path))  # fmt: skip
                return

    # Findings

    def note(
        self,
        code: str,
        path: Path,
        *,
        offset: int | None = None,
        severity: Severity = "error",
        at_key: bool = False,
        **fields: object,
    ) -> None:
        """Note a finding at a value, at a character of it, or at its key."""
        entry = self.positions.entry(path)
        if at_key or (entry is not None and entry.kind == "table" and offset is None):
            line, column = self.positions.key_place(path)
        else:
            line, column = self.positions.value_place(path, offset)
        text = str(fields.pop("text", self.positions.source(path)))
        self._at(line, column, code, text, severity, **fields)

    def _at(
        self,
        line: int,
        column: int,
        code: str,
        text: str,
        severity: Severity = "error",
        /,
        **fields: object,
    ) -> None:
        if len(self.findings) == MAX_FINDINGS:
            code, severity, fields = wrong.more_findings, "error", {"limit": MAX_FINDINGS}
        elif len(self.findings) > MAX_FINDINGS:
            return
        fields.setdefault("text", text)
        row = CATALOGUE[code]
        self.findings.append(
            Finding(
                file=self.file,
                line=line + self.first_line - 1,
                column=column,
                severity=severity,
                code=code,
                message=row.sentence.format_map(fields),
                cure=row.cure.format_map(fields),
                text=text,
            )
        )

    def has_error_at(self, path: Path) -> bool:
        """Whether a finding stands already at this path's place."""
        line, column = self.positions.value_place(path)
        place = (line + self.first_line - 1, column)
        return any((finding.line, finding.column) == place for finding in self.findings)

    # Taking values

    def get(self, path: Path) -> Any:  # noqa: ANN401 - whatever TOML holds
        """The value at a path, or a mark that there is none."""
        value: Any = self.data
        for part in path:
            inside = (isinstance(value, dict) and part in value) or (
                isinstance(value, list) and isinstance(part, int) and part < len(value)
            )
            if not inside:
                return _NOTHING
            value = value[part]
        return value

    def has(self, path: Path) -> bool:
        """Whether a key is there."""
        return self.get(path) is not _NOTHING

    def keys(self, path: Path) -> list[str]:
        """The keys of a table in the order written; none when it is no table."""
        value = self.get(path)
        return list(value) if isinstance(value, dict) else []

    def known_keys(self, path: Path, known: Iterable[str], where: str) -> set[str]:
        """Note every key of a table that is not known there; give the keys that were meant."""
        intended: set[str] = set()
        names = tuple(known)
        for key in self.keys(path):
            if key in names or len(self.findings) > MAX_FINDINGS:
                continue
            close = meant(key, names)
            intended.add(close)
            if path and not close and self.is_misplaced((*path, key)):
                continue
            cure = f"Did you mean {close}?" if close else f"Known here: {', '.join(names)}."
            self.note(wrong.unknown_key, (*path, key), at_key=True, name=key, where=where,
                      cure=cure, text=key)  # fmt: skip
        return intended

    def is_misplaced(self, path: Path) -> bool:
        """Whether a key of the whole exercise stands in a table; if so, say so."""
        key = str(path[-1])
        if key not in TOP_KEYS or isinstance(self.get(path), dict):
            return False
        self.misplaced.add(key)
        self.note(wrong.misplaced_key, path, at_key=True, name=key, table=path[0], text=key)
        return True

    def take_out_misplaced(self, tables: Iterable[str]) -> None:
        """Note keys of the whole exercise among the symbols of a table, and take them out."""
        for table in tables:
            for key in self.keys((table,)):
                if self.is_misplaced((table, key)):
                    del self.data[table][key]

    def take_text(
        self, path: Path, *, example: str, where: str = "", limit: int = 200
    ) -> str | None:
        """A text; with ``where`` it must be there."""
        value = self.get(path)
        name = path[-1]
        if value is _NOTHING:
            if where:
                self.note(wrong.key_missing, path[:-1], where=where, name=name, example=example)
            return None
        if not isinstance(value, str):
            self.note(wrong.wrong_type, path, name=name, wanted="a text", example=example)
            return None
        if not value.strip():
            self.note(wrong.text_empty, path, name=name, example=example)
            return None
        if len(value) > limit:
            self.note(wrong.too_many, path, what=f"'{name}'", count=f"{len(value)} letters",
                      limit=limit)  # fmt: skip
            return None
        return value

    def take_choice(self, path: Path, choices: tuple[str, ...], default: str) -> str:
        """One of a few words."""
        if not self.has(path):
            return default
        value = self.get(path)
        if value in choices and isinstance(value, str):
            return value
        named = " or ".join(f"'{choice}'" for choice in choices)
        self.note(
            wrong.bad_choice, path, name=path[-1], text=str(value)[:40], cure=f"Write {named}."
        )
        return default

    def take_flag(self, path: Path, *, default: bool = False) -> bool:
        """True or false."""
        if not self.has(path):
            return default
        value = self.get(path)
        if isinstance(value, bool):
            return value
        self.note(wrong.wrong_type, path, name=path[-1], wanted="true or false",
                  example=f"{path[-1]} = true")  # fmt: skip
        return default

    def take_number(self, path: Path, *, where: str = "", example: str = "") -> Decimal | None:
        """An exact number; with ``where`` it must be there."""
        value = self.get(path)
        example = example or f"{path[-1]} = 12.5"
        if value is _NOTHING:
            if where:
                self.note(wrong.key_missing, path[:-1], where=where, name=path[-1],
                          example=example)  # fmt: skip
            return None
        if path in self.unusable:
            return None
        if isinstance(value, Decimal):
            return value
        self.note(wrong.wrong_type, path, name=path[-1], wanted="a number", example=example)
        return None

    def take_texts(self, path: Path, *, example: str, limit: int = 40) -> tuple[str, ...]:
        """A list of short texts."""
        if not self.has(path):
            return ()
        value = self.get(path)
        if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
            self.note(wrong.wrong_type, path, name=path[-1], wanted="a list of texts",
                      example=example)  # fmt: skip
            return ()
        if len(value) > limit:
            self.note(wrong.too_many, path, what=f"'{path[-1]}'", count=len(value), limit=limit)
            return ()
        return tuple(value)

    def take_unit(self, path: Path) -> Unit | None:
        """A unit; a missing one is the bare number, a wrong one a finding and ``None``."""
        if not self.has(path):
            return parse_unit("")
        value = self.get(path)
        if not isinstance(value, str):
            self.note(wrong.wrong_type, path, name=path[-1], wanted="a text",
                      example="unit = 'g/s'")  # fmt: skip
            return None
        try:
            return parse_unit(value)
        except InputError as refused:
            self.note(wrong.bad_unit, path, text=value, why=str(refused), cure=refused.cure)
            return None

    def take_formula(self, path: Path, *, example: str, bare: bool = False) -> Formula | None:
        """A formula; its problem is noted at its own character."""
        value = self.take_text(path, example=example, where=_where(path), limit=4000)
        if value is None:
            return None
        try:
            return compile_formula(value, bare=bare)
        except FormulaError as refused:
            self.note_formula(path, refused)
            return None

    def note_formula(self, path: Path, problem: FormulaError) -> None:
        """Note what is wrong inside a formula, at its place in the file."""
        line, column = self.positions.value_place(path, problem.column - 1)
        fields = {key: value for key, value in problem.fields.items() if key != "column"}
        text = str(fields.pop("text", "") or self.positions.source(path))
        self._at(line, column, problem.code, text, "error", **fields)

    def take_tables(self, path: Path, *, example: str, limit: int = 40) -> Iterator[Path]:
        """The paths of an array of tables."""
        if not self.has(path):
            return
        value = self.get(path)
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            self.note(wrong.wrong_type, path, name=path[-1], wanted="a row of tables",
                      example=example)  # fmt: skip
            return
        if len(value) > limit:
            self.note(wrong.too_many, path, what=f"[[{path[-1]}]]", count=len(value), limit=limit)
            return
        for number in range(len(value)):
            yield (*path, number)

    def take_table(self, path: Path, *, limit: int = 60) -> list[str]:
        """The keys of a table, which may be missing."""
        if not self.has(path):
            return []
        if not isinstance(self.get(path), dict):
            self.note(wrong.wrong_type, path, name=path[-1], wanted="a table",
                      example=f"[{path[-1]}] on a line of its own")  # fmt: skip
            return []
        keys = self.keys(path)
        if len(keys) > limit:
            self.note(wrong.too_many, path, what=f"[{path[-1]}]", count=len(keys), limit=limit)
            return []
        return keys


def _where(path: Path) -> str:
    return f"'{path[-2]}'" if len(path) > 1 and isinstance(path[-2], str) else "The entry"
