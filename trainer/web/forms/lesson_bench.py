"""Putting editions in force, confirming them, taking them away."""

from __future__ import annotations

from wtforms import TextAreaField

from trainer.web.forms.choices import Boxes
from trainer.web.forms.form import Form, reasoned


class ReasonForm(Form):
    """The reason that is kept with an edition."""

    reason = TextAreaField("reason", reasoned("Write down the reason."), render_kw={"rows": 3})


class PutInForceForm(ReasonForm):
    """The reason, and which modules; none means all that changed."""

    subjects = Boxes("which")
