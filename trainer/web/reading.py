"""The request's own reading session, held by Flask-SQLAlchemy on the house's engine.

The library opens the session at its first use and gives the connection back when the request ends;
the engine, its pool and its rules (a reader cannot write) are those of ``records.database``.
"""

from __future__ import annotations

from typing import Any

from flask import Flask
from flask_sqlalchemy import SQLAlchemy
from flask_sqlalchemy.session import Session
from sqlalchemy import Engine

from trainer.web.access import house


class ReadingSession(Session):
    """A session that always speaks to the house's own engine."""

    def get_bind(self, *_args: Any, **_kwargs: Any) -> Engine:  # noqa: ANN401 - SQLAlchemy's own
        """The engine of the house this application serves."""
        return house().database.engine


database = SQLAlchemy(session_options={"class_": ReadingSession})


def attach(app: Flask, url: str) -> None:
    """Let the extension open and close the session with each request."""
    # The extension wants an address; the engine it makes from it is never connected, see get_bind.
    app.config["SQLALCHEMY_DATABASE_URI"] = url
    database.init_app(app)
