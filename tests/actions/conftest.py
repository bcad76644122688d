"""An open house on each engine with the sample library in force, and the people of the tests."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from datetime import datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from sqlalchemy import event

from tests.actions import sample
from tests.actions.sample import Crew
from tests.postgres_server import PostgresServer, postgres_server
from trainer import clock, settings
from trainer.actions import passwords
from trainer.actions.house import House
from trainer.records import migrations
from trainer.records.database import Database, open_database

__all__ = ["postgres_server"]
ENGINES = ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)]
MEMORY = Path("/dev/shm")
"""Where there is room in memory: every write here is synced."""


@pytest.fixture(scope="session")
def acts_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An upgraded, empty SQLite file to copy."""
    file = tmp_path_factory.mktemp("acts") / "template.sqlite"
    found = open_database(f"sqlite:///{file}", create=True)
    migrations.upgrade(found)
    found.close()
    return file


@pytest.fixture(scope="session")
def acts_postgres(postgres_server: PostgresServer) -> Iterator[str]:
    """An upgraded, empty PostgreSQL database to copy."""
    with postgres_server.fresh() as name:
        found = open_database(postgres_server.url(name))
        migrations.upgrade(found)
        found.close()
        yield name


@pytest.fixture(params=ENGINES)
def database(request: pytest.FixtureRequest) -> Iterator[Database]:
    """A database at the newest schema, without a row."""
    with ExitStack() as stack:
        if request.param == "sqlite":
            place = MEMORY if MEMORY.is_dir() else None
            folder = Path(stack.enter_context(TemporaryDirectory(prefix="acts-", dir=place)))
            shutil.copyfile(request.getfixturevalue("acts_template"), folder / "acts.sqlite")
            url = f"sqlite:///{folder / 'acts.sqlite'}"
        else:
            server: PostgresServer = request.getfixturevalue("postgres_server")
            template = request.getfixturevalue("acts_postgres")
            url = server.url(stack.enter_context(server.fresh(template)))
        found = open_database(url)
        stack.callback(found.close)
        yield found


class Time:
    """A clock that stands still until it is moved."""

    def __init__(self, now: datetime) -> None:
        self.now = now

    def __call__(self) -> datetime:
        return self.now

    def on(self, **step: float) -> None:
        """Move on by days, hours, minutes."""
        self.now += timedelta(**step)


@pytest.fixture
def time() -> Iterator[Time]:
    moving = Time(sample.MONDAY)
    with clock.at(moving):
        yield moving


@pytest.fixture
def house(database: Database, tmp_path: Path, time: Time) -> House:
    found = House(
        settings.load({"instance": tmp_path, "firm": "Quernhithe Grinder Care"}, environment={}),
        database,
        secret_key=b"k" * 32,
        draw_secret=b"d" * 32,
    )
    sample.put(found, sample.scheme())
    sample.put(found, sample.module_m01())
    sample.put(found, sample.module_m03())
    return found


@pytest.fixture
def crew(house: House) -> Crew:
    found = Crew(house)
    found.come("piers", "scheme administrator")
    found.come("delphine", "trainee", team="North Yard")
    found.come("ngozi", "supervisor", team="North Yard")
    return found


@pytest.fixture(autouse=True)
def _light_hashing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hash with the least work argon2 knows; test_passwords looks at the real parameters."""
    from argon2 import PasswordHasher

    monkeypatch.setattr(
        passwords, "_HASHER", PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    )
    passwords._dummy.cache_clear()


@contextmanager
def counting(database: Database) -> Iterator[list[str]]:
    """Every statement sent to a database meanwhile, but those that begin and end a transaction."""
    found: list[str] = []

    def note(_c: object, _cursor: object, statement: str, *_rest: object) -> None:
        if not statement.upper().startswith(("BEGIN", "PRAGMA", "SHOW")):
            found.append(statement)

    event.listen(database.engine, "before_cursor_execute", note)
    try:
        yield found
    finally:
        event.remove(database.engine, "before_cursor_execute", note)
