"""The supervisor's glance: skills matrix, another person's job card, restrictions."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from flask import Blueprint, render_template, request

from trainer.actions import observing, viewing
from trainer.actions.viewing import restrictions as standing
from trainer.errors import TrainerError
from trainer.web import sanitised, shell
from trainer.web.access import actor, allowed, house
from trainer.web.forms.choices import pairs
from trainer.web.forms.form import words_of
from trainer.web.forms.observing import ReleaseForm, RestrictForm

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from trainer.actions.viewing import JobCard, MatrixView

blueprint = Blueprint("supervisor", __name__)
restrainer = allowed("supervisor", "scheme administrator")
overseer = allowed("supervisor", "trainer", "scheme administrator", "decision maker", "auditor")

LETTERS = (
    ("o", "·", "not started"),
    ("T", "T", "in training"),
    ("R", "R", "ready to observe"),
    ("N", "N", "not yet competent"),
    ("one", "1", "first observation done"),
    ("C", "C", "competent"),
    ("D", "D", "due"),
    ("L", "L", "lapsed"),
    ("X", "X", "restricted"),
    ("W", "W", "withdrawn"),
)


@blueprint.get("/skills-matrix")
@overseer
def matrix() -> ResponseReturnValue:
    """People by competencies, a letter for each state; cells are joined, not drawn by a macro."""
    view = viewing.matrix(house(), actor(), team_id=request.args.get("team", type=int))
    edges = _edges(view)
    rows = [
        (
            row,
            sanitised.joined(
                sanitised.matrix_cell(cell.letter, cell.state, group=edge)
                for cell, edge in zip(row.cells, edges, strict=True)
            ),
        )
        for row in view.rows
    ]
    marks = {0: "short", 1: "thin"}
    counts = view.cover or (0,) * len(view.competencies)
    return render_template(
        "supervisor/matrix.html",
        view=view,
        groups=[(m, len(list(g))) for m, g in groupby(c[3] for c in view.competencies)],
        columns=list(zip(view.competencies, edges, strict=True)),
        rows=rows,
        cover=[
            (count, " ".join(w for w in (marks.get(count, ""), "g" if edge else "") if w))
            for count, edge in zip(counts, edges, strict=True)
        ],
        short=[
            (ident, short, count)
            for (ident, short, _, _), count in zip(view.competencies, counts, strict=True)
            if count < 2
        ]
        if view.rows
        else [],
        letters=LETTERS,
    )


@blueprint.get("/job-card/<int:person_id>")
@overseer
def card_of(person_id: int) -> ResponseReturnValue:
    """Another person's job card."""
    return render_template("trainee/job_card.html", card=_card(person_id), own=False)


@blueprint.get("/job-card/<int:person_id>/competencies")
@overseer
def competencies_of(person_id: int) -> ResponseReturnValue:
    """Another person's competencies in words."""
    return render_template("trainee/competencies.html", card=_card(person_id), own=False)


@blueprint.route("/job-card/<int:person_id>/restrict", methods=["GET", "POST"])
@restrainer
def restrict(person_id: int) -> ResponseReturnValue:
    """What is restricted now; take a competency away for a time, with a reason."""
    card = _card(person_id)
    form = _restrict_form(card)
    if form.validate_on_submit():
        try:
            observing.restrict(
                house(),
                actor(),
                person_id=person_id,
                competency=form.competency.data,
                reason=words_of(form.reason),
                grinder_type=form.grinder_type.data or "",
                until=form.until.data,
            )
            words = f"{form.competency.data} is restricted from now on."
            return shell.done(words, "supervisor.card_of", person_id=person_id)
        except TrainerError as error:
            form.complain(error)
    return _restrict_page(card, form)


@blueprint.post("/job-card/<int:person_id>/release/<int:restriction_id>")
@restrainer
def release(person_id: int, restriction_id: int) -> ResponseReturnValue:
    """Give a competency back, with a reason; never by the one who took it away."""
    form = ReleaseForm()
    if form.validate_on_submit():
        try:
            observing.release(
                house(), actor(), restriction=restriction_id, reason=words_of(form.release_reason)
            )
            return shell.done("Released.", "supervisor.card_of", person_id=person_id)
        except TrainerError as error:
            form.complain(error)
    card = _card(person_id)
    return _restrict_page(card, _restrict_form(card, sent=False), form)


def _restrict_form(card: JobCard, *, sent: bool = True) -> RestrictForm:
    form = RestrictForm() if sent else RestrictForm(formdata=None)
    lines = sorted((*card.alone, *card.with_someone, *card.not_yet), key=lambda line: line.id)
    form.competency.choices = pairs((line.id, f"{line.id} {line.title}") for line in lines)
    return form


def _restrict_page(
    card: JobCard, form: RestrictForm, release_form: ReleaseForm | None = None
) -> ResponseReturnValue:
    return render_template(
        "supervisor/restrict.html",
        card=card,
        form=form,
        release_form=release_form or ReleaseForm(formdata=None),
        standing=standing.restrictions(house(), actor(), person_id=card.person_id),
    )


def _card(person_id: int) -> JobCard:
    return viewing.job_card(house(), actor(), person_id=person_id)


def _edges(view: MatrixView) -> list[bool]:
    """Whether a column begins a new module, and so a heavier rule."""
    modules = [module for _, _, _, module in view.competencies]
    return [i > 0 and module != modules[i - 1] for i, module in enumerate(modules)]
