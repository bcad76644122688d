"""Observation on a phone: the list, a sheet criterion by criterion, the stop for safety."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from flask import abort, redirect, render_template, request, url_for

from trainer.actions import observing, viewing
from trainer.errors import TrainerError
from trainer.web import shell
from trainer.web.access import WORKERS, actor, allowed, house
from trainer.web.forms.choices import pairs
from trainer.web.forms.form import PARAGRAPH, words_of
from trainer.web.forms.observing import BeginForm, StopForm
from trainer.web.supervisor import blueprint

if TYPE_CHECKING:
    from datetime import datetime

    from flask.typing import ResponseReturnValue

    from trainer.actions.observing import CriterionValue, ObservationSheetView
    from trainer.library.catalogue import Caution

VALUES = ("done", "not done", "not seen")
observer = allowed("supervisor")


@blueprint.get("/observations")
@allowed(*WORKERS, "auditor")
def observations() -> ResponseReturnValue:
    """Who asked, which sheets are open, what was signed lately; one's own for a trainee."""
    person = actor()
    view = viewing.observation_list(house(), person)
    form = BeginForm(formdata=None)
    form.person.choices = pairs(view.people)
    form.competency.choices = pairs((i, f"{i} {title}") for i, title in view.competencies)
    return render_template(
        "supervisor/observations.html", view=view, form=form, may_observe=person.has("supervisor")
    )


@blueprint.route("/observations/begin", methods=["GET", "POST"])
@observer
def begin() -> ResponseReturnValue:
    """Say on which machine, and open the sheet."""
    view = viewing.observation_list(house(), actor())
    form = BeginForm() if request.method == "POST" else BeginForm(request.args)
    form.person.choices = pairs(view.people)
    form.competency.choices = pairs((i, f"{i} {title}") for i, title in view.competencies)
    if form.validate_on_submit():
        try:
            sheet_id = observing.open_observation(
                house(),
                actor(),
                person_id=int(form.person.data),
                competency=form.competency.data,
                machine=words_of(form.machine),
                site=words_of(form.site),
            )
            return redirect(url_for("supervisor.sheet", sheet_id=sheet_id), code=303)
        except TrainerError as error:
            form.complain(error)
    return render_template("supervisor/begin.html", form=form)


@blueprint.get("/observation/<int:sheet_id>")
@allowed(*WORKERS, "auditor", "decision maker", "scheme administrator")
def sheet(sheet_id: int) -> ResponseReturnValue:
    """An observation sheet, open for its observer, to read for whoever may see it."""
    found = observing.sheet(house(), actor(), sheet_id=sheet_id)
    return _sheet_page(found)


@blueprint.post("/observation/<int:sheet_id>")
@observer
def keep(sheet_id: int) -> ResponseReturnValue:
    """Keep every box and note of the page, then go where the button says."""
    found = observing.sheet(house(), actor(), sheet_id=sheet_id)
    for row in found.criteria:
        value = request.form.get(f"value-{row.id}", "")
        note = request.form.get(f"note-{row.id}", "")[:PARAGRAPH]
        if value in VALUES and (value, note) != (row.value, row.note):
            _tick(sheet_id, row.id, value, note)
    then = request.form.get("then", "leave")
    if then == "stop":
        return redirect(url_for("supervisor.stop", sheet_id=sheet_id), code=303)
    if then == "sign":
        found = observing.sheet(house(), actor(), sheet_id=sheet_id)
        if not found.outcome_if_signed:
            return _sheet_page(found, missing=_to_see(found))
        return redirect(url_for("supervisor.sign", sheet_id=sheet_id), code=303)
    return shell.done(f"Sheet {found.number} is kept.", "supervisor.observations")


@blueprint.post("/observation/<int:sheet_id>/tick")
@observer
def tick(sheet_id: int) -> ResponseReturnValue:
    """Keep one criterion as soon as it is marked; a script of ours sends it."""
    value = request.form.get("value", "")
    if value not in VALUES:
        abort(400)
    criterion = request.form.get("criterion", "")
    moment = _tick(sheet_id, criterion, value, request.form.get("note", "")[:PARAGRAPH])
    return shell.saved(moment)


@blueprint.route("/observation/<int:sheet_id>/stop", methods=["GET", "POST"])
@observer
def stop(sheet_id: int) -> ResponseReturnValue:
    """Ask what happened, then end the sheet for danger."""
    found = observing.sheet(house(), actor(), sheet_id=sheet_id)
    form = StopForm()
    if form.validate_on_submit():
        try:
            observing.stop_for_safety(
                house(), actor(), sheet_id=sheet_id, what_happened=words_of(form.what_happened)
            )
            words = f"Stopped for safety: {found.competency} is restricted at once."
            return shell.done(words, "supervisor.sheet", sheet_id=sheet_id)
        except TrainerError as error:
            form.complain(error)
    return render_template("supervisor/stop.html", sheet=found, form=form)


def _tick(sheet_id: int, criterion: str, value: str, note: str) -> datetime:
    return observing.tick(
        house(),
        actor(),
        sheet_id=sheet_id,
        criterion=criterion,
        value=cast("CriterionValue", value),
        note=note,
    )


def _sheet_page(found: ObservationSheetView, missing: str = "") -> ResponseReturnValue:
    is_open = found.state == "open" and found.observer_id == actor().person_id
    return render_template(
        "supervisor/sheet.html",
        sheet=found,
        open=is_open,
        missing=missing,
        cautions=_cautions(found) if is_open else [],
    )


def _cautions(found: ObservationSheetView) -> list[Caution]:
    """The panels of the competency's hazards, from the modules in force that carry them."""
    known: dict[str, Caution] = {}
    if found.cautions:
        for module in house().modules():
            known.update(module.cautions)
    return [known[ident] for ident in found.cautions if ident in known]


def _to_see(found: ObservationSheetView) -> str:
    numbers = [str(n) for n, row in enumerate(found.criteria, 1) if row.id in found.still_to_see]
    which = ", ".join(numbers or found.still_to_see)
    return f"Not seen yet: {which}. A sheet is signed when every criterion was seen."
