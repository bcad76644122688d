"""The signing page: every criterion in words, the outcome, the password once more."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import render_template, request

from trainer.actions import observing, signing
from trainer.errors import InputError, RefusedError
from trainer.web import shell
from trainer.web.access import actor, house
from trainer.web.forms.form import words_of
from trainer.web.forms.observing import SignForm
from trainer.web.observing import observer
from trainer.web.supervisor import blueprint

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue


@blueprint.route("/observation/<int:sheet_id>/sign", methods=["GET", "POST"])
@observer
def sign(sheet_id: int) -> ResponseReturnValue:
    """Show what would be signed; sign it when the digest is that of what was shown."""
    found = observing.sheet(house(), actor(), sheet_id=sheet_id)
    statement = signing.statement(house(), actor(), sheet_id=sheet_id)
    form = SignForm()
    if form.validate_on_submit():
        try:
            signed = signing.sign(
                house(),
                actor(),
                sheet_id=sheet_id,
                digest=request.form.get("digest", ""),
                password=words_of(form.password),
                outcome=request.form.get("outcome", ""),
            )
            return shell.done(signed.sentence, "supervisor.sheet", sheet_id=sheet_id)
        except InputError as error:
            form.complain(error)
        except RefusedError as error:
            form.complain_of_password(error)
    return render_template("supervisor/sign.html", sheet=found, statement=statement, form=form)
