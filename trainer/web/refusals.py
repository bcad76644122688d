"""What a person sees when something cannot be done: one page shape, plain words, never a trace.

Every error of ours carries its sentence and its cure; anything unforeseen is written to the log
under an incident id, and the page shows the id alone.
"""

from __future__ import annotations

import json
import logging
import secrets
from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import Flask, current_app, jsonify, make_response, render_template, request
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException, SecurityError

from trainer.errors import TrainerError, register
from trainer.web.access import wants_json

if TYPE_CHECKING:
    from flask import Response
    from flask.typing import ResponseReturnValue

log = logging.getLogger("trainer.web")

UNFORESEEN = register(
    "WEB-020",
    "Something went wrong on the server. What you sent was not saved.",
    "Go back and send it again; if it comes back, tell the scheme administrator the number below.",
    audience="trainee",
    status=500,
)
FORM_TOKEN = register(
    "WEB-021",
    "This form belongs to an earlier sign-in, so nothing was done.",
    "Open the page again and fill the form in once more.",
    audience="trainee",
    status=400,
)


@dataclass(frozen=True, slots=True)
class Words:
    """The title, sentence and cure of a refusal page."""

    title: str
    sentence: str
    cure: str


TITLES = {
    400: "Cannot be read",
    401: "Sign in first",
    403: "Not allowed",
    404: "Not here",
    405: "Not that way",
    409: "Not as things stand",
    410: "No longer here",
    413: "Too large",
    415: "Wrong kind of file",
    422: "Not as it should be",
    429: "Wait a little",
    500: "Stopped by a fault",
    503: "Busy",
}
PLAIN = {
    400: ("The request could not be read.", "Go back, open the page again and repeat it."),
    401: ("You are not signed in, or the sign-in has ended.", "Sign in and repeat it."),
    403: ("This is not open to you.", "The scheme administrator keeps the list of roles."),
    404: ("There is no such page.", "Look at the address, or start from the front page."),
    405: ("This address does not take that kind of request.", "Start from the front page."),
    413: ("What was sent is larger than this page takes.", "Shorten it and send it again."),
}


def receive(app: Flask) -> None:
    """Let this module answer every error of the application."""
    app.register_error_handler(TrainerError, of_ours)
    app.register_error_handler(CSRFError, of_form_token)
    app.register_error_handler(HTTPException, of_http)
    app.register_error_handler(Exception, unforeseen)


def of_ours(error: TrainerError) -> ResponseReturnValue:
    """An error of the catalogue: its own sentence, cure and status."""
    if error.status >= 500 and error.row.audience == "operator":
        return unforeseen(error)
    _note(error.status, error.code)
    return _page(error.status, Words(TITLES.get(error.status, ""), str(error), error.cure))


def of_form_token(error: CSRFError) -> ResponseReturnValue:
    """A form without its token, or with one of another sign-in."""
    return of_ours(TrainerError(FORM_TOKEN, reason=error.description))


def of_http(error: HTTPException) -> ResponseReturnValue:
    """An error of the web itself: an unknown address, a wrong method, too much sent."""
    status = error.code or 500
    if status < 400:  # a redirect by the router
        return error.get_response()
    sentence, cure = PLAIN.get(status, ("The request was refused.", "Start from the front page."))
    _note(status, error.name)
    answer = _page(status, Words(TITLES.get(status, error.name), sentence, cure))
    if status == 405 and getattr(error, "valid_methods", None):
        answer.headers["Allow"] = ", ".join(sorted(error.valid_methods))  # type: ignore[attr-defined]
    return answer


def unforeseen(error: Exception) -> ResponseReturnValue:
    """A fault of ours: the log has the trace under an id, the page has the id."""
    incident = secrets.token_hex(4)
    log.error("incident %s", incident, exc_info=error)
    _note(500, incident)
    row = TrainerError(UNFORESEEN)
    return _page(500, Words(TITLES[500], str(row), row.cure), incident=incident)


def _page(status: int, words: Words, incident: str = "") -> Response:
    if isinstance(
        request.routing_exception, SecurityError
    ):  # a foreign host: no page has an address
        answer = make_response(f"{words.title}. {words.sentence}\n", status)
        answer.mimetype = "text/plain"
        return answer
    if wants_json():
        answer = jsonify(said=f"{words.sentence} {words.cure}")
        answer.status_code = status
        return answer
    try:
        body = render_template("refusal.html", status=status, words=words, incident=incident)
    except Exception:
        if status < 500:
            raise
        # The page itself needs the database for its strip; when that is what failed, say it bare.
        log.exception("incident %s: the refusal page failed too", incident)
        bare = current_app.jinja_env.get_template("bare.html")  # without what pages share
        body = bare.render(words=words, incident=incident)
    return make_response(body, status)


def _note(status: int, what: str) -> None:
    """One line of JSON for the log, whatever the request's text holds."""
    line = {"status": status, "what": what, "method": request.method, "path": request.path}
    log.info("%s", json.dumps(line, ensure_ascii=True))
