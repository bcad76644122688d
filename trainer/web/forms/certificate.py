"""The public check."""

from __future__ import annotations

from wtforms import StringField
from wtforms.validators import InputRequired, Length

from trainer.web.forms.form import Form


class CheckForm(Form):
    """Number and check word, as they stand on the paper."""

    number = StringField(
        "number",
        [InputRequired("Write the number."), Length(max=40)],
        render_kw={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"},
    )
    word = StringField(
        "word",
        [InputRequired("Write the check word."), Length(max=40)],
        render_kw={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"},
    )
