"""Signing in, accepting an invitation, changing the password."""

from __future__ import annotations

from wtforms import HiddenField, PasswordField, StringField
from wtforms.validators import EqualTo, InputRequired, Length

from trainer.web.forms.form import LINE, PASSWORD, Form


class SignInForm(Form):
    """Name and password; ``next`` is the page that asked for the sign-in."""

    sign_in_name = StringField(
        "sign-in name",
        [InputRequired("Write your sign-in name."), Length(max=LINE)],
        render_kw={"autocomplete": "username", "autocapitalize": "none", "spellcheck": "false"},
    )
    password = PasswordField(
        "password",
        [InputRequired("Write your password."), Length(max=PASSWORD)],
        render_kw={"autocomplete": "current-password"},
    )
    next = HiddenField(validators=[Length(max=500)])


class PasswordAgainForm(Form):
    """A new password, written twice."""

    password = PasswordField(
        "new password",
        [InputRequired("Write a password."), Length(max=PASSWORD)],
        render_kw={"autocomplete": "new-password"},
    )
    again = PasswordField(
        "once more",
        [
            InputRequired("Write the password once more."),
            EqualTo("password", "The two passwords differ."),
        ],
        render_kw={"autocomplete": "new-password"},
    )


class OneTimeForm(Form):
    """The form of a one-time link used without a new password: a token and nothing else."""


class ChangePasswordForm(PasswordAgainForm):
    """The old password and a new one."""

    old = PasswordField(
        "password now",
        [InputRequired("Write the password you have now."), Length(max=PASSWORD)],
        render_kw={"autocomplete": "current-password"},
    )
