"""A marking to plain values and back: how a mark is stored, and the bytes that are compared.

Decimals travel as text, so that what is stored is what was reckoned, to the last digit.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from trainer.canonical import Plain, canonical_bytes
from trainer.engine.outcome import FindMarking, Marking, Outcome, StripMark, WorkedLine


def as_plain(marking: Marking) -> dict[str, Plain]:
    """The marking as text, whole numbers, truth values and lists of them."""
    return {
        "exercise": marking.exercise,
        "engine_edition": marking.engine_edition,
        "mark": marking.mark,
        "marks": marking.marks,
        "outcome": marking.outcome.value,
        "finds": [_find_as_plain(find) for find in marking.finds],
        "working": [_line_as_plain(line) for line in marking.working],
        "worked": marking.worked,
        "right_choices": list(marking.right_choices),
    }


def from_plain(plain: Mapping[str, Any]) -> Marking:
    """The marking that ``as_plain`` told; a key of a later engine edition is left aside."""
    return Marking(
        exercise=plain["exercise"],
        engine_edition=plain["engine_edition"],
        mark=plain["mark"],
        marks=plain["marks"],
        outcome=Outcome(plain["outcome"]),
        finds=tuple(_find_from_plain(find) for find in plain["finds"]),
        working=tuple(_line_from_plain(line) for line in plain["working"]),
        worked=plain["worked"],
        right_choices=tuple(plain["right_choices"]),
    )


def mark_bytes(marking: Marking) -> bytes:
    """The canonical bytes of a marking: equal bytes, equal marking."""
    return canonical_bytes(as_plain(marking))


def _find_as_plain(find: FindMarking) -> dict[str, Plain]:
    return {
        "symbol": find.symbol,
        "outcome": find.outcome.value,
        "mark": find.mark,
        "answer_text": find.answer_text,
        "said": find.said,
        "slip": find.slip,
        "remark": find.remark,
        "stopped_at": find.stopped_at,
        "strip": None if find.strip is None else _strip_as_plain(find.strip),
    }


def _find_from_plain(plain: Mapping[str, Any]) -> FindMarking:
    strip = plain["strip"]
    return FindMarking(
        symbol=plain["symbol"],
        outcome=Outcome(plain["outcome"]),
        mark=plain["mark"],
        answer_text=plain["answer_text"],
        said=plain["said"],
        slip=plain["slip"],
        remark=plain["remark"],
        stopped_at=plain["stopped_at"],
        strip=None if strip is None else _strip_from_plain(strip),
    )


def _strip_as_plain(strip: StripMark) -> dict[str, Plain]:
    return {
        "low": str(strip.low),
        "high": str(strip.high),
        "answer": None if strip.answer is None else str(strip.answer),
        "unit": strip.unit,
        "low_text": strip.low_text,
        "high_text": strip.high_text,
        "answer_text": strip.answer_text,
    }


def _strip_from_plain(plain: Mapping[str, Any]) -> StripMark:
    answer = plain["answer"]
    return StripMark(
        low=Decimal(plain["low"]),
        high=Decimal(plain["high"]),
        answer=None if answer is None else Decimal(answer),
        unit=plain["unit"],
        low_text=plain["low_text"],
        high_text=plain["high_text"],
        answer_text=plain["answer_text"],
    )


def _line_as_plain(line: WorkedLine) -> dict[str, Plain]:
    return {
        "number": line.number,
        "symbol": line.symbol,
        "what": line.what,
        "symbols": line.symbols,
        "figures": line.figures,
        "result": line.result,
        "is_find": line.is_find,
        "source": line.source,
    }


def _line_from_plain(plain: Mapping[str, Any]) -> WorkedLine:
    return WorkedLine(
        number=plain["number"],
        symbol=plain["symbol"],
        symbols=plain["symbols"],
        figures=plain["figures"],
        result=plain["result"],
        is_find=plain["is_find"],
        source=plain["source"],
        what=plain["what"],
    )
