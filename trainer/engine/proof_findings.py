"""Every finding that a proof run can give, and where it points."""

from __future__ import annotations

from trainer.engine.definition import Exercise
from trainer.errors import CATALOGUE, register
from trainer.findings import Finding, Severity

no_value = register(
    "ENG-410",
    "{symbol} has no value in {share} of the draws, first at {draw}: {why}",
    "Leave such draws out with only_when, or change the ranges.",
)
few_kept = register(
    "ENG-411",
    "Only {share} of the draws are kept. Most are refused because {reason}.",
    "Tie the draws: let [hidden] hold what is drawn freely and [derived] what follows from it.",
)
slip_in_band = register(
    "ENG-412",
    "The slip '{name}' gives {value}, which is accepted as {symbol}, at {draw}.",
    "Change the slip, or leave such draws out with only_when.",
)
slip_without_value = register(
    "ENG-413",
    "The slip '{name}' has no value in any draw.",
    "Look at its formula: it divides by zero or takes a root or logarithm of what has none.",
)
slips_alike = register(
    "ENG-414",
    "The slips '{first}' and '{second}' of {symbol} are told apart in {share} of the draws only.",
    "Where they are not, '{first}' is named. Change the ranges if the other matters.",
)
few_draws = register(
    "ENG-415",
    "There are {count} different draws; 50 are the least.",
    "Widen the ranges, or say why so few are enough: few_draws = 'why'.",
)
not_for_checks = register(
    "ENG-416",
    "There are {count} different draws; with fewer than 200 it is not offered to module checks.",
    "Widen the ranges.",
)
rounding_unsafe = register(
    "ENG-417",
    "Whoever rounds each line to three figures gets {value} for {symbol} and is not inside "
    "{low} to {high}, at {draw}.",
    "Widen the tolerance, or leave out 'strict'.",
)
right_outside = register(
    "ENG-418",
    "The right answer {value} for {symbol} is not inside {low} to {high}, at {draw}.",
    "Widen the tolerance.",
)
worked_ends_elsewhere = register(
    "ENG-419",
    "The last value that 'worked' prints is {last}, not a find.",
    "End it with the answer: ={symbol}=.",
)
before_in_circle = register(
    "ENG-420", "The before pairs go in a circle: no order keeps them.", "Take one of them away."
)
every_order_right = register(
    "ENG-421",
    "Every order of the acts is right: no before pair says otherwise.",
    "Write before = [['unplug', 'open'], …].",
)
hazard_undeclared = register(
    "ENG-422",
    "The text speaks of '{word}', but no hazard is declared.",
    "Write hazards = ['H02'] with the ids of cautions.md, so that the caution is shown.",
)
nothing_kept = register(
    "ENG-423",
    "No draw is kept. Most are refused because {reason}.",
    "Widen the ranges, loosen only_when, or tie the values with [hidden].",
)


def place_of(exercise: Exercise, *keys: str) -> tuple[int, int]:
    """Line and column of the first of these keys that is written; those of the id otherwise."""
    for key in (*keys, "id"):
        place = exercise.lines.get(key)
        if place is not None:
            return place
    return 0, 0


def finding(
    exercise: Exercise,
    code: str,
    severity: Severity,
    *keys: str,
    text: str = "",
    **fields: object,
) -> Finding:
    """A finding at the first of the keys, its sentence and cure filled in.

    Args:
        exercise: the exercise.
        code: a code of this module.
        severity: ``error`` keeps the exercise out of force.
        keys: key paths such as ``slips.0.value``, the likeliest first.
        text: the offending text.
        fields: what the sentence and the cure name.
    """
    row = CATALOGUE[code]
    line, column = place_of(exercise, *keys)
    return Finding(
        file="",
        line=line,
        column=column,
        severity=severity,
        code=code,
        message=f"{exercise.id}: {row.sentence.format_map(fields)}",
        cure=row.cure.format_map(fields),
        text=text,
    )
