"""Migrations of the records, configured here and not in a file."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Literal

from alembic.autogenerate import compare_metadata, produce_migrations, render_python_code
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.runtime.environment import EnvironmentContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection
from sqlalchemy.exc import SQLAlchemyError

from trainer.errors import BusyError, StateError, register
from trainer.records.database import Database
from trainer.records.storage import REC_BUSY, Failure, failure_of
from trainer.records.tables import metadata

REC_SCHEMA = register(
    "REC-030",
    "The database is at the schema {found}; this program knows {known}.",
    "Start the program that fits the database, or upgrade it.",
    audience="operator",
    status=500,
)
REC_DANGLING = register(
    "REC-031",
    "After the migration {count} rows would point at nothing, first in {table}.",
    "Nothing was changed. Restore the last backup or mend these rows.",
    audience="operator",
    status=500,
)

_WAIT_S = 60.0
_PAUSE_S = 0.05


def head() -> str:
    """The newest schema that this program knows."""
    found = _scripts().get_current_head()
    assert found is not None
    return found


def current(database: Database) -> str | None:
    """The schema a database is at; None: an empty one."""
    with database.engine.connect() as connection:
        return MigrationContext.configure(connection).get_current_revision()


def upgrade(database: Database, target: str = "head") -> None:
    """Bring a database to the newest schema (or this one), all or nothing.

    Several processes may ask at once: the first one does it, the others find it done.

    Raises:
        BusyError: REC-003 when another process keeps the database for a minute.
        StateError: REC-030 for a database of a newer program, REC-031 when rows would dangle.
    """
    if target == "head" and current(database) == head():
        return
    _in_turn(lambda: _walk(database, target, down=False))


def downgrade(database: Database, target: str = "-1") -> None:
    """Take a database one schema back (or to this one). What only the newer schema holds is lost.

    Raises:
        StateError: REC-030 for a database of a newer program, REC-031 when rows would dangle.
    """
    _in_turn(lambda: _walk(database, target, down=True))


def require_current(database: Database) -> None:
    """Refuse to work on a database that is not at this program's schema.

    Raises:
        StateError: REC-030.
    """
    found = current(database)
    if found != head():
        raise StateError(REC_SCHEMA, found=found or "empty", known=head())


def differences(connection: Connection) -> list[Any]:
    """What the tables of this program have that the database has not, and the other way round."""
    context = MigrationContext.configure(connection, opts=_options())
    return list(compare_metadata(context, metadata))


def draft(connection: Connection) -> str:
    """The body of the next migration as code, to be read, mended and completed by a person."""
    context = MigrationContext.configure(connection, opts=_options())
    script = produce_migrations(context, metadata)
    parts = []
    for name, steps in (("upgrade", script.upgrade_ops), ("downgrade", script.downgrade_ops)):
        assert steps is not None
        code = render_python_code(
            steps, render_as_batch=True, render_item=_rendered, migration_context=context
        )
        parts.append(f"def {name}() -> None:\n    {code}\n")
    return "\n\n".join(parts)


def _options() -> dict[str, Any]:
    return {
        "target_metadata": metadata,
        "compare_type": True,
        "compare_server_default": True,
        "render_as_batch": True,
        "transactional_ddl": True,
    }


def _rendered(kind: str, item: Any, _context: object) -> str | Literal[False]:  # noqa: ANN401 - Alembic's own
    if kind == "type" and type(item).__module__ == "trainer.records.base":
        return f"{type(item).__name__}()"
    return False


def _scripts() -> ScriptDirectory:
    return ScriptDirectory.from_config(_config())


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    return config


def _refuse_unknown(connection: Connection) -> None:
    found = MigrationContext.configure(connection).get_current_revision()
    known = [script.revision for script in _scripts().walk_revisions()]
    if found is not None and found not in known:
        raise StateError(REC_SCHEMA, found=found, known=known[0])


def _in_turn(act: Callable[[], None]) -> None:
    """Do it; while another process keeps the database, wait and try again."""
    give_up_at = time.monotonic() + _WAIT_S
    while True:
        try:
            act()
        except (BusyError, SQLAlchemyError) as error:
            if isinstance(error, SQLAlchemyError) and failure_of(error) is not Failure.BUSY:
                raise
            if time.monotonic() >= give_up_at:
                raise BusyError(REC_BUSY) from error
            time.sleep(_PAUSE_S)
        else:
            return


def _walk(database: Database, target: str, *, down: bool) -> None:
    with _migrating(database) as connection:
        _refuse_unknown(connection)
        _run(connection, target, down=down)


def _run(connection: Connection, target: str, *, down: bool) -> None:
    scripts = _scripts()

    def steps(revision: Any, _context: object) -> Any:  # noqa: ANN401 - Alembic's own
        walk = scripts._downgrade_revs if down else scripts._upgrade_revs  # noqa: SLF001 - as Alembic's own commands do
        return walk(target, revision)

    with EnvironmentContext(_config(), scripts, fn=steps) as environment:
        environment.configure(connection=connection, **_options())
        environment.run_migrations()


@contextmanager
def _migrating(database: Database) -> Iterator[Connection]:
    """One transaction for the whole migration; foreign keys are checked at its end."""
    options: dict[str, Any] = {"records_writing": True}
    with database.engine.connect().execution_options(**options) as connection:
        if database.kind == "postgresql":
            with connection.begin():
                connection.exec_driver_sql("set local statement_timeout = 0")
                connection.exec_driver_sql("select pg_advisory_xact_lock(7281946)")
                yield connection
            return
        # Rebuilding a table drops it; SQLite would then delete what points at it.
        driver = connection.connection.dbapi_connection
        assert driver is not None
        driver.execute("PRAGMA foreign_keys=OFF")
        try:
            with connection.begin():
                yield connection
                dangling = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
                if dangling:
                    raise StateError(REC_DANGLING, count=len(dangling), table=dangling[0][0])
        finally:
            driver.execute("PRAGMA foreign_keys=ON")
