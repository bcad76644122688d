"""The two engines: how a connection is prepared, and how a transaction begins."""

from __future__ import annotations

import sqlite3
import time
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event

from trainer.errors import StateError, register
from trainer.records.storage import Failure, failure_of, raise_plain
from trainer.records.waiting import gives_up_at, pause

REC_READER = register(
    "REC-006",
    "A statement that writes was sent through a reading session.",
    "Write through Database.write.",
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


def sqlite_engine(url: URL) -> Engine:
    """An engine whose connections are durable and strict, and whose writers begin as writers."""
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
            begin_as_writer(driver)
        finally:
            driver.execute(f"PRAGMA busy_timeout={_BUSY_TIMEOUT_MS}")

    event.listen(engine, "before_cursor_execute", _refuse_write_by_reader)
    return engine


def begin_as_writer(driver: Any) -> None:  # noqa: ANN401 - the driver's own
    """Take the writer's lock, or say that it cannot be had.

    SQLite's own waiting sleeps ever longer, up to 100 ms, and has no queue: of two busy writers one
    starves for seconds. A short random pause gives each the same chance, and asking again is cheap.

    Raises:
        BusyError: REC-003 after some five seconds, REC-004 where the file fails.
    """
    give_up_at, tries = gives_up_at(), 0
    while True:
        try:
            driver.execute("BEGIN IMMEDIATE").close()
        except sqlite3.OperationalError as error:
            failure = failure_of(error)
            if failure is not Failure.BUSY or time.monotonic() >= give_up_at:
                raise_plain(error, failure)
        else:
            return
        pause(tries)
        tries += 1


def postgresql_engine(url: URL) -> Engine:
    """An engine that gives up soon and refuses a server that may forget.

    Raises:
        StateError: REC-010, at the first connection.
    """
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

    event.listen(engine, "before_cursor_execute", _refuse_write_by_reader)
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
        first = statement.lstrip(" (\n\t")[:9].split(maxsplit=1)
        writes = bool(first) and first[0].lower() in _WRITE_WORDS
    if writes and not connection.get_execution_options().get("records_writing"):
        raise StateError(REC_READER)
