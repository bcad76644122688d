"""Storage that is full, gone or forgetful is told in plain words, and nothing is half saved."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any

import psycopg
import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError, OperationalError
from sqlalchemy.orm import Session

from tests.records.test_database import (
    add_team,
    held_by_another_writer,
    names,
    only_postgresql,
    only_sqlite,
)
from trainer.errors import BusyError, StateError
from trainer.records import engines, waiting
from trainer.records.database import Database, open_database
from trainer.records.tables import Team


@only_sqlite
def test_a_write_that_waits_too_long_says_that_nothing_is_saved(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(waiting, "GIVE_UP_S", 0.2)
    with held_by_another_writer(database), pytest.raises(BusyError) as caught:
        database.write(add_team("North Yard"))
    assert caught.value.status == 503
    assert "not saved yet" in str(caught.value)
    assert names(database) == []


@pytest.mark.parametrize(
    ("name", "kind"), [("SQLITE_IOERR_LOCK", BusyError), ("SQLITE_ERROR", sqlite3.OperationalError)]
)
def test_a_lock_that_fails_for_another_reason_is_not_waited_for(
    name: str, kind: type[Exception]
) -> None:
    class Driver:
        asked = 0

        def execute(self, _statement: str) -> None:
            self.asked += 1
            error = sqlite3.OperationalError("as the driver says it")
            error.sqlite_errorname = name
            raise error

    driver = Driver()
    with pytest.raises(kind):
        engines.begin_as_writer(driver)
    assert driver.asked == 1


@only_postgresql
def test_a_server_that_may_forget_is_refused(database: Database) -> None:
    name = database.url.database
    quick = database.url.update_query_dict({"options": "-c synchronous_commit=off"})
    database.write(
        lambda session: session.execute(text(f"alter database {name} set synchronous_commit = off"))
    )
    forgetful = Database(quick.difference_update_query(["options"]).render_as_string())
    with (
        pytest.raises(StateError, match="synchronous_commit is off"),
        forgetful.reading() as session,
    ):
        session.execute(text("select 1"))
    forgetful.close()


@pytest.mark.postgres
def test_a_server_out_of_reach_is_told_in_plain_words(tmp_path: Path) -> None:
    database = open_database(f"postgresql://postgres@/none?host={tmp_path}")
    with pytest.raises(BusyError) as caught, database.reading() as session:
        session.execute(text("select 1"))
    assert caught.value.status == 503
    with pytest.raises(BusyError, match="not known"):
        database.write(add_team("North Yard"))


@only_postgresql
def test_a_connection_that_died_is_replaced(database: Database) -> None:
    database.write(add_team("North Yard"))
    with database.reading() as session:
        process = session.scalar(text("select pg_backend_pid()"))
    other = Database(database.url.render_as_string())
    end = text("select pg_terminate_backend(:process)")
    other.write(lambda session: session.execute(end, {"process": process}))
    other.close()
    database.write(add_team("Harbour Shed"))
    assert names(database) == ["Harbour Shed", "North Yard"]


@only_sqlite
def test_a_full_disk_is_told_in_plain_words(database: Database) -> None:
    def fill(session: Session) -> None:
        pages = session.scalar(text("PRAGMA page_count"))
        session.execute(text(f"PRAGMA max_page_count={pages}"))
        session.add_all(Team(name=f"{number}-{'x' * 2000}") for number in range(200))

    with pytest.raises(BusyError) as caught:
        database.write(fill)
    assert caught.value.status == 507
    assert "full" in str(caught.value)
    assert names(database) == []


@only_sqlite
def test_a_failed_commit_closes_the_connection(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After a sync that failed nothing that this connection remembers may be trusted."""
    full = sqlite3.OperationalError("disk I/O error")
    full.sqlite_errorname = "SQLITE_IOERR_FSYNC"

    def fail(_session: Session) -> None:
        raise OperationalError("COMMIT", {}, full)

    drivers: list[Any] = []

    def act(session: Session) -> None:
        drivers.append(session.connection().connection.dbapi_connection)

    with monkeypatch.context() as patched:
        patched.setattr(Session, "commit", fail)
        with pytest.raises(BusyError, match="full or failing"):
            database.write(act)
    with pytest.raises(sqlite3.ProgrammingError, match="closed"):
        drivers[0].execute("select 1")
    database.write(add_team("North Yard"))


def test_an_error_does_not_show_what_was_written(database: Database) -> None:
    database.write(add_team("a secret name"))
    with pytest.raises(IntegrityError) as caught:
        database.write(add_team("a secret name"))
    assert "INSERT INTO team" in str(caught.value)
    assert "a secret name" not in str(caught.value).replace(str(caught.value.orig), "")


def test_a_race_that_is_lost_when_time_is_over_is_told(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(waiting, "GIVE_UP_S", 0.0)
    runs: list[int] = []

    def lose(session: Session) -> None:
        runs.append(add_team("North Yard")(session))
        raise OperationalError("update", {}, psycopg.errors.SerializationFailure("again"))

    with pytest.raises(BusyError, match="not saved yet"):
        database.write(lose)
    assert len(runs) == 1
    assert names(database) == []
