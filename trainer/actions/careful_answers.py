"""A careful person's answers to a sheet: for the demonstration, never for a page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from trainer.actions.house import House
from trainer.engine import marking as marking_of
from trainer.engine import sheet as sheet_of_draw
from trainer.engine.outcome import Marking
from trainer.records.attempts import Attempt

if TYPE_CHECKING:
    from trainer.engine.outcome import Band


def careful_answers(house: House, *, attempt: int) -> dict[str, str]:
    """Cell -> text of a right answer to an open sheet."""
    with house.database.reading() as session:
        row = session.execute(
            select(Attempt.exercise, Attempt.edition_hash, Attempt.draw_key).where(
                Attempt.id == attempt
            )
        ).one()
    exercise = house.module(row.edition_hash).exercises[row.exercise]
    sheet = sheet_of_draw.make(exercise, row.draw_key)
    if exercise.finds:
        return {symbol: _within(band) for symbol, band in sheet.bands.items()}
    keys = [choice.key for choice in sheet.shown.choices]
    cell = "pick" if exercise.options else "order"
    probe = marking_of.mark(sheet, {cell: keys[0] if exercise.options else " ".join(keys)})
    assert isinstance(probe, Marking)
    return {cell: " ".join(probe.right_choices)}


def _within(band: Band) -> str:
    is_in = band.low <= band.expected <= band.high
    return f"{band.expected if is_in else band.low:f}"
