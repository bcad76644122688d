"""People: who is here, invitations, roles and teams, earlier evidence."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import Blueprint, render_template

from trainer.actions import people, viewing
from trainer.errors import TrainerError
from trainer.paper.certificate import base_address
from trainer.web import shell
from trainer.web.access import actor, allowed, house
from trainer.web.certificate import own_address
from trainer.web.forms.choices import pairs
from trainer.web.forms.form import words_of
from trainer.web.forms.people import (
    AccountForm,
    InviteForm,
    RecogniseForm,
    RolesForm,
    TeamForm,
    TeamsForm,
)

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from trainer.actions.people import Invitation
    from trainer.actions.viewing import PersonRow
    from trainer.web.forms.form import Form

blueprint = Blueprint("people", __name__)
keeper = allowed("scheme administrator")


@dataclass(slots=True)
class PersonForms:
    """The forms on a person's page; one of them may have been sent."""

    roles: RolesForm
    teams: TeamsForm
    recognise: RecogniseForm
    account: AccountForm

    def all(self) -> list[Form]:
        """Every form, for the list of what is to be mended."""
        return [self.roles, self.teams, self.recognise, self.account]

    def wrong(self) -> bool:
        """Whether one of them is to be mended."""
        return any(form.said_wrong() for form in self.all())


@blueprint.get("/people")
@allowed("scheme administrator", "auditor")
def listed() -> ResponseReturnValue:
    """Everybody with roles and teams held now."""
    return _list_page(InviteForm(formdata=None), TeamForm(formdata=None))


@blueprint.post("/people/invite")
@keeper
def invite() -> ResponseReturnValue:
    """Take a person in; the one-time link is shown on the answer and nowhere else."""
    form = InviteForm()
    view = viewing.people_list(house(), actor())
    _fill_invite(form, view.roles, [(team.id, team.name) for team in view.teams])
    if not form.validate_on_submit():
        return _list_page(form, TeamForm(formdata=None))
    try:
        invitation = people.invite(
            house(),
            actor(),
            full_name=words_of(form.full_name),
            short_name=shell.initials(words_of(form.full_name)),
            sign_in_name=words_of(form.sign_in_name),
            roles=form.roles.data or [],
            team_id=int(form.team.data) if form.team.data else None,
        )
    except TrainerError as error:
        form.complain(error)
        return _list_page(form, TeamForm(formdata=None))
    return _link_page(invitation, words_of(form.full_name))


@blueprint.post("/people/teams")
@keeper
def add_team() -> ResponseReturnValue:
    """Make a team."""
    form = TeamForm()
    if form.validate_on_submit():
        try:
            people.add_team(house(), actor(), name=words_of(form.name), site=words_of(form.site))
            return shell.done(f"{form.name.data} is a team.", "people.listed")
        except TrainerError as error:
            form.complain(error)
    return _list_page(InviteForm(formdata=None), form)


@blueprint.get("/people/<int:person_id>")
@allowed("scheme administrator", "auditor")
def person(person_id: int) -> ResponseReturnValue:
    """One person's account."""
    return _person_page(person_id)


@blueprint.post("/people/<int:person_id>/link")
@keeper
def new_link(person_id: int) -> ResponseReturnValue:
    """A fresh one-time link."""
    row = viewing.person_card(house(), actor(), person_id=person_id)
    invitation = people.new_link(house(), actor(), person_id=person_id)
    return _link_page(invitation, row.full_name)


@blueprint.post("/people/<int:person_id>/roles")
@keeper
def set_roles(person_id: int) -> ResponseReturnValue:
    """Give and take roles so that those marked are held."""
    forms = _forms(person_id, sent="roles")
    if forms.roles.validate_on_submit():
        row = viewing.person_card(house(), actor(), person_id=person_id)
        chosen = set(forms.roles.roles.data or [])
        try:
            for role in sorted(chosen ^ set(row.roles)):
                people.set_role(
                    house(), actor(), person_id=person_id, role=role, held=role in chosen
                )
            return shell.done("The roles are set.", "people.person", person_id=person_id)
        except TrainerError as error:
            forms.roles.complain(error)
    return _person_page(person_id, forms)


@blueprint.post("/people/<int:person_id>/teams")
@keeper
def set_teams(person_id: int) -> ResponseReturnValue:
    """Let the person join and leave teams so that those marked are held."""
    forms = _forms(person_id, sent="teams")
    if forms.teams.validate_on_submit():
        row = viewing.person_card(house(), actor(), person_id=person_id)
        chosen = {int(team) for team in forms.teams.teams.data or []}
        try:
            for team in sorted(chosen ^ {ident for ident, _ in row.teams}):
                people.set_team(
                    house(), actor(), person_id=person_id, team_id=team, held=team in chosen
                )
            return shell.done("The teams are set.", "people.person", person_id=person_id)
        except TrainerError as error:
            forms.teams.complain(error)
    return _person_page(person_id, forms)


@blueprint.post("/people/<int:person_id>/recognise")
@keeper
def recognise(person_id: int) -> ResponseReturnValue:
    """Recognise a competency on earlier evidence."""
    forms = _forms(person_id, sent="recognise")
    form = forms.recognise
    if form.validate_on_submit():
        try:
            people.recognise(
                house(),
                actor(),
                person_id=person_id,
                competency=form.competency.data,
                evidence=words_of(form.evidence),
                months=form.months.data or 0,
            )
            words = f"{form.competency.data} is recognised on earlier evidence."
            return shell.done(words, "people.person", person_id=person_id)
        except TrainerError as error:
            form.complain(error)
    return _person_page(person_id, forms)


@blueprint.post("/people/<int:person_id>/disable")
@keeper
def disable(person_id: int) -> ResponseReturnValue:
    """Close an account."""
    return _account(person_id, close=True)


@blueprint.post("/people/<int:person_id>/enable")
@keeper
def enable(person_id: int) -> ResponseReturnValue:
    """Open a closed account again."""
    return _account(person_id, close=False)


def _account(person_id: int, *, close: bool) -> ResponseReturnValue:
    forms = _forms(person_id, sent="account")
    if forms.account.validate_on_submit():
        act = people.disable if close else people.enable
        try:
            act(house(), actor(), person_id=person_id, reason=words_of(forms.account.reason))
            words = "The account is closed." if close else "The account is open again."
            return shell.done(words, "people.person", person_id=person_id)
        except TrainerError as error:
            forms.account.complain(error)
    return _person_page(person_id, forms)


def _forms(person_id: int, sent: str = "") -> PersonForms:
    row: PersonRow = viewing.person_card(house(), actor(), person_id=person_id)
    view = viewing.people_list(house(), actor())
    held = {
        "roles": {"roles": list(row.roles)},
        "teams": {"teams": [str(i) for i, _ in row.teams]},
    }
    kinds = {
        "roles": RolesForm,
        "teams": TeamsForm,
        "recognise": RecogniseForm,
        "account": AccountForm,
    }
    made = {
        name: kind() if name == sent else kind(formdata=None, data=held.get(name))
        for name, kind in kinds.items()
    }
    forms = PersonForms(**made)
    forms.roles.roles.choices = pairs((role, role) for role in view.roles)
    forms.teams.teams.choices = pairs((team.id, team.name) for team in view.teams)
    forms.recognise.competency.choices = pairs(
        (c.id, f"{c.id} {c.title}") for c in house().scheme().competencies.values()
    )
    return forms


def _fill_invite(form: InviteForm, roles: tuple[str, ...], teams: list[tuple[int, str]]) -> None:
    form.roles.choices = pairs((role, role) for role in roles)
    form.team.choices = {"": "no team yet", **pairs(teams)}


def _list_page(form: InviteForm, team_form: TeamForm) -> ResponseReturnValue:
    view = viewing.people_list(house(), actor())
    _fill_invite(form, view.roles, [(team.id, team.name) for team in view.teams])
    return render_template(
        "people/listed.html",
        view=view,
        form=form,
        team_form=team_form,
        may_change=actor().has("scheme administrator"),
    )


def _person_page(person_id: int, forms: PersonForms | None = None) -> ResponseReturnValue:
    return render_template(
        "people/person.html",
        person=viewing.person_card(house(), actor(), person_id=person_id),
        forms=forms or _forms(person_id),
        may_change=actor().has("scheme administrator"),
    )


def _link_page(invitation: Invitation, name: str) -> ResponseReturnValue:
    address = f"{base_address(own_address())}/invitation/{invitation.token}"
    return render_template("people/link.html", invitation=invitation, name=name, address=address)
