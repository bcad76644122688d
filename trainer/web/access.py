"""Who may open which page: a rule on every view, one check before every request.

A view carries its rule as data (``view.access_rule``), so that a test can walk the URL map and so
that a view without a rule is refused, not open. The check stands in one place, ``check_access``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar, cast

from flask import Flask, current_app, g, redirect, request, url_for
from werkzeug.exceptions import Unauthorized

from trainer.actions import people
from trainer.errors import RefusedError, StateError, register
from trainer.rules import roles as roles_held

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from trainer.actions.house import Actor, House

NOT_YOURS = register(
    "WEB-001",
    "This page belongs to another role.",
    "It is open to: {roles}. The scheme administrator keeps the list of roles.",
    audience="trainee",
    status=403,
)
NO_RULE = register(
    "WEB-002",
    "This page has no access rule yet, so it stays shut.",
    "Put @allowed or @open_to_all on the view {view}.",
    audience="operator",
    status=403,
)
NO_HOUSE = register(
    "WEB-003",
    "The application was made without a house.",
    "Make it with trainer.web.application.create_app.",
    audience="operator",
    status=500,
)

View = TypeVar("View", bound=Callable[..., object])


@dataclass(frozen=True, slots=True)
class Rule:
    """Who may use a view: these roles, or everybody (with the reason why that is safe)."""

    roles: frozenset[str] = frozenset()
    open_because: str = ""

    @property
    def is_open(self) -> bool:
        """Whether no sign-in is needed."""
        return bool(self.open_because)

    def lets_in(self, actor: Actor | None) -> bool:
        """Whether this person may use the view."""
        return self.is_open or (actor is not None and bool(self.roles & actor.roles))


def _carrying(rule: Rule) -> Callable[[View], View]:
    def carry(view: View) -> View:
        view.access_rule = rule  # type: ignore[attr-defined]
        return view

    return carry


def allowed(*roles: str) -> Callable[[View], View]:
    """Let only people with one of these roles use the view."""
    unknown = set(roles) - set(roles_held.ALL)
    if unknown or not roles:
        msg = f"@allowed needs roles of the vocabulary, not {sorted(unknown)}"
        raise ValueError(msg)
    return _carrying(Rule(frozenset(roles)))


def open_to_all(because: str) -> Callable[[View], View]:
    """Let everybody use the view, signed in or not; the reason is kept beside the rule."""
    return _carrying(Rule(open_because=because))


# Auditors and client contacts look only; scheme people and decision makers work no sheets either.
WORKERS = ("trainee", "technician", "supervisor", "trainer", "second reader")
signed_in = allowed(*roles_held.ALL)
worker = allowed(*WORKERS)


def rule_of(app: Flask, endpoint: str) -> Rule | None:
    """The rule of an endpoint, None when its view carries none."""
    return cast("Rule | None", getattr(app.view_functions[endpoint], "access_rule", None))


def house() -> House:
    """The house this application serves."""
    found = current_app.extensions.get("house")
    if found is None:
        raise StateError(NO_HOUSE)
    return cast("House", found)


def token() -> str:
    """The sign-in token of this request, empty when there is none."""
    return request.cookies.get(current_app.config["SIGN_IN_COOKIE"], "")


def wants_json() -> bool:
    """Whether a script of ours asks (it reads one sentence, not a page)."""
    return request.accept_mimetypes.best == "application/json"


def current_actor() -> Actor | None:
    """The person signed in, read once a request."""
    if "actor" not in g:
        g.actor = people.actor_of(house(), token()) if token() else None
    return cast("Actor | None", g.actor)


def actor() -> Actor:
    """The person signed in; to be used by views that need one."""
    found = current_actor()
    if found is None:
        raise Unauthorized
    return found


def check_access() -> ResponseReturnValue | None:
    """Refuse the request unless the rule of its view lets the person in."""
    if request.endpoint is None:  # an unknown address: the 404 page follows
        return None
    rule = rule_of(current_app, request.endpoint)
    if rule is None:
        raise RefusedError(NO_RULE, view=request.endpoint)
    if rule.is_open:
        return None
    person = current_actor()
    if person is None:
        if request.method in {"GET", "HEAD"} and not wants_json():
            return redirect(url_for("front.sign_in", next=request.full_path.rstrip("?")), code=303)
        raise Unauthorized
    if not rule.lets_in(person):
        raise RefusedError(NOT_YOURS, roles=", ".join(sorted(rule.roles)))
    return None
