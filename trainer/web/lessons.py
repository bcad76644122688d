"""Lessons: the page, its figures, acknowledging a caution, signing as read."""

from __future__ import annotations

import mimetypes
from typing import TYPE_CHECKING

from flask import make_response, render_template

from trainer.actions import viewing, working
from trainer.web import shell
from trainer.web.access import WORKERS, actor, allowed, house, signed_in, worker
from trainer.web.security import figure_policy
from trainer.web.trainee import blueprint

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

KEPT_FOR_GOOD = "private, max-age=31536000, immutable"
PICTURES = {"image/svg+xml", "image/png", "image/jpeg", "image/webp"}


@blueprint.get("/lesson/<lesson_id>")
@allowed(*WORKERS, "auditor", "decision maker", "scheme administrator")
def lesson(lesson_id: str) -> ResponseReturnValue:
    """A lesson of the edition in force."""
    person = actor()
    page = viewing.lesson_page(house(), person, lesson=lesson_id)
    return render_template("trainee/lesson.html", page=page, may_sign=person.has(*WORKERS))


@blueprint.post("/lesson/<lesson_id>/read")
@worker
def read(lesson_id: str) -> ResponseReturnValue:
    """Sign a lesson as read."""
    working.sign_as_read(house(), actor(), lesson=lesson_id)
    return shell.done(f"{lesson_id} is signed as read.", "trainee.lesson", lesson_id=lesson_id)


@blueprint.post("/lesson/<lesson_id>/caution/<caution_id>")
@worker
def acknowledge(lesson_id: str, caution_id: str) -> ResponseReturnValue:
    """Acknowledge a caution of a lesson."""
    working.acknowledge(house(), actor(), lesson=lesson_id, caution=caution_id)
    return shell.done("The caution is acknowledged.", "trainee.lesson", lesson_id=lesson_id)


@blueprint.get("/figure/<edition_hash>/<name>")
@signed_in
def figure(edition_hash: str, name: str) -> ResponseReturnValue:
    """A figure of any edition; its address holds the edition's hash, so it never changes."""
    content = viewing.figure(house(), edition_hash=edition_hash, name=name)
    kind = mimetypes.guess_type(name)[0] or ""
    answer = make_response(content)
    answer.headers["Content-Type"] = "image/svg+xml; charset=utf-8" if "svg" in kind else kind
    if kind not in PICTURES:
        answer.headers["Content-Type"] = "text/plain; charset=utf-8"
        answer.headers["Content-Disposition"] = "attachment"
    answer.headers["Content-Security-Policy"] = figure_policy(content)
    answer.headers["Cache-Control"] = KEPT_FOR_GOOD
    return answer
