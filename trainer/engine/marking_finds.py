"""Marking a calculation, find by find: the rules of engine edition 1.

The outcomes in the order in which they are looked at: inside, carried on, named slip, unit slip,
outside; not readable and not answered where there is no value. A value that is right but rounded to
the unsafe side is outside with a remark of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from trainer.engine.answer import read
from trainer.engine.figures import slip_value
from trainer.engine.formula_functions import CONTEXT, snap
from trainer.engine.method_again import finds_again
from trainer.engine.outcome import FindMarking, Outcome, Reading, Sheet, StripMark
from trainer.engine.sheet import fill
from trainer.engine.tolerance import band, stated, takes_allowance, tolerance
from trainer.engine.unit_slips import half_unit, slip_at
from trainer.maths.quantity import format_figures, with_unit
from trainer.maths.rounding import to_figures
from trainer.maths.units import Unit, parse_unit

if TYPE_CHECKING:
    from trainer.engine.definition import Accept, Exercise, Find, MethodLine, Slip
    from trainer.engine.outcome import Band

SURE = "yes"


@dataclass(frozen=True, slots=True)
class _FindRule:
    """What of a find's marking does not change from sheet to sheet.

    ``before`` are the method lines before its own, ``feeding`` the earlier finds that it is worked
    out from. No value farther from a slip than
    ``share`` of the slip or ``least``, whichever is more, counts as that slip; most answers are
    told apart from most slips by this alone.
    """

    before: tuple[MethodLine, ...]
    feeding: frozenset[str]
    slips: tuple[Slip, ...]
    share: Decimal
    least: Decimal


@dataclass(frozen=True, slots=True)
class Verdict:
    """The outcome of one readable value and what is said about it."""

    outcome: Outcome
    slip: str = ""
    remark: str = ""
    carried: str = ""


def read_find(find: Find, answers: Mapping[str, str], *, in_check: bool) -> Reading:
    """The cell of a find read, with the unit chosen beside it and the word that it is meant."""
    symbol = find.symbol
    return read(
        answers.get(symbol, ""),
        find.unit,
        unit_text=answers.get(f"{symbol}-unit", ""),
        plausible=find.plausible,
        in_check=in_check,
        sure=answers.get(f"{symbol}-sure") == SURE,
    )


def mark_find(
    sheet: Sheet, find: Find, readings: Mapping[str, Reading], answers: Mapping[str, str]
) -> FindMarking:
    """One find marked; the caller has set the decimal context.

    Args:
        sheet: the sheet.
        find: the find.
        readings: every find's cell as read, by symbol.
        answers: what was typed, for the text that the sheet repeats.
    """
    reading = readings[find.symbol]
    span = sheet.bands[find.symbol]
    accepted = f"accepted is {_span_text(find, span)}."
    if reading.value is None or reading.problem:
        return _without_value(find, reading, accepted)
    answer = reading.value
    found = verdict(sheet, find, answer, readings)
    right = found.outcome in {Outcome.INSIDE, Outcome.CARRIED_ON}
    yours = with_unit(reading.written, find.unit, answer)
    if found.outcome is Outcome.INSIDE:
        said = f"Yours is {yours}; {accepted}"
    elif right:
        said = f"Yours is {yours}, right from {found.carried}. From the given values, {accepted}"
    else:
        said = f"Yours is {yours}; {accepted} {_short_by(find, answer, span)}"
    return FindMarking(
        symbol=find.symbol,
        outcome=found.outcome,
        mark=1 if right else 0,
        answer_text=_as_typed(reading, find, answers),
        said=said,
        slip=found.slip,
        remark=found.remark,
        stopped_at=0 if right else _stopped_at(sheet, find, reading),
        strip=_strip(find, span, answer, reading.written),
    )


def verdict(sheet: Sheet, find: Find, answer: Decimal, readings: Mapping[str, Reading]) -> Verdict:
    """The outcome of a readable value; the caller has set the decimal context.

    Args:
        sheet: the sheet.
        find: the find.
        answer: the person's value in the find's unit.
        readings: every find's cell as read, for what is carried on.
    """
    span = sheet.bands[find.symbol]
    exact = snap(answer)
    if _is_in(exact, span):
        return Verdict(Outcome.INSIDE)
    if sheet.exercise.stakes != "safety" and not find.safe_side:
        carried = _carried_from(sheet, find, exact, readings)
        if carried:
            return Verdict(Outcome.CARRIED_ON, carried=carried)
    allowed = sheet.tolerances[find.symbol]
    if find.safe_side and abs(answer - span.expected) <= allowed:
        return Verdict(Outcome.OUTSIDE, remark=_unsafe(find, span))
    slip = _named_slip(sheet, find, answer)
    if slip is not None:
        return Verdict(Outcome.NAMED_SLIP, slip.name, _filled(slip.remark, sheet))
    of_unit = slip_at(
        answer, span.expected, find.unit, allowed, lambda value: stated(find.accept, value)
    )
    if of_unit is not None:
        return Verdict(Outcome.UNIT_SLIP, of_unit.name, of_unit.remark)
    return Verdict(Outcome.OUTSIDE)


def _is_in(exact: Decimal, span: Band) -> bool:
    return snap(span.low) <= exact <= snap(span.high)


# --- carried on ---------------------------------------------------------------------------------


def _rules(exercise: Exercise) -> dict[str, _FindRule]:
    finds = {find.symbol: find for find in exercise.finds}
    reached: dict[str, frozenset[str]] = {}
    rules: dict[str, _FindRule] = {}
    for number, line in enumerate(exercise.method):
        fed = {name for name in line.formula.names if name in finds and name in reached}
        for name in line.formula.names:
            fed |= reached.get(name, frozenset())
        reached[line.symbol] = frozenset(fed)
        find = finds.get(line.symbol)
        if find is not None:
            slips = tuple(slip for slip in exercise.slips if slip.find == line.symbol)
            rules[line.symbol] = _FindRule(
                exercise.method[:number], frozenset(fed), slips, *_farthest(find.accept)
            )
    return rules


def _farthest(accept: Accept) -> tuple[Decimal, Decimal]:
    """The share of a value, and the least, beyond which the accept rule takes nothing as it."""
    half_of_third = Decimal("0.005")
    match accept.kind:
        case "percent":
            return max(accept.value / 100, half_of_third), Decimal(0)
        case "figures":
            return max(Decimal("0.5").scaleb(1 - int(accept.value)), half_of_third), Decimal(0)
        case "absolute" | "points":
            return half_of_third, accept.value
        case _:
            return half_of_third, Decimal(0)


_RULES: dict[int, tuple[Exercise, dict[str, _FindRule]]] = {}
_MOST_KEPT = 1024


def _rules_of(exercise: Exercise) -> dict[str, _FindRule]:
    """The rules of each find, made once for an exercise in use."""
    kept = _RULES.get(id(exercise))
    if kept is None or kept[0] is not exercise:
        if len(_RULES) >= _MOST_KEPT:
            _RULES.clear()
        kept = _RULES[id(exercise)] = (exercise, _rules(exercise))
    return kept[1]


def _carried_from(sheet: Sheet, find: Find, exact: Decimal, readings: Mapping[str, Reading]) -> str:
    """The person's own earlier values that make this answer right, in words; empty if none do."""
    fed = _rules_of(sheet.exercise)[find.symbol].feeding
    if not fed:
        return ""
    own = {
        symbol: reading.value
        for symbol, reading in readings.items()
        if symbol in fed and reading.value is not None and not reading.problem
    }
    own = {symbol: value for symbol, value in own.items() if value != sheet.bare[symbol]}
    if not own:
        return ""
    expected = finds_again(sheet.exercise, sheet.base, own).get(find.symbol)
    if expected is None:
        return ""
    rounds = takes_allowance(find)
    chained = (
        finds_again(sheet.exercise, sheet.base, own, rounded=True).get(find.symbol)
        if rounds
        else None
    )
    if not _is_in(exact, band(find, expected, tolerance(find, expected, chained))):
        return ""
    told = [
        f"your {each.symbol} of {with_unit(readings[each.symbol].written, each.unit, value)}"
        for each in sheet.exercise.finds
        if (value := own.get(each.symbol)) is not None
    ]
    return " and ".join(told)


# --- slips --------------------------------------------------------------------------------------


def _named_slip(sheet: Sheet, find: Find, answer: Decimal) -> Slip | None:
    """The named slip that this answer is; of several that fit, the nearest.

    Slips nearer to each other than the find's tolerance cannot be told apart: the first one listed
    is named.
    """
    best: Slip | None = None
    best_value = best_distance = Decimal(0)
    rule = _rules_of(sheet.exercise)[find.symbol]
    for slip in rule.slips:
        value = slip_value(slip, sheet.bare)
        if value is None:
            continue
        distance = abs(answer - value)
        if distance > abs(value) * rule.share and distance > rule.least:
            continue
        if distance > max(stated(find.accept, value), half_unit(value)):
            continue
        apart = best is None or abs(value - best_value) > sheet.tolerances[find.symbol]
        if best is None or (apart and distance < best_distance):
            best, best_value, best_distance = slip, value, distance
    return best


def _stopped_at(sheet: Sheet, find: Find, reading: Reading) -> int:
    """The number of the earlier line whose value the answer equals; 0 when it equals none."""
    answer = reading.value
    assert answer is not None
    is_bare = not any(sign.isalpha() or sign in "%°" for sign in reading.text)
    for number, line in enumerate(_rules_of(sheet.exercise)[find.symbol].before, start=1):
        unit = line.unit
        if (unit.dimension, unit.is_point) == (find.unit.dimension, find.unit.is_point):
            value = find.unit.from_base(sheet.base[line.symbol])
        elif is_bare:
            value = sheet.bare[line.symbol]
        else:
            continue
        reach = stated(find.accept, value) if find.accept.kind == "percent" else Decimal(0)
        if abs(answer - value) <= max(reach, half_unit(value)):
            return number
    return 0


# --- words --------------------------------------------------------------------------------------


def _span_text(find: Find, span: Band) -> str:
    low, high = _edges(span)
    if low == high:
        return with_unit(low, find.unit, span.low)
    return with_unit(f"{low} to {high}", find.unit, span.high + 2)


def _edges(span: Band) -> tuple[str, str]:
    """Both edges as printed; a whole one takes the places of the other (14.00 to 14.10)."""
    texts = (span.low_text, span.high_text)
    if span.low_text == span.high_text:
        return texts
    places = max(map(_last_place, texts))
    low, high = (text if "." in text or not places else f"{text}.{'0' * places}" for text in texts)
    return low, high


def _difference_unit(unit: Unit) -> Unit:
    """The unit of a difference: kelvin for degrees Celsius, points for percent."""
    if unit.is_point:
        return parse_unit("K")
    return parse_unit("%-points") if unit.symbol == "%" else unit


def _short_by(find: Find, answer: Decimal, span: Band) -> str:
    missing = CONTEXT.subtract(span.expected, answer)
    last = max(_last_place(span.low_text), _last_place(span.high_text))
    size = abs(missing)
    told = to_figures(size, max(2, size.adjusted() + 1 + last)) if size else size
    text = f"{told:f}" if size >= Decimal(10) ** -last else format_figures(size, 2)
    unit = _difference_unit(find.unit)
    return f"{'Short' if missing > 0 else 'Over'} by {with_unit(text, unit, told)}."


def _last_place(text: str) -> int:
    return len(text.partition(".")[2])


def _unsafe(find: Find, span: Band) -> str:
    if find.safe_side == "higher":
        edge = with_unit(span.low_text, find.unit, span.low)
        return f"Near enough, but on the unsafe side. Round up here: at least {edge}."
    edge = with_unit(span.high_text, find.unit, span.high)
    return f"Near enough, but on the unsafe side. Round down here: at most {edge}."


def _filled(text: str, sheet: Sheet) -> str:
    return fill(text, sheet) if "=" in text else text


def _as_typed(reading: Reading, find: Find, answers: Mapping[str, str]) -> str:
    beside = answers.get(f"{find.symbol}-unit", "")
    text = reading.text.strip()
    if beside and beside != find.unit.plural and text and text[-1].isdigit():
        return f"{text} {beside}"
    return text


def _strip(find: Find, span: Band, answer: Decimal | None, written: str) -> StripMark:
    low_text, high_text = _edges(span)
    return StripMark(
        low=span.low,
        high=span.high,
        answer=answer,
        unit=find.unit.plural,
        low_text=low_text,
        high_text=high_text,
        answer_text=written,
    )


def _without_value(find: Find, reading: Reading, accepted: str) -> FindMarking:
    told = accepted[:1].upper() + accepted[1:]
    if reading.blank:
        outcome, said, remark = Outcome.NOT_ANSWERED, "Nothing was written here.", ""
    else:
        said = "What was written here could not be read."
        outcome, remark = Outcome.NOT_READABLE, reading.problem
    return FindMarking(
        symbol=find.symbol,
        outcome=outcome,
        mark=0,
        answer_text=reading.text.strip(),
        said=f"{said} {told}",
        remark=remark,
    )


def mark_finds(
    sheet: Sheet, readings: Mapping[str, Reading], answers: Mapping[str, str]
) -> Iterable[FindMarking]:
    """Every find of a calculation, in the author's order."""
    return [mark_find(sheet, find, readings, answers) for find in sheet.exercise.finds]
