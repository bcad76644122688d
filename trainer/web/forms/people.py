"""Taking people in, their roles and teams, earlier evidence."""

from __future__ import annotations

from wtforms import IntegerField, SelectField, StringField, TextAreaField
from wtforms.validators import InputRequired, NumberRange, Optional

from trainer.web.forms.choices import Boxes
from trainer.web.forms.form import Form, reasoned, wanted


class InviteForm(Form):
    """A person to take in."""

    full_name = StringField("full name", wanted("Write the full name."))
    sign_in_name = StringField(
        "sign-in name",
        wanted("Write a sign-in name."),
        render_kw={"autocapitalize": "none", "spellcheck": "false", "autocomplete": "off"},
    )
    team = SelectField("team")
    roles = Boxes("roles")


class TeamForm(Form):
    """A team and where it works from."""

    name = StringField("team", wanted("Write the name of the team."))
    site = StringField("site", wanted("Write where it works from."))


class RolesForm(Form):
    """The roles held from now on."""

    roles = Boxes("roles")


class TeamsForm(Form):
    """The teams belonged to from now on."""

    teams = Boxes("teams")


class RecogniseForm(Form):
    """A competency recognised on earlier evidence."""

    competency = SelectField("competency", [InputRequired("Say which competency.")])
    months = IntegerField("months", [Optional(), NumberRange(1, 120, "1 to 120 months.")])
    evidence = TextAreaField("evidence", reasoned("Say what was seen."), render_kw={"rows": 3})


class AccountForm(Form):
    """Why an account is closed or opened again."""

    reason = StringField("reason", wanted("Write down the reason."))
