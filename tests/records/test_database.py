"""Reading and writing: pragmas, whole transactions, retries, refusals; on both engines."""

from __future__ import annotations

import os
import sqlite3
import stat
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event, select, text
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from tests.records.conftest import counting
from trainer.errors import InputError, NotFoundError, StateError
from trainer.records import waiting
from trainer.records.database import Database, open_database
from trainer.records.tables import Team, Throttle

only_sqlite = pytest.mark.parametrize("database", ["sqlite"], indirect=True)


def only_postgresql(test: Callable[..., None]) -> Callable[..., None]:
    marked = pytest.mark.parametrize("database", ["postgresql"], indirect=True)(test)
    return pytest.mark.postgres(marked)  # type: ignore[no-any-return]


def add_team(name: str) -> Callable[[Session], int]:
    def act(session: Session) -> int:
        row = Team(name=name)
        session.add(row)
        session.flush()
        return row.id

    return act


def names(database: Database) -> list[str]:
    with database.reading() as session:
        return list(session.scalars(select(Team.name).order_by(Team.name)))


@contextmanager
def held_by_another_writer(database: Database) -> Iterator[None]:
    """Another connection holds the writer's lock of a SQLite file."""
    assert database.url.database is not None
    other = sqlite3.connect(database.url.database, isolation_level=None)
    other.execute("begin immediate")
    try:
        yield
    finally:
        other.rollback()
        other.close()


def test_what_is_written_is_read(database: Database) -> None:
    key = database.write(add_team("Harbour Shed"))
    with database.reading() as session:
        assert session.get_one(Team, key).name == "Harbour Shed"


def test_rows_stay_usable_after_the_commit(database: Database) -> None:
    def act(session: Session) -> Team:
        row = Team(name="North Yard", site="Ostelmoor")
        session.add(row)
        return row

    with counting(database) as statements:
        row = database.write(act)
        assert (row.name, row.site) == ("North Yard", "Ostelmoor")
    assert len(statements) == 1


def test_a_failing_act_leaves_nothing(database: Database) -> None:
    def act(session: Session) -> None:
        session.add(Team(name="North Yard"))
        session.flush()
        message = "the act fails after it wrote"
        raise LookupError(message)

    with pytest.raises(LookupError, match="after it wrote"):
        database.write(act)
    assert names(database) == []


def test_a_reading_session_cannot_write(database: Database) -> None:
    database.write(add_team("North Yard"))
    statements = (
        "insert into team (name, site) values ('x', '')",
        "  (update team set site = 'x'",
        "update team set site = 'x'",
        "\n delete from team",
        "create table extra (id integer)",
        "drop table team",
    )
    for statement in statements:
        with database.reading() as session, pytest.raises(StateError, match="reading session"):
            session.execute(text(statement))
    with database.reading() as session:
        session.add(Team(name="Harbour Shed"))
        with pytest.raises(StateError, match="reading session"):
            session.flush()
    assert names(database) == ["North Yard"]


@only_sqlite
def test_no_transaction_begins_as_a_reader_and_then_writes(database: Database) -> None:
    """The driver's own view: each transaction that writes began as a writer."""
    seen: list[str] = []

    def trace(driver: Any, *_rest: object) -> None:  # noqa: ANN401 - the driver's own
        driver.set_trace_callback(seen.append)

    event.listen(database.engine, "checkout", trace)
    database.write(add_team("North Yard"))
    assert names(database) == ["North Yard"]
    words = [statement.split()[0] for statement in seen if not statement.startswith("PRAGMA")]
    assert words == ["BEGIN", "INSERT", "COMMIT", "BEGIN", "SELECT", "ROLLBACK"]
    assert [one for one in seen if one.startswith("BEGIN")] == ["BEGIN IMMEDIATE", "BEGIN"]


def test_a_reader_sees_one_state_while_another_writes(database: Database) -> None:
    database.write(add_team("North Yard"))
    with database.reading() as session:
        assert session.scalar(select(Team.name)) == "North Yard"
        with ThreadPoolExecutor(1) as pool:
            pool.submit(database.write, add_team("Harbour Shed")).result(timeout=30)
        assert list(session.scalars(select(Team.name))) == ["North Yard"]
    assert names(database) == ["Harbour Shed", "North Yard"]


def test_a_write_inside_a_write_is_refused(database: Database) -> None:
    with pytest.raises(StateError, match="inside another write"):
        database.write(lambda _session: database.write(add_team("North Yard")))
    assert names(database) == []
    database.write(add_team("North Yard"))


@only_sqlite
def test_every_pooled_connection_is_durable_and_strict(database: Database) -> None:
    expected = {
        "journal_mode": "wal",
        "synchronous": 2,
        "foreign_keys": 1,
        "busy_timeout": 5000,
        "recursive_triggers": 1,
        "secure_delete": 1,
        "cache_size": -65536,
    }
    with ExitStack() as stack:
        connections = [stack.enter_context(database.engine.connect()) for _ in range(16)]
        assert len({id(one.connection.dbapi_connection) for one in connections}) == 16
        for connection in connections:
            found = {
                name: connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in expected
            }
            assert found == expected
    database.write(add_team("North Yard"))
    with database.reading() as session:
        assert session.scalar(text("PRAGMA busy_timeout")) == 5000


@only_sqlite
def test_foreign_keys_are_kept(database: Database) -> None:
    def act(session: Session) -> None:
        session.execute(text("insert into person_name values (99, 'Nobody', 'N.')"))

    with pytest.raises(IntegrityError, match="FOREIGN KEY"):
        database.write(act)


@only_sqlite
def test_a_write_waits_for_another_writer(database: Database) -> None:
    with ThreadPoolExecutor(1) as pool:
        with held_by_another_writer(database):
            waiting = pool.submit(database.write, add_team("North Yard"))
            time.sleep(0.3)
            assert not waiting.done()
            assert names(database) == []
        waiting.result(timeout=30)
    assert names(database) == ["North Yard"]


def test_pauses_grow_within_their_bounds(monkeypatch: pytest.MonkeyPatch) -> None:
    slept: list[float] = []
    monkeypatch.setattr(time, "sleep", slept.append)
    for tries in range(2000):
        waiting.pause(tries)
    assert min(slept) >= 0.0002
    assert max(slept[:2]) <= 0.0021
    assert max(slept) <= 0.005
    assert max(slept[1000:]) > 0.004
    assert len(set(slept)) > 100


@only_postgresql
def test_a_transaction_that_lost_a_race_is_run_again_whole(database: Database) -> None:
    """Two read a counter and add one; at a lower level one of the two would be lost."""

    def start(session: Session) -> None:
        session.add(Throttle(key="k", failures=0))

    database.write(start)
    both_have_read = threading.Barrier(2, timeout=20)
    runs: list[int] = []

    def add_one(session: Session) -> None:
        row = session.get_one(Throttle, "k")
        runs.append(row.failures)
        if len(runs) <= 2:
            both_have_read.wait()
        row.failures += 1

    with ThreadPoolExecutor(2) as pool:
        for future in [pool.submit(database.write, add_one) for _ in range(2)]:
            future.result(timeout=30)
    with database.reading() as session:
        assert session.get_one(Throttle, "k").failures == 2
    assert runs == [0, 0, 1]


@only_postgresql
def test_a_key_taken_a_moment_ago_is_seen_on_the_second_run(database: Database) -> None:
    """Both find no row and insert one; the loser runs again, finds it and gives the same answer."""
    both_have_looked = threading.Barrier(2, timeout=20)
    looks: list[bool] = []

    def once(session: Session) -> int:
        found = session.scalar(select(Team.id).where(Team.name == "North Yard"))
        looks.append(found is not None)
        if len(looks) <= 2:
            both_have_looked.wait()
        return found or add_team("North Yard")(session)

    with ThreadPoolExecutor(2) as pool:
        futures = [pool.submit(database.write, once) for _ in range(2)]
        first, second = (future.result(timeout=30) for future in futures)
    assert first == second
    assert names(database) == ["North Yard"]


def test_a_key_that_is_really_double_is_told_at_once(database: Database) -> None:
    database.write(add_team("North Yard"))
    with pytest.raises(IntegrityError):
        database.write(add_team("North Yard"))


@only_postgresql
def test_sessions_are_at_the_levels_that_were_promised(database: Database) -> None:
    level, read_only = text("show transaction_isolation"), text("show transaction_read_only")
    with database.reading() as session:
        assert session.scalar(level) == "repeatable read"
        assert session.scalar(read_only) == "on"
        assert session.scalar(text("show timezone")) == "UTC"
        assert session.scalar(text("show statement_timeout")) == "5s"
    found = database.write(lambda session: (session.scalar(level), session.scalar(read_only)))
    assert found == ("serializable", "off")
    with database.reading() as session:
        assert session.scalar(level) == "repeatable read"


def test_writers_in_threads_all_arrive(database: Database) -> None:
    def add_one(session: Session) -> None:
        row = session.get(Throttle, "k")
        if row is None:
            session.add(Throttle(key="k", failures=1))
        else:
            row.failures += 1

    with ThreadPoolExecutor(6) as pool:
        for future in [pool.submit(database.write, add_one) for _ in range(60)]:
            future.result(timeout=60)
    with database.reading() as session:
        assert session.get_one(Throttle, "k").failures == 60


def test_a_forked_worker_has_an_engine_of_its_own(database: Database) -> None:
    database.write(add_team("North Yard"))
    inherited = database.engine
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:  # pragma: no cover - the child's lines are not seen
        said = b"failed"
        try:
            database.write(add_team("Harbour Shed"))
            said = b"own" if database.engine is not inherited else b"same"
        finally:
            os.write(writing, said)
            os._exit(0)
    os.close(writing)
    assert os.read(reading, 10) == b"own"
    os.close(reading)
    os.waitpid(child, 0)
    assert database.engine is inherited
    assert names(database) == ["Harbour Shed", "North Yard"]


def test_barriers_are_called_at_their_points(database: Database) -> None:
    called: list[str] = []
    database.barriers = {
        "began": lambda: called.append("began"),
        "before commit": lambda: called.append("before commit"),
    }
    database.write(lambda _session: called.append("act"))
    assert called == ["began", "act", "before commit"]


def test_a_database_is_made_only_when_asked(tmp_path: Path) -> None:
    path = tmp_path / "new" / "records.sqlite"
    with pytest.raises(NotFoundError, match="no database"):
        open_database(f"sqlite:///{path}")
    assert not path.parent.exists()
    open_database(f"sqlite:///{path}", create=True).close()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


@pytest.mark.parametrize("url", ["oracle://x@y/z", "sqlite://", "sqlite:///:memory:"])
def test_other_engines_are_refused(url: str) -> None:
    with pytest.raises(InputError, match="cannot be kept in"):
        open_database(url, create=True)
