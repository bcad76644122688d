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
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from threading import Lock
from typing import Any, TypeVar

from sqlalchemy import Engine, make_url
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session

from trainer.errors import BusyError, InputError, NotFoundError, StateError, register
from trainer.records.engines import postgresql_engine, sqlite_engine
from trainer.records.storage import (
    REC_BUSY,
    REC_FULL,
    REC_LOST,
    Failure,
    failure_of,
    raise_plain,
    refuse_network_file,
)
from trainer.records.waiting import gives_up_at, pause

__all__ = ["REC_BUSY", "REC_FULL", "REC_LOST", "Database", "open_database"]

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
T = TypeVar("T")
_DOUBLE_TRIES = 3
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
                make = sqlite_engine if self.kind == "sqlite" else postgresql_engine
                engine = make(self.url)
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
        give_up_at = gives_up_at()
        tries, doubles = 0, 0
        while True:
            try:
                return self._once(act)
            except SQLAlchemyError as error:
                failure = failure_of(error)
                if failure is Failure.DOUBLE and doubles < _DOUBLE_TRIES:
                    doubles += 1
                elif failure is not Failure.BUSY:
                    raise_plain(error, failure)
                if time.monotonic() >= give_up_at:
                    raise BusyError(REC_BUSY) from error
            pause(tries)
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


@contextmanager
def _plain_failures() -> Iterator[None]:
    try:
        yield
    except SQLAlchemyError as error:
        raise_plain(error, failure_of(error))
