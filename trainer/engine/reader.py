"""An author's exercise block: read whole, with every finding at once, or made into a definition.

``read_block`` never raises for what an author wrote. A block with an error among its findings gives
no exercise; remarks do not keep it back.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any, cast

from trainer.canonical import Plain, digest, sha256_hex
from trainer.engine import reader_errors as wrong
from trainer.engine.definition import (
    Act,
    Before,
    Exercise,
    Find,
    Given,
    Kind,
    MethodLine,
    Option,
    Slip,
    Stakes,
)
from trainer.engine.formula import computing
from trainer.engine.positions import Path
from trainer.engine.reader_asked import Symbols
from trainer.engine.reader_block import TOP_KEYS, Block
from trainer.engine.reader_calculation import (
    check_all_used,
    read_conditions,
    read_finds,
    read_method,
    read_slips,
)
from trainer.engine.reader_choices import read_acts, read_options
from trainer.engine.reader_given import read_givens
from trainer.engine.reader_wording import check_wording
from trainer.findings import Finding, has_errors, worst_first

MAX_SITUATION = 6_000
_ID = re.compile(r"M[0-9]{2}-E[0-9]{1,3}")
_FENCE = re.compile(r"(`{3,}|~{3,})[ \t]*([A-Za-z-]*)[ \t]*")
_KIND_KEYS = {
    Kind.CALCULATION: ("find", "method", "slips", "accept", "plausible", "safe_side", "strict"),
    Kind.PICK: ("pick", "options"),
    Kind.ORDER: ("acts", "before"),
}
_TELLING_KEYS = {
    Kind.CALCULATION: ("find", "method"),
    Kind.PICK: ("options", "pick"),
    Kind.ORDER: ("acts", "before"),
}


def read_block(
    text: str, *, file: str = "", line: int = 1, shipped: Mapping[str, bytes] | None = None
) -> tuple[Exercise | None, tuple[Finding, ...]]:
    """Read the body of one ``exercise`` block.

    Args:
        text: the TOML between the fences.
        file: the file's name, for the findings.
        line: the line of the file on which the body begins.
        shipped: the module's data files by name, for columns.

    Returns:
        The exercise, or ``None`` when a finding is an error; and all findings, worst first.
    """
    block = Block(text, file=file, line=line, shipped=shipped or {})
    exercise = None
    if block.read():
        exercise = computing(lambda: _exercise(block))
    findings = worst_first(block.findings)
    return (None if has_errors(findings) else exercise), findings


def read_blocks_in(markdown_text: str, *, file: str = "") -> list[tuple[str, int]]:  # noqa: ARG001
    r"""Every ``exercise`` block of a Markdown text: its body and the line where the body begins.

    A block that is never closed goes to the end of the text.

    Example:
        >>> read_blocks_in("# Sheet\n```exercise\nid = 'M01-E1'\n```\n")
        [("id = 'M01-E1'\n", 3)]
    """
    return list(_blocks(markdown_text.replace("\r\n", "\n").split("\n")))


def _blocks(lines: list[str]) -> Iterator[tuple[str, int]]:
    fence = ""
    is_exercise = False
    body: list[str] = []
    first = 0
    for number, line in enumerate(lines, start=1):
        opened = _FENCE.fullmatch(line) if not fence else None
        if opened:
            fence, is_exercise = opened.group(1), opened.group(2) == "exercise"
            body, first = [], number + 1
        elif fence and line.strip().startswith(fence) and not line.strip().strip(fence[0]):
            if is_exercise:
                yield "".join(f"{part}\n" for part in body), first
            fence = ""
        elif fence:
            body.append(line)
    if fence and is_exercise:
        yield "\n".join(body), first


def _exercise(block: Block) -> Exercise | None:
    block.known_keys((), TOP_KEYS, "of an exercise")
    block.take_out_misplaced(("given", "hidden", "derived", "find", "method"))
    exercise_id = block.take_text(("id",), example="id = 'M06-E2'", where="The exercise")
    if exercise_id is not None and not _ID.fullmatch(exercise_id):
        block.note(wrong.bad_id, ("id",), text=exercise_id)
    title = block.take_text(("title",), example="title = '…'", where="The exercise")
    situation = block.take_text(
        ("situation",),
        example="situation = '''…'''",
        where="The exercise",
        limit=MAX_SITUATION,
    )
    stakes = cast("Stakes", block.take_choice(("stakes",), ("none", "quality", "safety"), "none"))
    kind = _kind(block)
    symbols = Symbols()
    givens = read_givens(block, symbols)
    later = {*block.keys(("method",)), *block.keys(("find",))}
    conditions = read_conditions(block, symbols, later)
    asked = _Asked.read(block, kind, stakes, givens, symbols)
    worked = _worked(block, kind)
    _check_texts(block, symbols)
    if kind is None:
        return None
    return Exercise(
        id=exercise_id or "",
        title=title or "",
        kind=kind,
        situation=situation or "",
        source=block.text,
        hash=_hash(block),
        stakes=stakes,
        topic=block.take_text(("topic",), example="topic = 'duty'") or "",
        hazards=block.take_texts(("hazards",), example="hazards = ['H02']"),
        shows=block.take_texts(("shows",), example="shows = ['C09.3']"),
        givens=givens,
        conditions=conditions,
        finds=asked.finds,
        method=asked.method,
        slips=asked.slips,
        worked=worked,
        pick=asked.pick,  # type: ignore[arg-type]
        options=asked.options,
        acts=asked.acts,
        before=asked.before,
        few_draws=block.take_text(("few_draws",), example="few_draws = 'why'", limit=600) or "",
        lines=_lines(block),
        file=block.file,
    )


def _kind(block: Block) -> Kind | None:
    """The one kind of the block; keys of another kind are findings."""
    kinds = [kind for kind, keys in _TELLING_KEYS.items() if any(block.has((key,)) for key in keys)]
    if not kinds:
        block.note(wrong.no_kind, ("id",), at_key=True, text="")
        return None
    kind = kinds[0]
    for other, keys in _KIND_KEYS.items():
        for key in keys:
            if other is not kind and block.has((key,)):
                block.note(wrong.two_kinds, (key,), at_key=True, name=key, kind=kind, text=key)
    return kind


class _Asked:
    """What the block asks for, by kind."""

    finds: tuple[Find, ...] = ()
    method: tuple[MethodLine, ...] = ()
    slips: tuple[Slip, ...] = ()
    pick: str = ""
    options: tuple[Option, ...] = ()
    acts: tuple[Act, ...] = ()
    before: tuple[Before, ...] = ()

    @classmethod
    def read(
        cls,
        block: Block,
        kind: Kind | None,
        stakes: Stakes,
        givens: tuple[Given, ...],
        symbols: Symbols,
    ) -> _Asked:
        asked = cls()
        if kind is Kind.PICK:
            asked.pick, asked.options = read_options(block)
        elif kind is Kind.ORDER:
            asked.acts, asked.before = read_acts(block)
        elif kind is Kind.CALCULATION:
            asked.finds = read_finds(block, stakes)
            if not block.has(("find",)):
                block.note(wrong.key_missing, ("method",), where="The exercise", name="find",
                           example="[find] with t = { what = '…', unit = 's' }")  # fmt: skip
            asked.method = read_method(block, asked.finds, givens, symbols)
            asked.slips = read_slips(block, asked.finds, asked.method, symbols)
            check_all_used(block, givens, asked.method, asked.finds, symbols)
        return asked


def _worked(block: Block, kind: Kind | None) -> str:
    where = "The calculation" if kind is Kind.CALCULATION else ""
    example = "worked = '''…''' with the way and its values"
    return block.take_text(("worked",), example=example, where=where, limit=MAX_SITUATION) or ""


def _check_texts(block: Block, symbols: Symbols) -> None:
    """Placeholders: before the sheet is closed only what is shown, afterwards everything."""
    opened: list[Path] = [("title",), ("situation",)]
    closed: list[Path] = [("worked",)]
    for table in ("given", "derived", "find"):
        opened += [(table, name, "what") for name in block.keys((table,))]
    closed += [("method", name, "what") for name in block.keys(("method",))]
    for table, open_key, closed_key in (
        ("slips", "", "remark"),
        ("options", "text", "remark"),
        ("acts", "text", ""),
        ("before", "", 2),
    ):
        rows = block.get((table,))
        for number in range(len(rows) if isinstance(rows, list) else 0):
            opened.append((table, number, open_key))
            closed.append((table, number, closed_key))
    for path in opened:
        check_wording(block, path, symbols, is_open=True)
    for path in closed:
        check_wording(block, path, symbols, is_open=False)


def _hash(block: Block) -> str:
    """The identity of a block: its values in the order written, not its spacing or comments."""
    files = {name: sha256_hex(content) for name, content in sorted(block.used_files.items())}
    canonical: dict[str, Plain] = {"exercise": _ordered(block.data)}
    if files:
        canonical["files"] = files
    return digest(canonical)


def _ordered(value: Any) -> Plain:  # noqa: ANN401 - whatever TOML holds
    """A table as a list of pairs, because the order of givens decides the draw."""
    if isinstance(value, dict):
        return [[key, _ordered(item)] for key, item in value.items()]
    if isinstance(value, list):
        return [_ordered(item) for item in value]
    if isinstance(value, Decimal):
        return {"number": str(value)}
    if isinstance(value, (str, bool)):
        return value
    return {"other": str(value)}


def _lines(block: Block) -> dict[str, tuple[int, int]]:
    """Line and column in the file of every key, by dotted path: 'slips.0.value', 'find.t'."""
    shift = block.first_line - 1
    places = {}
    for path in block.positions.entries:
        line, column = block.positions.key_place(path)
        places[".".join(map(str, path))] = (line + shift, column)
    return places
