"""What a proof run sees without drawing: the end of the working, orders, words of danger."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.engine import proof_findings as found
from trainer.engine.definition import Exercise, Kind
from trainer.engine.hazard_words import spoken_of
from trainer.engine.marking_choices import broken, right_order
from trainer.engine.proof_findings import finding
from trainer.engine.wording import wording
from trainer.findings import Finding


def text_findings(exercise: Exercise) -> Iterator[Finding]:
    """Every finding that needs no draw."""
    if exercise.kind is Kind.CALCULATION:
        yield from _end_of_worked(exercise)
    if exercise.kind is Kind.ORDER:
        yield from _orders(exercise)
    if not exercise.hazards:
        yield from _undeclared(exercise)


def _end_of_worked(exercise: Exercise) -> Iterator[Finding]:
    """The last value that ``worked`` prints is a find."""
    places = wording(exercise.worked).places
    finds = [find.symbol for find in exercise.finds]
    last = places[-1].symbol if places else ""
    if last not in finds:
        yield finding(
            exercise,
            found.worked_ends_elsewhere,
            "error",
            "worked",
            text=f"={last}=" if last else "",
            last=last or "missing",
            symbol=finds[-1],
        )


def _orders(exercise: Exercise) -> Iterator[Finding]:
    """The pairs can be kept, and at least one order does not keep them."""
    if not exercise.before:
        yield finding(exercise, found.every_order_right, "error", "before", "acts")
    elif broken(exercise, right_order(exercise)) is not None:
        yield finding(exercise, found.before_in_circle, "error", "before")


def _undeclared(exercise: Exercise) -> Iterator[Finding]:
    """The first text that speaks of electrical or burr work; one remark is enough."""
    for keys, text in _texts(exercise):
        for spoken in spoken_of(text):
            yield finding(
                exercise,
                found.hazard_undeclared,
                "remark",
                *keys,
                text=spoken.word,
                word=spoken.word,
            )
            return


def _texts(exercise: Exercise) -> Iterator[tuple[tuple[str, ...], str]]:
    """Every text a trainee reads, with the keys under which it stands."""
    yield ("title",), exercise.title
    yield ("situation",), exercise.situation
    for given in exercise.givens:
        yield (f"given.{given.symbol}.what", f"derived.{given.symbol}.what"), given.what
    for find in exercise.finds:
        yield (f"find.{find.symbol}.what",), find.what
    for number, option in enumerate(exercise.options):
        yield (f"options.{number}.text",), option.text
    for number, act in enumerate(exercise.acts):
        yield (f"acts.{number}.text",), act.text
    yield ("worked",), exercise.worked
    for number, slip in enumerate(exercise.slips):
        yield (f"slips.{number}.remark",), slip.remark
