"""Editions as the trainer and the second reader see them: findings, put in force, withdraw."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, render_template, request

from trainer.actions import authoring, viewing
from trainer.errors import TrainerError
from trainer.findings import Finding, worst_first
from trainer.web import shell
from trainer.web.access import actor, allowed, house
from trainer.web.forms.choices import pairs
from trainer.web.forms.form import words_of
from trainer.web.forms.lesson_bench import PutInForceForm, ReasonForm

if TYPE_CHECKING:
    from collections.abc import Sequence

    from flask.typing import ResponseReturnValue

    from trainer.actions.authoring import PutResult
    from trainer.web.forms.form import Form

blueprint = Blueprint("lesson_bench", __name__)
reader = allowed("trainer", "second reader", "auditor")


@blueprint.get("/editions")
@reader
def editions() -> ResponseReturnValue:
    """What is in force; with ``look=1`` also every finding of the folder."""
    found: Sequence[Finding] | None = None
    if request.args.get("look") and actor().has("trainer"):
        _, found = authoring.look(house())
    return _editions_page(PutInForceForm(formdata=None), found=found)


@blueprint.post("/editions/put-in-force")
@allowed("trainer")
def put_in_force() -> ResponseReturnValue:
    """Take the folder in; what has a finding stays out and the edition before stays."""
    form = PutInForceForm()
    form.subjects.choices = _subjects()
    if not form.validate_on_submit():
        return _editions_page(form)
    try:
        results = authoring.put_in_force(
            house(), actor(), subjects=form.subjects.data or None, reason=words_of(form.reason)
        )
    except TrainerError as error:
        form.complain(error)
        return _editions_page(form)
    found = [finding for result in results for finding in result.findings]
    fresh = PutInForceForm(formdata=None)
    return _editions_page(fresh, found=found or None, results=results)


@blueprint.get("/edition/<edition_hash>")
@reader
def edition(edition_hash: str) -> ResponseReturnValue:
    """One stored edition with its story."""
    return _edition_page(edition_hash, ReasonForm(formdata=None))


@blueprint.post("/edition/<edition_hash>/confirm")
@allowed("second reader")
def confirm(edition_hash: str) -> ResponseReturnValue:
    """The second reader puts a safety change in force, or sends it back."""
    form = ReasonForm()
    if not form.validate_on_submit():
        return _edition_page(edition_hash, form)
    act = authoring.turn_back if request.form.get("then") == "back" else None
    try:
        if act is not None:
            act(house(), actor(), edition_hash=edition_hash, reason=words_of(form.reason))
            words = "The edition is a draft again."
        else:
            authoring.confirm_safety_change(
                house(), actor(), edition_hash=edition_hash, reason=words_of(form.reason)
            )
            words = "The edition is in force."
    except TrainerError as error:
        form.complain(error)
        return _edition_page(edition_hash, form)
    return shell.done(words, "lesson_bench.edition", edition_hash=edition_hash)


@blueprint.post("/editions/<module>/withdraw")
@allowed("trainer", "second reader")
def withdraw(module: str) -> ResponseReturnValue:
    """Take a module's edition away at once."""
    form = ReasonForm()
    edition_hash = house().in_force().get(module, "")
    if not form.validate_on_submit():
        return _edition_page(edition_hash, form)
    authoring.withdraw(house(), actor(), module=module, reason=words_of(form.reason))
    return shell.done(f"{module} is withdrawn.", "lesson_bench.editions")


def _editions_page(
    form: Form,
    *,
    found: Sequence[Finding] | None = None,
    results: Sequence[PutResult] | None = None,
) -> ResponseReturnValue:
    findings = worst_first(found or ())
    errors = sum(finding.severity == "error" for finding in findings)
    form.subjects.choices = _subjects()
    return render_template(
        "lesson_bench/editions.html",
        view=viewing.editions(house(), actor()),
        form=form,
        may_put=actor().has("trainer"),
        looked=found is not None,
        findings=findings,
        words_of_count=_counted(errors, len(findings) - errors),
        results=results,
    )


def _edition_page(edition_hash: str, form: Form) -> ResponseReturnValue:
    page = viewing.edition_page(house(), actor(), edition_hash=edition_hash)
    line = page.edition
    person = actor()
    return render_template(
        "lesson_bench/edition.html",
        page=page,
        form=form,
        may_confirm=line.state == "in review"
        and not line.may_confirm
        and person.has("second reader"),
        may_withdraw=line.state == "in force"
        and line.subject != "scheme"
        and person.has("trainer", "second reader"),
    )


def _subjects() -> dict[str, str]:
    return pairs(sorted((subject, subject) for subject in house().in_force()))


def _counted(errors: int, remarks: int) -> str:
    words = [
        f"{number} {word}{'' if number == 1 else 's'}"
        for number, word in ((errors, "error"), (remarks, "remark"))
        if number
    ]
    tail = "An error keeps its module out of force; the edition before stays." if errors else ""
    return f"{' and '.join(words)}. {tail}".strip()
