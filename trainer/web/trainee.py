"""The trainee's own pages: job card, programme, competencies in words, requests."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import Blueprint, render_template

from trainer.actions import certifying, observing, viewing
from trainer.web import shell
from trainer.web.access import actor, house, worker

if TYPE_CHECKING:
    from collections.abc import Mapping

    from flask.typing import ResponseReturnValue

    from trainer.actions.viewing import ModuleLine

blueprint = Blueprint("trainee", __name__)


@dataclass(frozen=True, slots=True)
class Routing:
    """One line of the routing sheet: a date when done, 'n of m' while open, a dash before."""

    module: ModuleLine
    read: str
    worked: str
    observed: str
    is_open: bool  # unfolded on the page: what is at hand now


@blueprint.get("/job-card")
@worker
def job_card() -> ResponseReturnValue:
    """The job card: alone, with someone, not yet, and what comes next."""
    card = viewing.job_card(house(), actor())
    return render_template("trainee/job_card.html", card=card, own=True)


@blueprint.get("/competencies")
@worker
def competencies() -> ResponseReturnValue:
    """Every competency with its state in words and what is missing."""
    card = viewing.job_card(house(), actor())
    return render_template("trainee/competencies.html", card=card, own=True)


@blueprint.get("/programme")
@worker
def programme() -> ResponseReturnValue:
    """The ordered modules with one's place in them."""
    modules = viewing.programme(house(), actor())
    card = viewing.job_card(house(), actor())
    states = {line.id: line.state for line in card.alone + card.with_someone + card.not_yet}
    return render_template(
        "trainee/programme.html",
        lines=[_routing(module, states) for module in modules],
        may_start=[m.id for m in modules if not m.begun and not m.needs_open],
        waits=[(m.id, m.needs_open) for m in modules if m.needs_open and not m.done],
    )


@blueprint.post("/observe/<competency>/ask")
@worker
def ask(competency: str) -> ResponseReturnValue:
    """Ask to be observed."""
    observing.ask_to_be_observed(house(), actor(), competency=competency)
    return shell.done(f"You asked to be observed for {competency}.", "trainee.job_card")


@blueprint.post("/observe/request/<int:request_id>/withdraw")
@worker
def withdraw_request(request_id: int) -> ResponseReturnValue:
    """Take a request back."""
    observing.withdraw_request(house(), actor(), request=request_id)
    return shell.done("The request is taken back.", "trainee.competencies")


@blueprint.post("/apply/<certificate>")
@worker
def apply(certificate: str) -> ResponseReturnValue:
    """Apply for a certificate."""
    certifying.apply(house(), actor(), certificate=certificate)
    return shell.done(
        "Your application is with the scheme; a decision comes back here.", "trainee.job_card"
    )


def _routing(module: ModuleLine, states: Mapping[str, str]) -> Routing:
    dates = [lesson.read_at for lesson in module.lessons]
    inside = sum(exercise.done for exercise in module.exercises)
    seen = [f"{ident} {states.get(ident, '')}".strip() for ident, _ in module.competencies]
    return Routing(
        module=module,
        read=_share(
            len([d for d in dates if d]),
            len(dates),
            shell.day(max((d for d in dates if d), default=None)),
        ),
        worked=_share(inside, len(module.exercises), "all inside"),
        observed="; ".join(seen) or "-",
        is_open=not module.done and not module.needs_open,
    )


def _share(done: int, of: int, whole: str) -> str:
    if not done:
        return "-"
    return whole if done == of else f"{done} of {of}"
