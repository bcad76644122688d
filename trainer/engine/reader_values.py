"""The values of one drawn number: a grid, a list, one fixed value, a date."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

from trainer.engine import reader_errors as wrong
from trainer.engine.definition import Values
from trainer.engine.reader_asked import Asked, shown_places, span
from trainer.engine.rows import date_text
from trainer.maths.units import parse_unit

MAX_LIST = 200


def read_grid(asked: Asked) -> dict[str, Any] | None:
    """``from``, ``to`` and ``step``: evenly spaced values, both ends among them."""
    example = f"{asked.name} = {{ from = 1, to = 9, step = 1, … }}"
    low, high, step = (
        asked.block.take_number(asked.at(key), where=f"'{asked.name}'", example=example)
        for key in ("from", "to", "step")
    )
    if low is None or high is None or step is None:
        return None
    steps = span(asked, low, high, step, lambda value: f"{value:f}")
    places = shown_places(asked, "step", low, high, step)
    if steps is None or places is None:
        return None
    one = Decimal(1).scaleb(-places)
    values = Values(start=low.quantize(one), step=step.quantize(one), count=steps + 1)
    return {"values": values, "places": places}


def read_list(asked: Asked) -> dict[str, Any] | None:
    """``one_of``: the values written, maybe tied to another list."""
    block, at = asked.block, asked.at("one_of")
    value = block.get(at)
    if not isinstance(value, list) or not all(isinstance(item, Decimal) for item in value):
        block.note(
            wrong.wrong_type,
            at,
            name="one_of",
            wanted="a list of numbers",
            example="one_of = [350, 1000]",
        )
        return None
    if any((*at, number) in block.unusable for number in range(len(value))):
        return None
    tied_to = block.take_text(asked.at("tied_to"), example="tied_to = 'A'") or ""
    why, cure = "", ""
    if len(value) < 2:
        why, cure = "it has fewer than two values", "A fixed quantity is written is = 18.0."
    elif len(value) > MAX_LIST:
        why, cure = f"it has more than {MAX_LIST} values", "Use from, to and step."
    elif not tied_to and len(set(value)) < len(value):
        twice = next(item for item in value if value.count(item) > 1)
        why, cure = f"{twice} stands twice in it", "Write each value once."
    if why:
        block.note(wrong.one_of_short, at, name=asked.name, why=why, cure=cure)
        return None
    places = shown_places(asked, "one_of", *value)
    if places is None:
        return None
    one = Decimal(1).scaleb(-places)
    choices = tuple(item.quantize(one) for item in value)
    return {"values": Values(choices=choices), "places": places, "tied_to": tied_to}


def read_fixed(asked: Asked) -> dict[str, Any] | None:
    """``is``: one value."""
    value = asked.block.take_number(asked.at("is"), where=f"'{asked.name}'", example="is = 18.0")
    places = None if value is None else shown_places(asked, "is", value)
    if value is None or places is None:
        return None
    return {"values": Values(choices=(value,)), "places": places}


def read_date(asked: Asked) -> dict[str, Any] | None:
    """``date = 2026-03-02``, or a span of dates with a step of days."""
    block, at = asked.block, asked.at("date")
    if isinstance(block.get(at), dict):
        block.known_keys(at, ("from", "to", "step"), f"of the date '{asked.name}'")
        low, high = (_day(asked, (*at, key)) for key in ("from", "to"))
        step = block.take_number((*at, "step")) if block.has((*at, "step")) else Decimal(1)
        if low is None or high is None or step is None:
            return None
        inner = Asked(block, at, asked.unit, asked.symbols)
        steps = span(inner, low, high, step, date_text)
        if steps is None:
            return None
        if step != step.to_integral_value():
            block.note(wrong.bad_step, (*at, "step"), name=asked.name,
                       why="dates go by whole days", cure="Write step = 1.")  # fmt: skip
            return None
        values = Values(start=low, step=step, count=steps + 1)
    else:
        day = _day(asked, at)
        if day is None:
            return None
        values = Values(choices=(day,))
    return {"values": values, "places": 0, "is_date": True, "unit": parse_unit("day")}


def _day(asked: Asked, path: tuple[str | int, ...]) -> Decimal | None:
    value = asked.block.get(path)
    if isinstance(value, str):
        try:
            value = datetime.date.fromisoformat(value)
        except ValueError:
            value = None
    if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
        return Decimal(value.toordinal())
    cure = "Write date = 2026-03-02, or { from = …, to = …, step = 7 }."
    asked.block.note(wrong.bad_date, path, name=asked.name, why="it is no date", cure=cure)
    return None
