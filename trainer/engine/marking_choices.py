"""Marking a pick (the exact set or nothing) and an order (every *before* kept, or nothing)."""

from __future__ import annotations

import re
from collections.abc import Mapping

from trainer.engine.definition import Before, Exercise
from trainer.engine.outcome import FindMarking, Outcome, Reading, Sheet
from trainer.engine.sheet import fill

_BETWEEN = re.compile(r"[\s,;>+&]+|\band\b|\bthen\b")


# --- pick ---------------------------------------------------------------------------------------


def read_pick(sheet: Sheet, text: str) -> tuple[frozenset[str], Reading]:
    """The letters written (``B D``, ``b,d``, ``BD``) and whether they can be read."""
    keys = [choice.key for choice in sheet.shown.choices]
    chosen: list[str] = []
    for word in filter(None, _BETWEEN.split(text.strip())):
        letters = [word.upper()] if word.upper() in keys else list(word.upper())
        if not set(letters) <= set(keys):
            return frozenset(), Reading(
                text, problem=f"Write letters from {keys[0]} to {keys[-1]}, such as {keys[0]}."
            )
        chosen += letters
    if not chosen:
        return frozenset(), Reading(text, blank=True)
    if sheet.exercise.pick == "one" and len(set(chosen)) > 1:
        return frozenset(), Reading(text, problem="Choose one, not several.")
    return frozenset(chosen), Reading(text, written=" ".join(sorted(set(chosen))))


def right_pick(sheet: Sheet) -> tuple[str, ...]:
    """The right letters in the order shown."""
    options = sheet.exercise.options
    return tuple(
        choice.key
        for choice, place in zip(sheet.shown.choices, sheet.choice_order, strict=True)
        if options[place].right
    )


def mark_pick(sheet: Sheet, answers: Mapping[str, str]) -> tuple[FindMarking, Reading]:
    """The exact set or nothing; the remark names the first option that is wrong, as shown."""
    text = answers.get("pick", "")
    chosen, reading = read_pick(sheet, text)
    right = right_pick(sheet)
    told = f"Right is {' '.join(right)}."
    if reading.blank or reading.problem:
        return _without_answer(reading, told), reading
    if chosen == frozenset(right):
        said = f"Yours is {reading.written}; that is right."
        return FindMarking("", Outcome.INSIDE, 1, text, said), reading
    options = sheet.exercise.options
    key, option = next(
        (choice.key, options[place])
        for choice, place in zip(sheet.shown.choices, sheet.choice_order, strict=True)
        if (choice.key in chosen) != options[place].right
    )
    fault = "belongs to it" if option.right else "does not belong"
    remark = f"{key} {fault}. {fill(option.remark, sheet)}".strip()
    said = f"Yours is {reading.written}. {told}"
    return FindMarking("", Outcome.OUTSIDE, 0, text, said, remark=remark), reading


# --- order --------------------------------------------------------------------------------------


def read_order(exercise: Exercise, text: str) -> tuple[tuple[str, ...], Reading]:
    """The ids as written, each act once (``a c b``, or a place beside each: ``a=1 c=2 b=3``)."""
    ids = {act.id.lower(): act.id for act in exercise.acts}
    words = [word for word in _BETWEEN.split(text.strip()) if word]
    if not words:
        return (), Reading(text, blank=True)
    if any("=" in word for word in words):
        words, problem = _by_place(words, len(ids))
        if problem:
            return (), Reading(text, problem=problem)
    order = [ids.get(word.lower()) for word in words]
    known = tuple(ident for ident in order if ident is not None)
    if len(known) < len(order):
        return (), Reading(text, problem=f"Write the acts as {', '.join(ids.values())}.")
    if len(set(known)) < len(known):
        twice = next(ident for ident in known if known.count(ident) > 1)
        return (), Reading(text, problem=f"'{twice}' stands in it twice: each act has one place.")
    missing = [act.id for act in exercise.acts if act.id not in known]
    if missing:
        return (), Reading(text, problem=f"'{missing[0]}' has no place yet: number every act.")
    return known, Reading(text, written=" ".join(known))


def _by_place(words: list[str], count: int) -> tuple[list[str], str]:
    """Ids sorted by the places written beside them, or what is wrong with the places."""
    at: dict[int, str] = {}
    for word in words:
        ident, _, place = word.partition("=")
        if not place.isascii() or not place.isdigit() or not 1 <= int(place[:4]) <= count:
            return [], f"Number the acts from 1 to {count}, each number once."
        if int(place) in at:
            return [], f"The number {int(place)} stands at two acts: each act has its own place."
        at[int(place)] = ident
    return [at[place] for place in sorted(at)], ""


def broken(exercise: Exercise, order: tuple[str, ...]) -> Before | None:
    """The first *before* pair, as the author wrote them, that this order does not keep."""
    place = {ident: number for number, ident in enumerate(order)}
    for pair in exercise.before:
        if place[pair.first] > place[pair.then]:
            return pair
    return None


def right_order(exercise: Exercise) -> tuple[str, ...]:
    """One right order: the acts as the author wrote them, moved only where a pair asks for it."""
    waiting = [act.id for act in exercise.acts]
    order: list[str] = []
    while waiting:
        held = {pair.then for pair in exercise.before if pair.first in waiting}
        ready = next((ident for ident in waiting if ident not in held), waiting[0])
        waiting.remove(ready)
        order.append(ready)
    return tuple(order)


def mark_order(sheet: Sheet, answers: Mapping[str, str]) -> tuple[FindMarking, Reading]:
    """Any order that keeps every *before*; the remark names the first pair broken, and why."""
    exercise = sheet.exercise
    text = answers.get("order", "")
    order, reading = read_order(exercise, text)
    if reading.blank or reading.problem:
        return _without_answer(reading, "One right order stands below."), reading
    pair = broken(exercise, order)
    if pair is None:
        said = "Your order keeps every act behind those that must come first."
        return FindMarking("", Outcome.INSIDE, 1, text, said), reading
    texts = {choice.key: choice.text for choice in sheet.shown.choices}
    why = fill(pair.why, sheet)
    remark = f"First: {_clause(texts[pair.first])} Then: {_clause(texts[pair.then])} {why}"
    said = "In your order an act stands before one that must come first."
    return FindMarking("", Outcome.OUTSIDE, 0, text, said, remark=remark.strip()), reading


def _clause(text: str) -> str:
    text = " ".join(text.split())
    return text if text.endswith((".", "!", "?")) else f"{text}."


def _without_answer(reading: Reading, told: str) -> FindMarking:
    if reading.blank:
        return FindMarking("", Outcome.NOT_ANSWERED, 0, "", f"Nothing was written here. {told}")
    said = f"What was written here could not be read. {told}"
    return FindMarking("", Outcome.NOT_READABLE, 0, reading.text, said, remark=reading.problem)
