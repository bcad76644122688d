"""The bare limits that real pages are rated against, built on the same database and framework."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from typing import TYPE_CHECKING

from flask import Flask
from sqlalchemy import select

from trainer import clock
from trainer.records.attempts import Attempt
from trainer.records.people import Person
from trainer.records.state_tables import StateCompetency

if TYPE_CHECKING:
    from trainer.actions.house import House

PAGE = """<!doctype html>
<html lang="en"><title>floor</title><body><table>
{% for row in rows %}<tr><td>{{ row.a }}</td><td>{{ row.b }}</td><td>{{ row.c }}</td>
<td>a row of a plain table with some words in it, {{ row.d }}, to bring the page to its size: the
length of a row is chosen so that the whole page weighs about as much as a lesson's shell.</td></tr>
{% endfor %}</table><form method="post">{% for n in range(12) %}
<label>field {{ n }} <input name="f{{ n }}" value="{{ n }}"></label>
{% endfor %}</form></body></html>"""


def page_floor() -> Callable[[], object]:
    """A bare Flask page of about 12 KB: a table of 44 rows and 12 fields."""
    app = Flask("floor")
    rows = [{"a": n, "b": n * n, "c": f"row {n}", "d": n % 7} for n in range(44)]

    template = app.jinja_env.from_string(PAGE)

    @app.get("/")
    def page() -> str:
        return template.render(rows=rows)

    client = app.test_client()
    size = len(client.get("/").data)
    assert 10_000 < size < 16_000, size
    return lambda: client.get("/")


def save_floor(house: House, person_id: int, edition_hash: str) -> Callable[[], object]:
    """A bare route that reads a person and inserts one row, committed as the server commits."""
    app = Flask("floor")

    @app.post("/")
    def save() -> str:
        with house.database.reading() as session:
            person = session.get(Person, person_id)
            assert person is not None

        def act(session: object) -> None:
            from sqlalchemy.orm import Session

            assert isinstance(session, Session)
            session.add(
                Attempt(
                    person_id=person_id,
                    exercise="floor",
                    module="M03",
                    edition_hash=edition_hash,
                    draw_key=secrets.token_bytes(32),
                    open_token=secrets.token_urlsafe(24),
                    opened_at=clock.now(),
                    state="void",
                )
            )

        house.database.write(act)
        return "saved"

    client = app.test_client()
    return lambda: client.post("/")


def matrix_floor(house: House, person_ids: list[int]) -> Callable[[], object]:
    """A bare route: one SELECT of every folded row of these people, cells joined ready-made."""
    app = Flask("floor")
    wanted = select(
        StateCompetency.person_id, StateCompetency.competency, StateCompetency.last_signed_at
    ).where(StateCompetency.person_id.in_(person_ids))

    @app.get("/")
    def cells() -> str:
        with house.database.reading() as session:
            rows = session.execute(wanted).all()
        body = "".join(
            f'<td class="k C"><span aria-hidden="true">C</span>'
            f'<span class="unseen">{row[1]}</span></td>'
            for row in rows
        )
        return f"<table><tr>{body}</tr></table>"

    client = app.test_client()
    return lambda: client.get("/")
