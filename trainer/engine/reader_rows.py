"""Quantities that are rows of numbers: drawn readings, a column of shipped data, a run log."""

from __future__ import annotations

import csv
import datetime
import io
import re
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from trainer.engine import reader_errors as wrong
from trainer.engine.definition import Given, RunLog, Sample
from trainer.engine.formula import Formula
from trainer.engine.reader_asked import MAX_PLACES, Asked, Symbols, places_of
from trainer.engine.reader_units import require_number, sort_in
from trainer.engine.rows import run_count
from trainer.engine.spelling import meant
from trainer.errors import InputError
from trainer.maths.quantity import read_number
from trainer.maths.units import Unit, dimension_name, parse_unit

if TYPE_CHECKING:
    from trainer.engine.positions import Path
    from trainer.engine.reader_block import Block

LEAST_READINGS, MOST_READINGS = 2, 60
MOST_ROWS = 2_000
MOST_DATA_BYTES = 256 * 1024
MOST_RUNS = 1_000
LONGEST_LOG_H = 24
_HEADER = re.compile(r"\s*([^\[\]]+?)\s*(?:\[([^\[\]]*)\])?\s*")
_CLOCK = re.compile(r"([01][0-9]|2[0-3]):([0-5][0-9])")


# Drawn readings


def read_sample(asked: Asked) -> dict[str, Any] | None:
    """``readings = 10, about = 18.0, spread = 0.2, step = 0.1``."""
    block, name = asked.block, asked.name
    example = f"{name} = {{ readings = 10, about = 18.0, spread = 0.2, step = 0.1, … }}"
    count, step = (
        block.take_number(asked.at(key), where=f"'{name}'", example=example)
        for key in ("readings", "step")
    )
    about, spread = (_number_or_formula(asked, key, example) for key in ("about", "spread"))
    if count is None or step is None or about is None or spread is None:
        return None
    key, why, cure = "", "", ""
    if count != count.to_integral_value() or not LEAST_READINGS <= count <= MOST_READINGS:
        key, why = "readings", f"their number is not {LEAST_READINGS} to {MOST_READINGS}"
        cure = "Write readings = 10."
    elif step <= 0 or places_of(step) > MAX_PLACES:
        key, why, cure = "step", "the display step is not above zero", "Write step = 0.1."
    elif isinstance(spread, Decimal) and spread <= 0:
        key, why, cure = "spread", "the spread is not above zero", "Write spread = 0.2."
    if why:
        block.note(wrong.bad_sample, asked.at(key), name=name, why=why, cure=cure)
        return None
    return {"sample": Sample(int(count), about, spread, step), "places": places_of(step)}


def _number_or_formula(asked: Asked, key: str, example: str) -> Decimal | Formula | None:
    if isinstance(asked.block.get(asked.at(key)), str):
        formula = asked.block.take_formula(asked.at(key), example=example)
        asked.symbols.use(formula)
        return formula
    return asked.block.take_number(asked.at(key), where=f"'{asked.name}'", example=example)


def check_sample(block: Block, given: Given, symbols: Symbols) -> None:
    """Unit-check the formulas behind drawn readings, once every drawn symbol is known."""
    assert given.sample is not None
    numbers = {name: sort for name, sort in symbols.sorts.items() if sort.shape == "number"}
    known = Symbols(numbers, symbols.units, symbols.tables)
    for key, part in (("about", given.sample.about), ("spread", given.sample.spread)):
        if not isinstance(part, Formula):
            continue
        path = (symbols.tables[given.symbol], given.symbol, key)
        rows = sorted(part.names & symbols.tables.keys() - numbers.keys())
        if rows:
            block.note(
                wrong.bad_sample,
                path,
                name=given.symbol,
                why=f"'{rows[0]}' is not one drawn number",
                cure="Only given and hidden numbers stand behind readings.",
                text=part.source,
            )
            continue
        sort = sort_in(block, path, part, known)
        if sort is None or not require_number(block, path, part, sort):
            continue
        is_point = given.unit.is_point and key == "about"
        if sort.dimension != given.unit.dimension or sort.point != is_point:
            told = "K" if given.unit.is_point and not is_point else given.unit.symbol
            block.note(
                wrong.result_unit,
                path,
                source=part.source,
                found=sort.in_words,
                name=f"{key} of '{given.symbol}'",
                unit=told or "a bare number",
                dimension=dimension_name(given.unit.dimension),
                cure=f"Write a formula that gives {told or 'a bare number'}.",
                text=part.source,
            )


# Shipped data


def read_column(asked: Asked) -> dict[str, Any] | None:
    """``column = 'mass', of = 'doses.csv'``: header cells are ``mass [g]``."""
    block, name = asked.block, asked.name
    example = "column = 'mass', of = 'doses.csv'"
    column = block.take_text(asked.at("column"), example=example, where=f"'{name}'")
    file = block.take_text(asked.at("of"), example=example, where=f"'{name}'")
    if column is None or file is None:
        return None
    content = block.shipped.get(file)
    if content is None:
        close = meant(file, block.shipped, nearness=0.4)
        cure = f"Did you mean {close}?" if close else "Put the file into the module's data."
        _refuse(asked, "of", f"the module ships no file {file}", cure)
        return None
    block.used_files[file] = content
    try:
        rows = _rows(content)
    except ValueError as refused:
        _refuse(asked, "of", f"{file}: {refused}", "Write plain text, the cells parted by commas.")
        return None
    heads = [_HEADER.fullmatch(cell) for cell in rows[0]]
    names = [head.group(1) if head else "" for head in heads]
    if column not in names:
        close = meant(column, names, nearness=0.4)
        cure = f"Did you mean {close}?" if close else f"Its columns are: {', '.join(names)}."
        _refuse(asked, "column", f"{file} has no column {column}", cure)
        return None
    place = names.index(column)
    head = heads[place]
    unit = _column_unit(asked, file, (head.group(2) if head else "") or "")
    values = _numbers(asked, file, [row[place] if place < len(row) else "" for row in rows[1:]])
    if unit is None or values is None:
        return None
    return {"column": values, "places": places_of(*values), "unit": unit}


def _rows(content: bytes) -> list[list[str]]:
    if len(content) > MOST_DATA_BYTES:
        msg = f"it has more than {MOST_DATA_BYTES // 1024} KiB"
        raise ValueError(msg)
    try:
        text = content.decode("utf-8-sig")
        rows = [row for row in csv.reader(io.StringIO(text, newline=""), strict=True) if row]
    except (UnicodeDecodeError, csv.Error) as problem:
        msg = "it cannot be read as text in UTF-8 with commas"
        raise ValueError(msg) from problem
    if not 3 <= len(rows) <= MOST_ROWS + 1:
        msg = f"it has {len(rows)} lines, not 3 to {MOST_ROWS + 1}"
        raise ValueError(msg)
    return rows


def _column_unit(asked: Asked, file: str, text: str) -> Unit | None:
    try:
        unit = parse_unit(text)
    except InputError as refused:
        _refuse(asked, "of", f"{file} names the unit {text}: {refused}", refused.cure)
        return None
    if asked.block.has(asked.at("unit")) and asked.unit != unit:
        why = f"{file} holds it in {unit.symbol or 'bare numbers'}"
        _refuse(asked, "unit", why, "Leave the unit out: the file says it.")
        return None
    return unit


def _numbers(asked: Asked, file: str, cells: list[str]) -> tuple[Decimal, ...] | None:
    values = []
    for number, cell in enumerate(cells, start=2):
        try:
            value = read_number(cell)
        except InputError:
            _refuse(asked, "column", f"line {number} of {file} holds '{cell.strip()[:20]}'",
                    "Every cell of the column is a plain number such as 12.5.")  # fmt: skip
            return None
        if places_of(value) > MAX_PLACES or abs(value.adjusted()) > 15:
            _refuse(asked, "column", f"line {number} of {file} has too many digits",
                    "Give as many figures as were measured.")  # fmt: skip
            return None
        values.append(value)
    return tuple(values)


def _refuse(asked: Asked, key: str, why: str, cure: str) -> None:
    asked.block.note(wrong.bad_column, asked.at(key), name=asked.name, why=why, cure=cure)


# Run logs


def read_run_log(asked: Asked) -> dict[str, Any] | None:
    """``run_log = { from = '07:30', hours = 8, busy = 0.2, dose = 12 }``."""
    block, at = asked.block, asked.at("run_log")
    example = "run_log = { from = '07:30', hours = 8, busy = 0.2, dose = 12 }"
    if not isinstance(block.get(at), dict):
        block.note(wrong.wrong_type, at, name="run_log", wanted="a table on one line",
                   example=example)  # fmt: skip
        return None
    block.known_keys(at, ("from", "hours", "busy", "dose"), f"of the run log '{asked.name}'")
    start = _clock(asked, (*at, "from"), example)
    hours, busy, dose = (
        block.take_number((*at, key), where="The run log", example=example)
        for key in ("hours", "busy", "dose")
    )
    if start is None or hours is None or busy is None or dose is None:
        return None
    length = hours * 3600
    key, why, cure = "", "", ""
    if not 0 < hours <= LONGEST_LOG_H or length != length.to_integral_value():
        key, why, cure = "hours", f"it does not last up to {LONGEST_LOG_H} h", "Write hours = 8."
    elif not 0 < busy <= Decimal("0.9"):
        key, why, cure = "busy", "the share on is not above 0 and up to 0.9", "Write busy = 0.2."
    elif dose < 1 or dose != dose.to_integral_value():
        key, why, cure = "dose", "a run does not last whole seconds", "Write dose = 12."
    else:
        runs = run_count(RunLog(start, int(length), busy, int(dose)))
        if not 1 <= runs <= MOST_RUNS or runs * (dose + 1) > length:
            key, why = "busy", f"{runs} runs do not fit in"
            cure = f"Take another share, another dose or other hours: 1 to {MOST_RUNS} runs."
    if why:
        block.note(wrong.bad_run_log, (*at, key), name=asked.name, why=why, cure=cure)
        return None
    log = RunLog(start, int(length), busy, int(dose))
    return {"run_log": log, "places": 0, "unit": parse_unit("s")}


def _clock(asked: Asked, path: Path, example: str) -> int | None:
    value: Any = asked.block.get(path)
    if isinstance(value, datetime.time):
        value = value.isoformat("minutes")
    clock = _CLOCK.fullmatch(value) if isinstance(value, str) else None
    if clock is None:
        asked.block.note(wrong.wrong_type, path, name="from", wanted="a time of day",
                         example=example)  # fmt: skip
        return None
    return int(clock.group(1)) * 3600 + int(clock.group(2)) * 60
