"""The placeholders of a block's texts: each names a symbol that may be shown there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.engine import reader_errors as wrong
from trainer.engine.spelling import meant
from trainer.engine.wording import Place, wording

if TYPE_CHECKING:
    from trainer.engine.positions import Path
    from trainer.engine.reader_asked import Symbols
    from trainer.engine.reader_block import Block

OPEN_TABLES = frozenset({"given", "derived"})


def check_wording(block: Block, path: Path, symbols: Symbols, *, is_open: bool) -> None:
    """Note every placeholder of a text that cannot be filled in there.

    Args:
        block: the block.
        path: where the text stands; a missing one is passed over.
        symbols: every symbol of the exercise.
        is_open: whether the text is seen before the sheet is closed. Such a text may name only what
            is shown: given and derived values.
    """
    text = block.get(path)
    if not isinstance(text, str):
        return
    worded = wording(text)
    for fault in worded.faults:
        block.note(
            wrong.bad_placeholder,
            path,
            offset=fault.at,
            text=fault.text,
            why=fault.why,
            cure=fault.cure,
        )
    for place in worded.places:
        _check_place(block, path, place, symbols, is_open=is_open)


def _check_place(
    block: Block, path: Path, place: Place, symbols: Symbols, *, is_open: bool
) -> None:
    end = f"in {place.unit.symbol}=" if place.unit else "bare=" if place.bare else ""
    text = f"={place.symbol} {end}" if end else f"={place.symbol}="
    table = symbols.tables.get(place.symbol)
    if table is None:
        allowed = [
            name for name, where in symbols.tables.items() if not is_open or where in OPEN_TABLES
        ]
        close = meant(place.symbol, allowed, nearness=0.5)
        cure = f"Known here: {', '.join(allowed[:12]) or 'no symbol'}."
        if close:
            cure = f"Did you mean ={close}=?"
        block.note(
            wrong.unknown_placeholder,
            path,
            offset=place.at,
            text=text,
            name=place.symbol,
            cure=rf"{cure} A plain equals sign is \=.",
        )
    elif is_open and table not in OPEN_TABLES:
        block.note(wrong.secret_placeholder, path, offset=place.at, text=text, name=place.symbol)
    elif place.unit is not None and place.symbol in symbols.sorts:
        sort = symbols.sorts[place.symbol]
        fits = sort.shape in {"number", "series"} and (
            sort.dimension == place.unit.dimension and sort.point == place.unit.is_point
        )
        if not fits:
            block.note(
                wrong.placeholder_unit,
                path,
                offset=place.at,
                text=text,
                name=place.symbol,
                found=sort.in_words,
                unit=place.unit.symbol,
            )
