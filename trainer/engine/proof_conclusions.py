"""What follows from all draws of a proof run together."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import TYPE_CHECKING

from trainer.engine import proof_findings as found
from trainer.engine.definition import Kind
from trainer.engine.proof_findings import finding
from trainer.engine.proof_tally import Cells, Seen, Tally, drawn_text

if TYPE_CHECKING:
    from trainer.engine.definition import Exercise
    from trainer.findings import Finding

LEAST_KEPT = Decimal("0.25")
GOOD_KEPT = Decimal("0.60")
LEAST_APART = Decimal("0.95")
LEAST_DISTINCT = 50
FOR_CHECKS = 200


def conclusions(tally: Tally) -> Iterator[Finding]:
    """Findings about values that do not exist, draws refused, slips alike, and too few draws."""
    for about, (words, cells) in tally.no_value.items():
        yield _no_value(tally, about, words, cells)
    yield from _share(tally)
    if not tally.kept:
        return
    for seen in tally.seen.values():
        yield from _slips_without_value(tally, seen)
        yield from _slips_alike(tally, seen)
    if tally.exercise.kind is Kind.CALCULATION:
        yield from _distinct(tally)


def _no_value(tally: Tally, about: str, words: str, cells: Cells) -> Finding:
    return finding(
        tally.exercise,
        found.no_value,
        "error",
        f"method.{about}",
        f"derived.{about}",
        f"given.{about}",
        f"hidden.{about}",
        about,
        text=about,
        symbol=about,
        share=_percent(tally.refused["cannot be worked out", about], tally.total),
        draw=drawn_text(cells) or "every draw",
        why=words.partition(": ")[2] or words,
    )


def _share(tally: Tally) -> Iterator[Finding]:
    share = Decimal(tally.kept) / tally.total
    if share >= GOOD_KEPT:
        return
    (reason, about), times = tally.refused.most_common(1)[0]
    yield finding(
        tally.exercise,
        found.few_kept if tally.kept else found.nothing_kept,
        "error" if share < LEAST_KEPT else "remark",
        *_keys(tally.exercise, reason, about),
        text=about,
        share=_percent(tally.kept, tally.total),
        reason=f"{_reason(reason, about)} ({_percent(times, tally.total)} of all draws)",
    )


def _keys(exercise: Exercise, reason: str, about: str) -> tuple[str, ...]:
    """Where a refused draw is to be mended."""
    match reason:
        case "slip":
            names = [slip.name for slip in exercise.slips]
            number = names.index(about)
            return f"slips.{number}.value", f"slips.{number}"
        case "condition":
            return ("only_when",)
        case "plausible":
            return f"find.{about}.plausible", "plausible", f"find.{about}"
        case _:
            return f"find.{about}", f"method.{about}"


def _reason(reason: str, about: str) -> str:
    match reason:
        case "condition":
            return f"the condition {about} is not met"
        case "plausible":
            return f"{about} is not plausible"
        case "slip":
            return f"the slip '{about}' lies too near to the answer"
        case "unit slip":
            return f"a slip of the unit lies too near to {about}"
        case _:
            return f"{about} cannot be worked out"


def _slips_without_value(tally: Tally, seen: Seen) -> Iterator[Finding]:
    for number, slip in enumerate(tally.exercise.slips):
        if slip.find == seen.find.symbol and number not in seen.valued:
            yield finding(
                tally.exercise,
                found.slip_without_value,
                "remark",
                f"slips.{number}.value",
                f"slips.{number}",
                text=slip.formula.source,
                name=slip.name,
            )


def _slips_alike(tally: Tally, seen: Seen) -> Iterator[Finding]:
    slips = tally.exercise.slips
    for (first, second), times in sorted(seen.alike.items()):
        apart = tally.kept - times
        if Decimal(apart) / tally.kept < LEAST_APART:
            yield finding(
                tally.exercise,
                found.slips_alike,
                "remark",
                f"slips.{second}.value",
                f"slips.{second}",
                text=slips[second].formula.source,
                first=slips[first].name,
                second=slips[second].name,
                symbol=seen.find.symbol,
                share=_percent(apart, tally.kept),
            )


def _distinct(tally: Tally) -> Iterator[Finding]:
    count = len(tally.distinct)
    if count < LEAST_DISTINCT and not tally.exercise.few_draws:
        yield finding(tally.exercise, found.few_draws, "error", "given", count=count)
    elif count < FOR_CHECKS and tally.exercise.stakes != "safety":
        yield finding(tally.exercise, found.not_for_checks, "remark", "given", count=count)


def _percent(part: int, whole: int) -> str:
    share = Decimal(100) * part / whole
    return f"{share:.1f} %" if share != int(share) else f"{int(share)} %"
