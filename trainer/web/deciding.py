"""The decision desk in its first form: evidence left, scheme rule right, the decision below."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, abort, render_template, request

from trainer.actions import certifying
from trainer.errors import InputError, RefusedError, StateError
from trainer.web import shell
from trainer.web.access import actor, allowed, house
from trainer.web.forms.deciding import DecisionForm
from trainer.web.forms.form import words_of

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

blueprint = Blueprint("deciding", __name__)
at_the_desk = allowed("decision maker", "scheme administrator", "auditor")


@blueprint.get("/decisions")
@at_the_desk
def desk() -> ResponseReturnValue:
    """Every candidate who waits."""
    person = actor()
    return render_template(
        "deciding/desk.html",
        lines=certifying.desk(house(), person),
        decides=person.has("decision maker"),
    )


@blueprint.get("/decision/<int:candidacy>")
@at_the_desk
def evidence(candidacy: int) -> ResponseReturnValue:
    """What a decision rests on."""
    return _page(candidacy, DecisionForm(formdata=None))


@blueprint.post("/decision/<int:candidacy>")
@allowed("decision maker", "scheme administrator")
def decide(candidacy: int) -> ResponseReturnValue:
    """Grant, refuse, ask for more evidence, or admit."""
    then = request.form.get("then", "")
    needed = "scheme administrator" if then == "admit" else "decision maker"
    if then not in {"grant", "refuse", "more", "admit"}:
        abort(400)
    if not actor().has(needed):
        abort(403)
    form = DecisionForm()
    if not form.validate_on_submit():
        return _page(candidacy, form)
    try:
        return _act(then, candidacy, words_of(form.reason), words_of(form.password))
    except (InputError, StateError) as error:
        form.complain(error)
    except RefusedError as error:
        form.complain_of_password(error)
    return _page(candidacy, form)


def _act(then: str, candidacy: int, reason: str, password: str) -> ResponseReturnValue:
    here, person = house(), actor()
    if then == "grant":
        certificate_id = certifying.grant(
            here, person, candidacy=candidacy, reason=reason, password=password
        )
        return shell.done("Granted.", "certificate.page", certificate_id=certificate_id)
    if then == "refuse":
        certifying.refuse(here, person, candidacy=candidacy, reason=reason, password=password)
        return shell.done("Refused; the person reads the reason.", "deciding.desk")
    if then == "more":
        certifying.ask_for_more(here, person, candidacy=candidacy, reason=reason)
        return shell.done("More evidence is asked for.", "deciding.desk")
    certifying.admit(here, person, candidacy=candidacy)
    return shell.done("Admitted.", "deciding.desk")


def _page(candidacy: int, form: DecisionForm) -> ResponseReturnValue:
    view = certifying.evidence(house(), actor(), candidacy=candidacy)
    return render_template(
        "deciding/evidence.html",
        view=view,
        form=form,
        may_decide=actor().has("decision maker"),
        may_admit=actor().has("scheme administrator") and view.candidacy.state == "applied",
    )
