"""The request's own reading session, opened by Flask-SQLAlchemy on the house's engine.

Acts and views of ``actions`` open their own short transactions. What a page of the web room reads
by itself goes through ``database.session``: one session a request, on the engine of
``records.database`` with all its rules, so a statement that writes is refused here as well.
"""

from __future__ import annotations

from typing import Any

from flask import Flask
from flask_sqlalchemy import SQLAlchemy
from flask_sqlalchemy.session import Session
from sqlalchemy import Engine, select

from trainer.web.access import house


class ReadingSession(Session):
    """A session that always speaks to the house's own engine."""

    def get_bind(self, *_args: Any, **_kwargs: Any) -> Engine:  # noqa: ANN401 - SQLAlchemy's own
        """The engine of the house this application serves."""
        return house().database.engine


database = SQLAlchemy(session_options={"class_": ReadingSession})


def attach(app: Flask) -> None:
    """Let the extension open a session when a request first reads, and close it at its end."""
    # The extension insists on an address of its own; nothing connects to it, see get_bind.
    app.config["SQLALCHEMY_DATABASE_URI"] = "sqlite://"
    database.init_app(app)


def answers() -> bool:
    """Whether the database answers: asked by whoever sends people to this server."""
    return bool(database.session.execute(select(1)).scalar_one() == 1)
