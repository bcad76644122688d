"""Migrations make the tables the models say, on both engines, and lead back and up again."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import inspect, select, text

from tests.records.story import whole_site
from trainer.errors import BusyError, StateError
from trainer.records import migrations, waiting
from trainer.records.database import Database, open_database
from trainer.records.tables import metadata


def _plain(value: object) -> object:
    """Reflected values as text that can be compared; clauses by their SQL."""
    if isinstance(value, Mapping):
        return {key: _plain(value[key]) for key in sorted(value)}
    return str(value)


def schema_of(database: Database) -> dict[str, Any]:
    """Every table with its columns, keys, checks and indexes, in an order of our own."""
    with database.engine.connect() as connection:
        found = inspect(connection)
        tables = sorted(set(found.get_table_names()) - {"alembic_version"})

        def plain(rows: Iterable[Mapping[str, object]]) -> list[str]:
            return sorted(str(_plain(row)) for row in rows)

        return {
            table: {
                "columns": plain(found.get_columns(table)),
                "primary key": plain([found.get_pk_constraint(table)]),
                "foreign keys": plain(found.get_foreign_keys(table)),
                "unique": plain(found.get_unique_constraints(table)),
                "checks": plain(found.get_check_constraints(table)),
                "indexes": plain(found.get_indexes(table)),
            }
            for table in tables
        }


def contents(database: Database) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table that is there, as the engine holds it."""
    with database.engine.connect() as connection:
        there = set(inspect(connection).get_table_names())
        return {
            table.name: sorted((tuple(row) for row in connection.execute(select(table))), key=repr)
            for table in metadata.sorted_tables
            if table.name in there
        }


def test_upgrade_from_empty_arrives_at_the_head(empty_url: str) -> None:
    database = open_database(empty_url)
    assert migrations.current(database) is None
    with pytest.raises(StateError, match="empty"):
        migrations.require_current(database)
    migrations.upgrade(database)
    assert migrations.current(database) == migrations.head()
    migrations.upgrade(database)
    migrations.require_current(database)
    database.close()


def test_upgrade_makes_what_the_models_say(
    database: Database, empty_urls: Callable[[], str]
) -> None:
    made = open_database(empty_urls())
    made.write(lambda session: metadata.create_all(session.connection()))
    expected = schema_of(made)
    made.close()
    assert len(expected) == len(metadata.tables)
    assert schema_of(database) == expected


def test_autogenerate_finds_nothing_to_do(database: Database) -> None:
    with database.engine.connect() as connection:
        assert migrations.differences(connection) == []
        assert "pass" in migrations.draft(connection)


def test_a_draft_of_the_next_migration_names_what_is_new(empty_url: str) -> None:
    database = open_database(empty_url)
    with database.engine.connect() as connection:
        found = migrations.draft(connection)
    database.close()
    assert "op.create_table('signature'" in found
    assert "Moment()" in found
    assert "trainer.records.base" not in found


def test_one_down_and_up_again_on_a_filled_database(database: Database) -> None:
    database.write(whole_site)
    before = contents(database)
    assert all(before[table] for table in ("person", "marked", "signature", "certificate"))
    newest = {"candidacy", "certificate", "certificate_act"}
    migrations.downgrade(database)
    assert contents(database) == {
        table: rows for table, rows in before.items() if table not in newest
    }
    migrations.upgrade(database)
    again = contents(database)
    assert {table: rows for table, rows in again.items() if table not in newest} == {
        table: rows for table, rows in before.items() if table not in newest
    }
    assert all(again[table] == [] for table in newest)
    assert migrations.current(database) == migrations.head()


def test_all_the_way_down_leaves_nothing_behind(database: Database) -> None:
    migrations.downgrade(database, "base")
    assert schema_of(database) == {}
    if database.kind == "postgresql":
        with database.engine.connect() as connection:
            left = connection.execute(
                text("select proname from pg_proc where pronamespace = 'public'::regnamespace")
            )
            assert left.all() == []


def test_a_database_of_a_newer_program_is_refused(database: Database) -> None:
    database.write(
        lambda session: session.execute(text("update alembic_version set version_num = '9999'"))
    )
    for act in (migrations.upgrade, migrations.downgrade, migrations.require_current):
        with pytest.raises(StateError, match="9999"):
            act(database)


def test_a_failing_migration_changes_nothing(
    empty_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    from trainer.records.migrations import protection

    def fail(*_args: object, **_more: object) -> None:
        message = "the disk was pulled out"
        raise RuntimeError(message)

    database = open_database(empty_url)
    monkeypatch.setattr(protection, "drop_function", fail)
    monkeypatch.setattr(protection, "refuse_where", fail)
    with pytest.raises(RuntimeError, match="pulled out"):
        migrations.upgrade(database)
    monkeypatch.undo()
    assert schema_of(database) == {}
    assert migrations.current(database) is None
    migrations.upgrade(database)
    assert migrations.current(database) == migrations.head()
    database.close()


def test_a_migration_that_leaves_rows_dangling_is_refused(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'a.sqlite'}"
    database = open_database(url, create=True)
    migrations.upgrade(database)
    with database.engine.connect() as connection:
        driver: Any = connection.connection.dbapi_connection
        driver.execute("pragma foreign_keys=off")
        driver.execute("insert into person_name values (77, 'Nobody', 'N.')")
        driver.execute("pragma foreign_keys=on")
    with pytest.raises(StateError, match="1 rows would point at nothing, first in person_name"):
        migrations.downgrade(database)
    assert migrations.current(database) == migrations.head()
    database.close()


def test_an_upgrade_waits_for_another_process_and_then_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    url = f"sqlite:///{tmp_path / 'a.sqlite'}"
    database, other = open_database(url, create=True), open_database(url)
    monkeypatch.setattr(migrations, "_WAIT_S", 0.2)
    monkeypatch.setattr(waiting, "GIVE_UP_S", 0.05)
    with other.engine.execution_options(records_writing=True).connect() as holder:
        holder.begin()
        with pytest.raises(BusyError, match="busy"):
            migrations.upgrade(database)
    migrations.upgrade(database)
    database.close()
    other.close()


def test_processes_that_start_together_upgrade_in_turn(empty_url: str) -> None:
    program = (
        "import sys\n"
        "from trainer.records import migrations\n"
        "from trainer.records.database import open_database\n"
        "database = open_database(sys.argv[1])\n"
        "migrations.upgrade(database)\n"
        "print(migrations.current(database))\n"
    )
    started = [
        subprocess.Popen(
            [sys.executable, "-c", program, empty_url],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
        )
        for _ in range(3)
    ]
    said = [process.communicate(timeout=60)[0].decode() for process in started]
    assert said == [f"{migrations.head()}\n"] * 3
