"""The proof run: is an exercise fit to be set, over every draw or over thousands of them?

Over every draw when the grid has at most 20,000, otherwise over 5,000 drawn with a key of their
own. An error keeps the exercise out of force, a remark does not. What reading can see (names,
units, unused values) the reader has found before; here it is

- that every draw which meets ``only_when`` can be worked out;
- that enough draws are kept, and why the others are not;
- that no slip and no slip of the unit is taken as right, and that slips are told apart;
- that there are enough different draws;
- that the right answer, and whoever rounds every line to three figures, is inside;
- that the working ends with the answer, orders can be kept and broken, and words of danger stand
  under a declared hazard.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from trainer.engine.definition import Exercise
from trainer.engine.formula import computing
from trainer.engine.outcome import ENGINE_EDITION, Extreme, Proof
from trainer.engine.proof_conclusions import conclusions
from trainer.engine.proof_findings import place_of
from trainer.engine.proof_plain import as_plain, from_plain, placed, read_store, write_store
from trainer.engine.proof_tally import Report, Tally
from trainer.engine.proof_texts import text_findings
from trainer.engine.sheet import printed_number
from trainer.findings import worst_first
from trainer.maths.quantity import with_unit

__all__ = ["as_plain", "from_plain", "placed", "read_store", "run", "write_store"]

DRAWS = 5_000
EXHAUSTIVE_TO = 20_000
_SHARE_PLACES = Decimal("0.0001")


def run(
    exercise: Exercise,
    *,
    draws: int = DRAWS,
    exhaustive_to: int = EXHAUSTIVE_TO,
    progress: Report | None = None,
    file: str = "",
) -> Proof:
    """Prove an exercise.

    Args:
        exercise: as the reader made it.
        draws: how many draws when the grid is too large to walk.
        exhaustive_to: the largest grid that is walked whole.
        progress: called now and then with the draws done and the draws in all.
        file: the file the exercise stands in, for the findings.

    Returns:
        The proof; its findings worst first, at file, line and column.
    """
    tally = Tally(exercise, draws, exhaustive_to)
    computing(lambda: tally.take_all(progress))
    apart = Decimal(tally.apart) / tally.kept if tally.kept else Decimal(1)
    findings = [*tally.findings, *conclusions(tally), *text_findings(exercise)]
    return Proof(
        exercise=exercise.id,
        hash=exercise.hash,
        engine_edition=ENGINE_EDITION,
        draws=tally.total,
        kept=tally.kept,
        exhaustive=tally.exhaustive,
        distinct=len(tally.distinct),
        slips_apart=apart.quantize(_SHARE_PLACES),
        lowest=tuple(_extremes(tally, lowest=True)),
        highest=tuple(_extremes(tally, lowest=False)),
        findings=worst_first(finding.in_file(file) for finding in findings),
        first_line=place_of(exercise)[0],
    )


def _extremes(tally: Tally, *, lowest: bool) -> Iterator[Extreme]:
    """The lowest or the highest answer of each find, with the draw that gives it."""
    for seen in tally.seen.values():
        extreme = seen.lowest if lowest else seen.highest
        if extreme is not None:
            value, cells = extreme
            text = with_unit(printed_number(value, seen.find), seen.find.unit, value)
            yield Extreme(
                seen.find.symbol, text, {symbol: cell.text for symbol, cell in cells.items()}
            )
