"""An upgraded, empty database on each engine, and a counter of the statements sent to it."""

from __future__ import annotations

import secrets
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import pytest
from sqlalchemy import event

from tests.postgres_server import PostgresServer, postgres_server, roomy_place
from trainer.records import migrations
from trainer.records.database import Database, open_database

__all__ = ["postgres_server"]
ENGINES = ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)]


@pytest.fixture
def folder() -> Iterator[Path]:
    """A folder for database files."""
    with _folder() as path:
        yield path


@contextmanager
def _folder() -> Iterator[Path]:
    """In memory where there is room: every write is synced."""
    with tempfile.TemporaryDirectory(prefix="grist-records-", dir=roomy_place()) as name:
        yield Path(name)


@pytest.fixture(scope="session")
def _sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("template") / "template.sqlite"
    database = open_database(f"sqlite:///{path}", create=True)
    migrations.upgrade(database)
    database.close()
    return path


@pytest.fixture(scope="session")
def _postgresql_template(postgres_server: PostgresServer) -> Iterator[str]:
    with postgres_server.fresh() as name:
        database = open_database(postgres_server.url(name))
        migrations.upgrade(database)
        database.close()
        yield name


@pytest.fixture(params=ENGINES)
def empty_url(request: pytest.FixtureRequest, folder: Path) -> Iterator[str]:
    """The URL of a database without any table."""
    with _empty(request.param, request, folder) as url:
        yield url


@pytest.fixture
def empty_urls(
    database: Database, request: pytest.FixtureRequest, folder: Path
) -> Iterator[Callable[[], str]]:
    """Makes further databases without any table, on the engine of the database under test."""
    with ExitStack() as stack:
        yield lambda: stack.enter_context(_empty(database.kind, request, folder))


@contextmanager
def _empty(kind: str, request: pytest.FixtureRequest, folder: Path) -> Iterator[str]:
    if kind == "sqlite":
        path = folder / f"empty-{secrets.token_hex(4)}.sqlite"
        open_database(f"sqlite:///{path}", create=True)
        yield f"sqlite:///{path}"
        return
    server: PostgresServer = request.getfixturevalue("postgres_server")
    with server.fresh() as name:
        yield server.url(name)


@pytest.fixture(params=ENGINES)
def database(request: pytest.FixtureRequest) -> Iterator[Database]:
    """A database at the newest schema, without a row."""
    if request.param == "sqlite":
        with _folder() as own:
            shutil.copyfile(request.getfixturevalue("_sqlite_template"), own / "records.sqlite")
            found = open_database(f"sqlite:///{own / 'records.sqlite'}")
            yield found
            found.close()
        return
    server: PostgresServer = request.getfixturevalue("postgres_server")
    with server.fresh(request.getfixturevalue("_postgresql_template")) as name:
        found = open_database(server.url(name))
        yield found
        found.close()


class Statements(list[str]):
    """The statements sent while counting."""


@contextmanager
def counting(database: Database) -> Iterator[Statements]:
    """Collect every statement sent to a database, but those that begin and end a transaction."""
    found = Statements()

    def note(_c: object, _cursor: object, statement: str, *_rest: object) -> None:
        if not statement.upper().startswith(("BEGIN", "PRAGMA", "SHOW")):
            found.append(statement)

    event.listen(database.engine, "before_cursor_execute", note)
    try:
        yield found
    finally:
        event.remove(database.engine, "before_cursor_execute", note)
