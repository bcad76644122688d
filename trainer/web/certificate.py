"""Certificates: the page that is printed, later acts on it, and the check that is open to all."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, abort, render_template, request

from trainer.actions import certifying
from trainer.errors import InputError, RefusedError, StateError
from trainer.paper.certificate import check_address
from trainer.web import shell
from trainer.web.access import WORKERS, actor, allowed, house, open_to_all, worker
from trainer.web.forms.certificate import CheckForm
from trainer.web.forms.deciding import DecisionForm
from trainer.web.forms.form import words_of

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from trainer.actions.certifying import CertificateCheck

blueprint = Blueprint("certificate", __name__)

INKS = {"valid": "inside", "suspended": "near", "expired": "near"}
LATER_ACTS = {"valid": ("suspend", "withdraw"), "suspended": ("reinstate", "withdraw")}
ACTS = {
    "suspend": (certifying.suspend, "The certificate is suspended."),
    "reinstate": (certifying.reinstate, "The certificate is valid again."),
    "withdraw": (certifying.withdraw, "The certificate is withdrawn."),
}
OPEN = "A client at the counter checks a certificate without an account."


def own_address() -> str:
    """The public address: the setting, else that of this request."""
    return house().settings.address or request.url_root


@blueprint.get("/certificates")
@worker
def own() -> ResponseReturnValue:
    """One's own certificates."""
    person = actor()
    found = certifying.certificates_of(house(), person, person_id=person.person_id)
    held = {one.kind for one in found if one.state in {"valid", "suspended"}}
    kinds = [kind for kind in house().scheme().certificates.values() if kind.id not in held]
    return render_template("certificate/own.html", certificates=found, to_apply=kinds)


@blueprint.get("/certificate/<int:certificate_id>")
@allowed(*WORKERS, "scheme administrator", "decision maker", "auditor")
def page(certificate_id: int) -> ResponseReturnValue:
    """A certificate as it is printed."""
    return _page(certificate_id, DecisionForm(formdata=None))


@blueprint.post("/certificate/<int:certificate_id>")
@allowed("decision maker")
def act(certificate_id: int) -> ResponseReturnValue:
    """Suspend, reinstate or withdraw."""
    then = request.form.get("then", "")
    if then not in ACTS:
        abort(400)
    form = DecisionForm()
    if form.validate_on_submit():
        run, words = ACTS[then]
        try:
            run(
                house(),
                actor(),
                certificate_id=certificate_id,
                reason=words_of(form.reason),
                password=words_of(form.password),
            )
            return shell.done(words, "certificate.page", certificate_id=certificate_id)
        except (InputError, StateError) as error:
            form.complain(error)
        except RefusedError as error:
            form.complain_of_password(error)
    return _page(certificate_id, form)


@blueprint.route("/check", methods=["GET", "POST"])
@open_to_all(OPEN)
def check() -> ResponseReturnValue:
    """Check by number and word; every answer has the same shape."""
    form = CheckForm()
    answer = None
    if form.validate_on_submit():
        answer = certifying.check_certificate(
            house(), number=words_of(form.number), word=words_of(form.word)
        )
    return _answer_page(answer, form)


@blueprint.get("/c/<token>")
@open_to_all(OPEN)
def by_link(token: str) -> ResponseReturnValue:
    """Check by the link of the square code."""
    answer = certifying.check_by_link(house(), token=token)
    return _answer_page(answer, CheckForm(formdata=None))


def _answer_page(answer: CertificateCheck | None, form: CheckForm) -> ResponseReturnValue:
    ink = INKS.get(answer.state, "outside") if answer else ""
    return render_template("certificate/check.html", answer=answer, form=form, ink=ink)


def _page(certificate_id: int, form: DecisionForm) -> ResponseReturnValue:
    view = certifying.certificate(house(), actor(), certificate_id=certificate_id)
    may_act = LATER_ACTS.get(view.state, ()) if actor().has("decision maker") else ()
    return render_template(
        "certificate/page.html",
        view=view,
        form=form,
        address=check_address(own_address(), view.link_token),
        may_act=may_act,
    )
