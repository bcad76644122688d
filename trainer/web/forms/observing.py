"""Beginning a sheet, stopping for safety, signing, restricting."""

from __future__ import annotations

from wtforms import DateField, PasswordField, SelectField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length, Optional

from trainer.web.forms.form import LINE, PASSWORD, Form, reasoned, wanted


class BeginForm(Form):
    """Whom to observe on which job; the lists are filled by the view."""

    person = SelectField("person", [InputRequired("Say whom you observe.")])
    competency = SelectField("competency", [InputRequired("Say what you observe.")])
    machine = StringField("machine", wanted("Say on which machine."))
    site = StringField("site", wanted("Say where."))


class StopForm(Form):
    """What happened before the stop."""

    what_happened = TextAreaField(
        "what happened", reasoned("Write down what happened."), render_kw={"rows": 3}
    )


class SignForm(Form):
    """The password, once more."""

    password = PasswordField(
        "password",
        [InputRequired("Write your password to sign."), Length(max=PASSWORD)],
        render_kw={"autocomplete": "current-password"},
    )


class RestrictForm(Form):
    """What is taken away, until when, and why."""

    competency = SelectField("competency", [InputRequired("Say which competency.")])
    grinder_type = StringField("grinder type", [Length(max=LINE)])
    until = DateField("until", [Optional()])
    reason = TextAreaField("reason", reasoned("Write down the reason."), render_kw={"rows": 3})


class ReleaseForm(Form):
    """Why a restriction ends."""

    release_reason = StringField("reason for the release", wanted("Write down the reason."))
