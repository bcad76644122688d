"""The application: one factory that puts guards, furniture, refusals and blueprints together."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Flask, request
from jinja2 import StrictUndefined

from trainer import settings as settings_table
from trainer.actions.house import House, open_house
from trainer.web import (
    certificate,
    deciding,
    front,
    lesson_bench,
    lessons,
    observing,
    people,
    reading,
    refusals,
    security,
    sheets,
    shell,
    signing,
    supervisor,
    trainee,
)
from trainer.web.access import open_to_all, rule_of

if TYPE_CHECKING:
    from flask import Response

    from trainer.settings import Settings

# Views that share a blueprint with another module are imported for their routes.
PAGES = (lessons, sheets, observing, signing)
BLUEPRINTS = (
    front.blueprint,
    trainee.blueprint,
    supervisor.blueprint,
    lesson_bench.blueprint,
    deciding.blueprint,
    people.blueprint,
    certificate.blueprint,
)
KEPT_FOR_GOOD = "public, max-age=31536000, immutable"


def create_app(source: House | Settings) -> Flask:
    """Make the application of an open house, or open the house of these settings first."""
    house = source if isinstance(source, House) else open_house(source)
    app = Flask("trainer.web", static_folder="static", template_folder="templates")
    app.config.update(SECRET_KEY=house.secret_key, FIRM=house.settings.firm)
    fallbacks = house.settings.secret_key_fallbacks.split()
    if fallbacks:
        app.config["SECRET_KEY_FALLBACKS"] = fallbacks
    app.extensions["house"] = house
    app.jinja_env.undefined = StrictUndefined
    app.jinja_env.trim_blocks = True
    app.jinja_env.lstrip_blocks = True
    reading.attach(app)
    security.guard(app, house.settings)
    refusals.receive(app)
    shell.furnish(app)
    for blueprint in BLUEPRINTS:
        app.register_blueprint(blueprint)
    open_to_all("Style sheet and scripts, the same for everybody.")(app.view_functions["static"])
    app.after_request(_keep_static)
    missing = [endpoint for endpoint in app.view_functions if rule_of(app, endpoint) is None]
    assert not missing, f"views without an access rule: {missing}"
    return app


def from_environment() -> Flask:
    """The application of the settings in force, for the server's worker processes."""
    return create_app(settings_table.load())


def _keep_static(response: Response) -> Response:
    """Let a browser keep a file whose address carries its digest."""
    if request.endpoint == "static" and response.status_code < 300:
        kept = KEPT_FOR_GOOD if request.args.get("v") else "no-cache"
        response.headers["Cache-Control"] = kept
    return response
