"""A definition and a draw made into a sheet: what is shown, and behind it every value and band.

Nothing that would help to guess the answer is in ``Sheet.shown``: no hidden value, tolerance, slip
or worked line.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from trainer.engine.definition import Exercise, Find, Given, Kind, RunLog
from trainer.engine.draw import Stream, kept_draw
from trainer.engine.figures import Cell, Figures, NotKept, cell_of, is_whole_by_nature, plan_of
from trainer.engine.formula import computing
from trainer.engine.formula_functions import snap
from trainer.engine.outcome import Sheet, Shown, ShownChoice, ShownFind, ShownGiven, ShownLog
from trainer.engine.rows import clock_text
from trainer.engine.tolerance import band, is_exempt, plain_text
from trainer.engine.wording import Place, wording
from trainer.maths.quantity import format_decimal, format_figures, unit_text, with_unit
from trainer.maths.rounding import to_figures
from trainer.maths.units import alternatives

if TYPE_CHECKING:
    from trainer.maths.units import Unit

PRINTED_FIGURES = 4
MOST_UNITS = 4
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def make(exercise: Exercise, draw_key: bytes) -> Sheet:
    """The sheet of a draw key.

    Raises:
        StateError: ENG-300 when none of very many draws is kept.
    """
    stream = Stream(draw_key)
    figures, redraws = kept_draw(exercise, stream)
    order = stream.shuffled(len(exercise.options) or len(exercise.acts))
    return _sheet(exercise, figures, order, redraws)


def make_from_values(exercise: Exercise, values: Mapping[str, Any]) -> Sheet | NotKept:
    """The sheet of chosen values, or why such a draw is not kept; choices stand as written.

    Args:
        exercise: the exercise.
        values: every drawn quantity, given and hidden, in its author's unit. Derived values are
            worked out, whatever is given for them.
    """
    plan = plan_of(exercise)
    cells: dict[str, Cell] = {}
    for column in plan.columns:
        cells[column.symbol] = cell_of(column.given, values[column.symbol])
    figures = computing(lambda: plan.figures(cells))
    if isinstance(figures, NotKept):
        return figures
    order = tuple(range(len(exercise.options) or len(exercise.acts)))
    return _sheet(exercise, figures, order, 0)


def _sheet(exercise: Exercise, figures: Figures, order: tuple[int, ...], redraws: int) -> Sheet:
    texts = {symbol: cell.text for symbol, cell in figures.cells.items()}
    bands = {}
    for symbol, find in plan_of(exercise).finds.items():
        bands[symbol] = band(find, figures.expected[symbol], figures.tolerances[symbol])
    sheet = Sheet(
        exercise=exercise,
        shown=_shown(exercise, figures, order),
        values=figures.quantities,
        bands=bands,
        choice_order=order,
        redraws=redraws,
        base=figures.base,
        bare=figures.bare,
        tolerances=figures.tolerances,
        texts=texts,
    )
    for line in exercise.method:
        texts[line.symbol] = with_unit(
            line_number(sheet, line.symbol), line.unit, figures.bare[line.symbol]
        )
    return sheet


def _shown(exercise: Exercise, figures: Figures, order: tuple[int, ...]) -> Shown:
    def fill(text: str) -> str:
        return wording(text).filled(
            lambda place: _printed_cell(figures.cells[place.symbol], place, exercise)
        )

    choices: tuple[ShownChoice, ...] = ()
    if exercise.kind is Kind.PICK:
        choices = tuple(
            ShownChoice(_LETTERS[number], fill(exercise.options[place].text))
            for number, place in enumerate(order)
        )
    elif exercise.kind is Kind.ORDER:
        choices = tuple(
            ShownChoice(exercise.acts[place].id, fill(exercise.acts[place].text)) for place in order
        )
    return Shown(
        id=exercise.id,
        title=fill(exercise.title),
        kind=exercise.kind.value,
        situation=fill(exercise.situation),
        givens=tuple(
            _shown_given(given, figures.cells[given.symbol], fill(given.what))
            for given in exercise.givens
            if given.shown and given.run_log is None
        ),
        logs=tuple(
            _shown_log(given, given.run_log, figures.cells[given.symbol], fill(given.what))
            for given in exercise.givens
            if given.shown and given.run_log is not None
        ),
        finds=tuple(
            ShownFind(find.symbol, fill(find.what), cell_units(find.unit))
            for find in exercise.finds
        ),
        choices=choices,
        pick=exercise.pick,
        marks=exercise.marks,
        hazards=exercise.hazards,
    )


def _shown_given(given: Given, cell: Cell, what: str) -> ShownGiven:
    is_row = isinstance(cell.bare, tuple)
    unit = "" if given.is_date else unit_text(given.unit, Decimal(2) if is_row else cell.bare)
    readings = tuple(format_decimal(each, given.places) for each in cell.bare) if is_row else ()
    return ShownGiven(given.symbol, what, cell.number, unit, given.together, readings)


def _shown_log(given: Given, log: RunLog, cell: Cell, what: str) -> ShownLog:
    spans = tuple((int(start), int(end)) for start, end in cell.bare)
    begin, end = (clock_text(log.start_s + second)[:5] for second in (0, log.length_s))
    rows = tuple(
        (clock_text(log.start_s + start), clock_text(log.start_s + stop)) for start, stop in spans
    )
    return ShownLog(given.symbol, what, begin, end, rows, spans, log.length_s)


def cell_units(unit: Unit) -> tuple[str, ...]:
    """The units beside an answer cell: the find's own first, then those it may be told in."""
    return tuple(other.plural for other in alternatives(unit)[:MOST_UNITS])


def _printed_cell(cell: Cell, place: Place, exercise: Exercise) -> str:
    if place.unit is not None:
        given = next(each for each in exercise.givens if each.symbol == place.symbol)
        return _in_unit(given, cell, place.unit)
    return cell.number if place.bare else cell.text


def _in_unit(given: Given, cell: Cell, unit: Unit) -> str:
    """A given told in another unit: in full when it ends soon, else as fine as its own step."""
    bases = cell.base if isinstance(cell.base, tuple) else (cell.base,)
    values = [snap(unit.from_base(base)) for base in bases]
    step = Decimal(1).scaleb(-given.places) * given.unit.over / given.unit.under
    places = max(0, -(step * unit.under / unit.over).adjusted())
    ends_after = max(-_exponent(value.normalize()) for value in values)
    places = max(places, ends_after) if ends_after <= places + 3 else places + 1
    text = ", ".join(format_decimal(value, places) for value in values)
    return with_unit(text, unit, values[0] if len(values) == 1 else Decimal(2))


def _exponent(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    assert isinstance(exponent, int)
    return exponent


def line_number(sheet: Sheet, symbol: str) -> str:
    """The number of a method line as printed: four figures, a safety find to its safe side."""
    line = next(each for each in sheet.exercise.method if each.symbol == symbol)
    value = sheet.bare[symbol]
    find = next((each for each in sheet.exercise.finds if each.symbol == symbol), None)
    return printed_number(value, find, whole=is_whole_by_nature(line.formula, line.unit))


def printed_number(value: Decimal, find: Find | None = None, *, whole: bool = False) -> str:
    """A computed number as printed.

    Four significant figures; a whole number of things is printed whole, an exact find in full, and
    a safety find is rounded to its safe side.
    """
    if find is not None and is_exempt(find.accept):
        return plain_text(to_figures(value, 15))
    if whole and value == value.to_integral_value() and abs(value) < 10**12:
        return f"{value:.0f}"
    if find is not None and find.safe_side:
        mode = "up" if find.safe_side == "higher" else "down"
        value = to_figures(value, PRINTED_FIGURES, mode)
    return format_figures(value, PRINTED_FIGURES)


def fill(text: str, sheet: Sheet) -> str:
    """A text of a closed sheet with any of its values: worked solution, remark, reason.

    Computed symbols print four figures; ``in`` prints another unit, ``bare`` the number alone.
    """
    return wording(text).filled(lambda place: _printed(place, sheet))


def _printed(place: Place, sheet: Sheet) -> str:
    symbol = place.symbol
    given = next((each for each in sheet.exercise.givens if each.symbol == symbol), None)
    if given is not None:
        if place.unit is not None:
            cell = cell_of(given, sheet.bare[symbol])
            return _in_unit(given, cell, place.unit)
        if place.bare:
            return cell_of(given, sheet.bare[symbol]).number
        return sheet.texts[symbol]
    if place.unit is not None:
        value = sheet.values[symbol].in_unit(place.unit)
        find = next((each for each in sheet.exercise.finds if each.symbol == symbol), None)
        return with_unit(printed_number(value, find), place.unit, value)
    return line_number(sheet, symbol) if place.bare else sheet.texts[symbol]
