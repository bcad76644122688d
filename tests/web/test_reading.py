"""The request's reading session: the house's own engine, no writing, given back at the end."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from sqlalchemy import insert, select

from trainer.errors import BusyError, StateError
from trainer.records.people import Team
from trainer.web import reading

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from trainer.actions.house import House


def test_the_session_speaks_to_the_engine_of_the_records(app: Flask, house: House) -> None:
    with app.test_request_context():
        session = reading.database.session
        assert session.get_bind() is house.database.engine
        names = session.scalars(select(Team.name).order_by(Team.name)).all()
    assert names == ["Harbour Shed", "North Yard"]


def test_a_statement_that_writes_is_refused(app: Flask) -> None:
    with app.test_request_context(), pytest.raises(StateError, match="reading session"):
        reading.database.session.execute(insert(Team).values(name="Third", site="x"))


def test_the_connection_is_given_back_when_the_request_ends(
    client: FlaskClient, house: House
) -> None:
    for _ in range(40):  # more than the pool holds
        assert client.get("/ready").text == "ready\n"
    assert house.database.engine.pool.checkedout() == 0  # type: ignore[attr-defined]


def test_a_server_whose_database_is_gone_is_not_ready(
    client: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    from trainer.records.database import REC_LOST

    def lost() -> bool:
        raise BusyError(REC_LOST)

    monkeypatch.setattr(reading, "answers", lost)
    assert client.get("/ready").status_code == 503
