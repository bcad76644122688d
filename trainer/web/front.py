"""The door: front page, signing in and out, one-time links, one's own page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, make_response, redirect, render_template, request, url_for

from trainer.actions import people
from trainer.errors import TrainerError
from trainer.web import reading, shell
from trainer.web.access import actor, current_actor, house, open_to_all, signed_in, token
from trainer.web.forms.form import words_of
from trainer.web.forms.front import (
    ChangePasswordForm,
    OneTimeForm,
    PasswordAgainForm,
    SignInForm,
)
from trainer.web.security import clear_sign_in, own_page, renew_form_token, set_sign_in

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from trainer.actions.people import SignedIn

blueprint = Blueprint("front", __name__)


@blueprint.get("/")
@open_to_all("Only sends people on to the page their role starts with.")
def front_page() -> ResponseReturnValue:
    """Send a person to the page his role starts with, anybody else to the sign-in."""
    person = current_actor()
    endpoint = "front.sign_in" if person is None else shell.front_of(person.roles)
    return redirect(url_for(endpoint), code=303)


@blueprint.get("/ready")
@open_to_all("Says one word, the same for everybody.")
def ready() -> ResponseReturnValue:
    """Whether this server can serve, for the one in front that shares people out."""
    reading.answers()
    return make_response("ready\n", 200, {"Content-Type": "text/plain; charset=utf-8"})


@blueprint.route("/sign-in", methods=["GET", "POST"])
@open_to_all("Nobody is signed in yet.")
def sign_in() -> ResponseReturnValue:
    """Check name and password and start a sign-in."""
    form = SignInForm()
    if request.method == "GET":
        form.next.data = own_page(request.args.get("next", ""), "")
        return render_template("front/sign_in.html", form=form)
    if form.validate_on_submit():
        result = people.sign_in(
            house(),
            sign_in_name=words_of(form.sign_in_name),
            password=words_of(form.password),
            address=request.remote_addr or "",
        )
        if not isinstance(result, people.NotSignedIn):
            return _let_in(result, own_page(form.next.data or "", url_for("front.front_page")))
        form.refusals.append(result.sentence)
    return render_template("front/sign_in.html", form=form)


@blueprint.post("/sign-out")
@signed_in
def sign_out() -> ResponseReturnValue:
    """End the sign-in on the server and in the browser."""
    people.sign_out(house(), token=token())
    renew_form_token()
    answer = make_response(redirect(url_for("front.sign_in"), code=303))
    clear_sign_in(answer)
    return answer


@blueprint.route("/invitation/<link>", methods=["GET", "POST"])
@open_to_all("The link itself is the right to open it, once.")
def invitation(link: str) -> ResponseReturnValue:
    """Show what a one-time link is for; a button uses it up."""
    seen = people.look_at_invitation(house(), link)
    entering = request.form.get("then") == "enter" and seen.has_password
    form = OneTimeForm() if entering else PasswordAgainForm()
    if form.validate_on_submit():
        try:
            if entering:
                result = people.enter_by_link(house(), token=link)
            else:
                result = people.accept_invitation(
                    house(), token=link, password=words_of(form.password)
                )
            return _let_in(result, url_for("front.front_page"))
        except TrainerError as error:
            form.complain(error)
            seen = people.look_at_invitation(house(), link)
    if entering:
        again = PasswordAgainForm(formdata=None)
        again.refusals = form.refusals
        form = again
    return render_template("front/invitation.html", form=form, seen=seen, link=link)


@blueprint.get("/me")
@signed_in
def own_papers() -> ResponseReturnValue:
    """One's own page: sign out, papers, password."""
    return render_template("front/own_papers.html", form=ChangePasswordForm(formdata=None))


@blueprint.post("/me/password")
@signed_in
def password() -> ResponseReturnValue:
    """Set a new password; every other sign-in of the person ends."""
    form = ChangePasswordForm()
    if form.validate_on_submit():
        try:
            people.change_password(
                house(), actor(), token=token(), old=words_of(form.old), new=words_of(form.password)
            )
            return shell.done("The new password holds from now on.", "front.own_papers")
        except TrainerError as error:
            form.complain(error)
    return render_template("front/own_papers.html", form=form)


def _let_in(result: SignedIn, address: str) -> ResponseReturnValue:
    renew_form_token()
    answer = make_response(redirect(address, code=303))
    set_sign_in(answer, result.token, hours=house().settings.sign_in_hours)
    return answer
