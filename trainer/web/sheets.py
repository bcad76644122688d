"""Calculation, pick and order sheets: the exercise's page, the open sheet, the marked sheet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import redirect, render_template, request, url_for

from trainer.actions import viewing, working
from trainer.actions.working import Marked, MarkedSheet, OpenSheet
from trainer.engine.outcome import Outcome
from trainer.web import shell
from trainer.web.access import WORKERS, actor, allowed, house, wants_json, worker
from trainer.web.forms.sheets import place_of, sheet_form, typed
from trainer.web.trainee import blueprint

if TYPE_CHECKING:
    from collections.abc import Mapping

    from flask.typing import ResponseReturnValue

    from trainer.engine.outcome import Marking, Reading, Shown

KINDS = {"calculation": "Calculation sheet", "pick": "Pick sheet", "order": "Order sheet"}


@dataclass(frozen=True, slots=True)
class Stamp:
    """What is stamped into the box of a marked sheet: word, ink and a small drawn sign."""

    word: str
    ink: str
    sign: str


STAMPS = {
    Outcome.INSIDE: Stamp("INSIDE", "inside", "[ | ]"),
    Outcome.CARRIED_ON: Stamp("CARRIED ON", "near", "[|] >"),
    Outcome.NAMED_SLIP: Stamp("OUTSIDE", "outside", "| [ ]"),
    Outcome.UNIT_SLIP: Stamp("OUTSIDE", "outside", "| [ ]"),
    Outcome.OUTSIDE: Stamp("OUTSIDE", "outside", "| [ ]"),
    Outcome.NOT_READABLE: Stamp("NOT READABLE", "void", "? [ ]"),
    Outcome.NOT_ANSWERED: Stamp("EMPTY", "void", "  [ ]"),
}


@blueprint.get("/sheet/<exercise_id>")
@allowed(*WORKERS, "auditor")
def exercise(exercise_id: str) -> ResponseReturnValue:
    """The page of an exercise: its state, one's sheets, and the button that opens one."""
    person = actor()
    page = working.exercise_page(house(), person, exercise=exercise_id)
    return render_template(
        "trainee/exercise.html",
        page=page,
        exercise_id=page.exercise.id,
        title=page.exercise.title,
        kind=KINDS[page.exercise.kind.value],
        attempts=viewing.attempts(house(), person, exercise=exercise_id),
        may_work=person.has(*WORKERS),
    )


@blueprint.get("/sheets")
@worker
def attempts() -> ResponseReturnValue:
    """All one's calculation sheets, newest first."""
    return render_template("trainee/attempts.html", attempts=viewing.attempts(house(), actor()))


@blueprint.post("/sheet/<exercise_id>/open")
@worker
def open_sheet(exercise_id: str) -> ResponseReturnValue:
    """Open a sheet of an exercise."""
    attempt = working.open_sheet(house(), actor(), exercise=exercise_id)
    return redirect(url_for("trainee.sheet", attempt=attempt), code=303)


@blueprint.post("/sheet/<exercise_id>/new-numbers")
@worker
def new_numbers(exercise_id: str) -> ResponseReturnValue:
    """Open another draw of an exercise."""
    attempt = working.new_numbers(house(), actor(), exercise=exercise_id)
    return redirect(url_for("trainee.sheet", attempt=attempt), code=303)


@blueprint.get("/attempt/<int:attempt>")
@allowed(*WORKERS, "auditor")
def sheet(attempt: int) -> ResponseReturnValue:
    """A sheet: open to be filled in, or marked."""
    found = working.sheet_of(house(), actor(), attempt=attempt)
    if isinstance(found, OpenSheet):
        return _open_page(found, found.answers, found.notes)
    if isinstance(found, MarkedSheet):
        return _marked_page(found)
    return render_template("trainee/void_sheet.html", sheet=found, who=_who(found.head.person_id))


@blueprint.post("/attempt/<int:attempt>/keep")
@worker
def keep(attempt: int) -> ResponseReturnValue:
    """Keep what is typed; a script gets the moment, a person leaves for the lesson."""
    found = working.sheet_of(house(), actor(), attempt=attempt)
    answers, notes = typed(found.shown) if isinstance(found, OpenSheet) else ({}, "")
    moment = working.keep(house(), actor(), attempt=attempt, answers=answers, notes=notes)
    if wants_json():
        return shell.saved(moment)
    words = f"{found.head.exercise} is kept, {shell.second(moment)}."
    return shell.done(words, "trainee.exercise", exercise_id=found.head.exercise)


@blueprint.post("/attempt/<int:attempt>/close")
@worker
def close_and_mark(attempt: int) -> ResponseReturnValue:
    """Close the sheet and mark it; when something must be asked, ask it with the values kept."""
    found = working.sheet_of(house(), actor(), attempt=attempt)
    if not isinstance(found, OpenSheet):  # a double click: the first result stands
        return redirect(url_for("trainee.sheet", attempt=attempt), code=303)
    answers, notes = typed(found.shown)
    result = working.close_and_mark(
        house(),
        actor(),
        attempt=attempt,
        token=request.form.get("open-token", ""),
        answers=answers,
        notes=notes,
    )
    if isinstance(result, Marked):
        return redirect(url_for("trainee.sheet", attempt=result.attempt_id), code=303)
    return _open_page(found, answers, notes, result.problems)


def _open_page(
    found: OpenSheet,
    answers: Mapping[str, str],
    notes: str,
    problems: Mapping[str, Reading] | None = None,
) -> ResponseReturnValue:
    if found.head.person_id != actor().person_id:
        return render_template(
            "trainee/foreign_open_sheet.html", sheet=found, who=_who(found.head.person_id)
        )
    known = house().module(found.head.edition_hash).cautions
    return render_template(
        "trainee/open_sheet.html",
        sheet=found,
        form=sheet_form(found.shown, answers, notes, problems),
        kind=KINDS[found.shown.kind],
        cautions=[known[ident] for ident in found.cautions if ident in known],
    )


def _marked_page(found: MarkedSheet) -> ResponseReturnValue:
    shown, marking = found.shown, found.marking
    return render_template(
        "trainee/marked_sheet.html",
        sheet=found,
        stamp=_stamp(marking),
        what_of={find.symbol: find.what for find in shown.finds},
        gave=_gave(shown, found.answers),
        choices=_choices(shown, marking, found.answers),
        own=found.head.person_id == actor().person_id,
        who=_who(found.head.person_id),
    )


def _stamp(marking: Marking) -> Stamp:
    stamp = STAMPS[marking.outcome]
    strip = marking.finds[0].strip if len(marking.finds) == 1 else None
    if stamp.sign == "| [ ]" and strip and strip.answer is not None and strip.answer > strip.high:
        return Stamp(stamp.word, stamp.ink, "[ ] |")
    return stamp


def _gave(shown: Shown, answers: Mapping[str, str]) -> list[tuple[str, str, str, str]]:
    """Symbol, what, text and unit of each answer; a unit typed with the number stands alone."""
    rows = []
    for find in shown.finds:
        text = answers.get(find.symbol, "").strip()
        has_unit = any(sign.isalpha() or sign in "%µ°" for sign in text)
        unit = answers.get(f"{find.symbol}-unit") or (find.units[0] if find.units else "")
        rows.append((find.symbol, find.what, text or "empty", "" if has_unit or not text else unit))
    return rows


def _choices(
    shown: Shown, marking: Marking, answers: Mapping[str, str]
) -> list[tuple[object, ...]]:
    texts = {choice.key: choice.text for choice in shown.choices}
    if shown.kind == "order":
        places = {place: ident for ident, place in place_of(answers.get("order", "")).items()}
        return [
            (texts.get(places.get(str(number), ""), "-"), texts.get(right, right))
            for number, right in enumerate(marking.right_choices, start=1)
        ]
    chosen = answers.get("pick", "").split()
    return [(c, c.key in chosen, c.key in marking.right_choices) for c in shown.choices]


def _who(person_id: int) -> str:
    person = actor()
    if person.person_id == person_id:
        return person.short_name
    return viewing.person_card(house(), person, person_id=person_id).short_name
