"""A decision, or a later act on a certificate: a reason, and the password once more."""

from __future__ import annotations

from wtforms import PasswordField, TextAreaField
from wtforms.validators import Length

from trainer.web.forms.form import PARAGRAPH, PASSWORD, Form


class DecisionForm(Form):
    """Reason and password; which of them an act needs, the act says."""

    reason = TextAreaField("reason", [Length(max=PARAGRAPH)], render_kw={"rows": 3})
    password = PasswordField(
        "password", [Length(max=PASSWORD)], render_kw={"autocomplete": "current-password"}
    )
