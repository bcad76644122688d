"""The database: one way to read and one way to write, the same on SQLite and PostgreSQL.

A write is a function that is run as one whole transaction: on SQLite behind BEGIN IMMEDIATE, on
PostgreSQL at the serialisable level. When another writer was first, the whole function is run again
after a short random pause, so it must do nothing but read and write through its session. Compute
before calling ``write``: the writer's lock is held while the function runs.

A write through a reading session is refused on both engines, so no transaction ever begins as a
reader and then asks for the writer's lock.
"""

from __future__ import annotations

import os
import secrets
import sqlite3
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from threading import Lock
from typing import Any, NoReturn, TypeVar

from sqlalchemy import Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session

from trainer.errors import BusyError, InputError, NotFoundError, StateError, register
from trainer.records.storage import Failure, failure_of, refuse_network_file

REC_BUSY = register(
    "REC-003",
    "The records are busy; this is not saved yet.",
    "Keep the page open and try again in a moment.",
    audience="trainee",
    status=503,
)
REC_FULL = register(
    "REC-004",
    "The server could not save: its storage is full or failing.",
    "Keep the page open and tell the scheme administrator; reading goes on.",
    audience="trainee",
    status=507,
)
REC_LOST = register(
    "REC-005",
    "The database cannot be reached; whether this was saved is not known.",
    "Keep the page open and send the same again in a moment: it is never saved twice.",
    audience="trainee",
    status=503,
)
REC_READER = register(
    "REC-006",
    "A statement that writes was sent through a reading session.",
    "Write through Database.write.",
    audience="operator",
    status=500,
)
REC_NESTED = register(
    "REC-007",
    "A write was begun inside another write.",
    "Pass the session on instead.",
    audience="operator",
    status=500,
)
REC_NO_FILE = register(
    "REC-008",
    "There is no database at {file}.",
    "Start once with `trainer serve`, or give the right instance folder.",
    audience="operator",
    status=500,
)
REC_ENGINE = register(
    "REC-009",
    "Records cannot be kept in {engine}.",
    "Use a sqlite:/// file or a postgresql:// server.",
    audience="operator",
    status=500,
)
REC_UNSAFE = register(
    "REC-010",
    "The PostgreSQL server may forget what it acknowledged: {setting} is {value}.",
    "Switch fsync, full_page_writes and synchronous_commit on.",
    audience="operator",
    status=500,
)

T = TypeVar("T")
GIVE_UP_S = 5.0
"""How long a write is tried again before the person is told that it is not saved."""
_FIRST_PAUSE_US = (200, 2_000)
_GROWTH_US = 5
_LONGEST_PAUSE_US = 5_000
_DOUBLE_TRIES = 3
_BUSY_TIMEOUT_MS = 5_000
_WRITE_WORDS = frozenset(
    {
        "insert",
        "update",
        "delete",
        "replace",
        "create",
        "drop",
        "alter",
        "truncate",
        "copy",
        "merge",
    }
)
# secure_delete: an erased name leaves the file; recursive_triggers: INSERT OR REPLACE meets the
# triggers that refuse a deletion. Source: SQLite, "PRAGMA Statements".
_PRAGMAS = (
    f"busy_timeout={_BUSY_TIMEOUT_MS}",
    "journal_mode=WAL",
    "synchronous=FULL",
    "foreign_keys=ON",
    "recursive_triggers=ON",
    "secure_delete=ON",
    "cache_size=-65536",
    "journal_size_limit=67108864",
)
_ENGINE_OPTIONS: dict[str, Any] = {
    "pool_size": 4,
    "max_overflow": 12,
    "pool_timeout": _BUSY_TIMEOUT_MS / 1000,
    "hide_parameters": True,  # a logged error must not show an answer or a draw key
}
_writing: ContextVar[bool] = ContextVar("records_writing", default=False)


class Database:
    """Sessions on one database. The engine is made by the process that uses it, never inherited."""

    def __init__(self, url: str) -> None:
        self.url = make_url(url)
        self.kind = self.url.get_backend_name()
        if self.kind not in {"sqlite", "postgresql"}:
            raise InputError(REC_ENGINE, engine=self.kind)
        self.barriers: Mapping[str, Callable[[], None]] = {}
        """Called at set points of a write ('began', 'before commit'); empty but in race tests."""
        self._engine: Engine | None = None
        self._owner = 0
        self._making = Lock()

    @property
    def engine(self) -> Engine:
        """The engine of this process."""
        engine = self._engine
        if engine is not None and self._owner == os.getpid():
            return engine
        with self._making:
            if self._engine is None or self._owner != os.getpid():
                if self._engine is not None:
                    self._engine.dispose(close=False)
                engine = _sqlite(self.url) if self.kind == "sqlite" else _postgresql(self.url)
                event.listen(engine, "before_cursor_execute", _refuse_write_by_reader)
                self._engine, self._owner = engine, os.getpid()
            return self._engine

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that sees one unchanging state of the records and cannot write."""
        options: dict[str, Any] = {}
        if self.kind == "postgresql":
            options = {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
        with _plain_failures(), Session(self.engine.execution_options(**options)) as session:
            yield session

    def write(self, act: Callable[[Session], T]) -> T:
        """Run a function as one whole transaction and give back what it gives back, once committed.

        Raises:
            BusyError: REC-003 after some five seconds, REC-004 for full storage, REC-005 when lost.
            StateError: REC-007 for a write inside a write.
        """
        if _writing.get():
            raise StateError(REC_NESTED)
        token = _writing.set(True)
        try:
            return self._whole(act)
        finally:
            _writing.reset(token)

    def _whole(self, act: Callable[[Session], T]) -> T:
        give_up_at = time.monotonic() + GIVE_UP_S
        tries, doubles = 0, 0
        while True:
            try:
                return self._once(act)
            except SQLAlchemyError as error:
                failure = failure_of(error)
                if failure is Failure.DOUBLE and doubles < _DOUBLE_TRIES:
                    doubles += 1
                elif failure is not Failure.BUSY:
                    _raise_plain(error, failure)
                if time.monotonic() >= give_up_at:
                    raise BusyError(REC_BUSY) from error
            _pause(tries)
            tries += 1

    def _once(self, act: Callable[[Session], T]) -> T:
        options: dict[str, Any] = {"records_writing": True}
        if self.kind == "postgresql":
            options["isolation_level"] = "SERIALIZABLE"
        engine = self.engine.execution_options(**options)
        with Session(engine, expire_on_commit=False) as session:
            session.connection()
            self._at("began")
            result = act(session)
            session.flush()
            self._at("before commit")
            try:
                session.commit()
            except SQLAlchemyError as error:
                if failure_of(error) is Failure.FULL:
                    # After a failed sync the pages in memory may not be those on disk.
                    session.invalidate()
                raise
            return result

    def _at(self, point: str) -> None:
        if point in self.barriers:
            self.barriers[point]()

    def close(self) -> None:
        """Close this process's connections; the next use opens new ones."""
        if self._engine is not None and self._owner == os.getpid():
            self._engine.dispose()
        self._engine = None


def open_database(url: str, *, create: bool = False) -> Database:
    """The database at a URL; nothing is connected yet.

    Args:
        url: ``sqlite:////absolute/file`` or ``postgresql://user@host/name``.
        create: Make the folder and the empty SQLite file (mode 0600) where there is none.

    Raises:
        InputError: REC-002 for a file on a network, REC-009 for another engine.
        NotFoundError: REC-008 where there is no file and none is to be made.
    """
    database = Database(url)
    if database.kind == "sqlite":
        if not database.url.database or database.url.database == ":memory:":
            raise InputError(REC_ENGINE, engine="memory alone")
        path = Path(database.url.database)
        if not path.exists():
            if not create:
                raise NotFoundError(REC_NO_FILE, file=str(path))
            path.parent.mkdir(parents=True, exist_ok=True)
            path.touch(mode=0o600)
        refuse_network_file(path)
    return database


def _sqlite(url: Any) -> Engine:  # noqa: ANN401 - SQLAlchemy's URL
    engine = create_engine(url, **_ENGINE_OPTIONS)

    @event.listens_for(engine, "connect")
    def _prepare(connection: Any, _record: object) -> None:  # noqa: ANN401 - the driver's own
        connection.isolation_level = None  # the driver begins nothing of its own accord
        for pragma in _PRAGMAS:
            connection.execute(f"PRAGMA {pragma}").close()

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        if not connection.get_execution_options().get("records_writing"):
            connection.exec_driver_sql("BEGIN")
            return
        driver = connection.connection.dbapi_connection
        assert driver is not None
        driver.execute("PRAGMA busy_timeout=0")
        try:
            _begin_as_writer(driver)
        finally:
            driver.execute(f"PRAGMA busy_timeout={_BUSY_TIMEOUT_MS}")

    return engine


def _begin_as_writer(driver: Any) -> None:  # noqa: ANN401 - the driver's own
    """Take the writer's lock, or say that it cannot be had.

    SQLite's own waiting sleeps ever longer, up to 100 ms, and has no queue: of two busy writers one
    starves for seconds. A short random pause gives each the same chance, and asking again is cheap.
    """
    give_up_at = time.monotonic() + GIVE_UP_S
    tries = 0
    while True:
        try:
            driver.execute("BEGIN IMMEDIATE").close()
        except sqlite3.OperationalError as error:
            failure = failure_of(error)
            if failure is not Failure.BUSY or time.monotonic() >= give_up_at:
                _raise_plain(error, failure)
        else:
            return
        _pause(tries)
        tries += 1


def _postgresql(url: Any) -> Engine:  # noqa: ANN401 - SQLAlchemy's URL
    options = "-c timezone=UTC -c statement_timeout=5000 -c lock_timeout=4000"
    engine = create_engine(
        url,
        **_ENGINE_OPTIONS,
        pool_pre_ping=True,
        connect_args={"connect_timeout": 3, "options": options},
    )

    @event.listens_for(engine, "first_connect")
    def _refuse_forgetful(connection: Any, _record: object) -> None:  # noqa: ANN401 - the driver's own
        with connection.cursor() as cursor:
            for setting in ("fsync", "full_page_writes", "synchronous_commit"):
                cursor.execute(f"SHOW {setting}")
                value = cursor.fetchone()[0]
                if value == "off":
                    raise StateError(REC_UNSAFE, setting=setting, value=value)
        connection.rollback()

    return engine


def _refuse_write_by_reader(
    connection: Connection,
    _cursor: object,
    statement: str,
    _parameters: object,
    context: Any,  # noqa: ANN401 - the dialect's own
    _many: bool,  # noqa: FBT001 - the event's own signature
) -> None:
    writes = context is not None and (context.isinsert or context.isupdate or context.isdelete)
    if not writes:
        writes = statement.lstrip(" (\n\t")[:9].split(maxsplit=1)[0].lower() in _WRITE_WORDS
    if writes and not connection.get_execution_options().get("records_writing"):
        raise StateError(REC_READER)


@contextmanager
def _plain_failures() -> Iterator[None]:
    try:
        yield
    except SQLAlchemyError as error:
        _raise_plain(error, failure_of(error))


def _raise_plain(error: Exception, failure: Failure) -> NoReturn:
    code = {Failure.BUSY: REC_BUSY, Failure.FULL: REC_FULL, Failure.LOST: REC_LOST}.get(failure)
    if code is None:
        raise error
    raise BusyError(code) from error


def _pause(tries: int) -> None:
    low, high = _FIRST_PAUSE_US
    longest = min(high + _GROWTH_US * tries, _LONGEST_PAUSE_US)
    time.sleep((low + secrets.randbelow(longest - low)) / 1_000_000)
