"""Triggers that keep records from being changed, as text for both engines.

What may not be changed is refused by the database itself, also to raw SQL. On SQLite an INSERT OR
REPLACE deletes what it replaces without asking the triggers on deletion, unless the connection
wishes it; so inserting over a key that is taken is refused as well. On PostgreSQL emptying a table
is refused too.

Migrations call these functions; a function that a migration has used keeps its meaning for ever.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from alembic import op

POSTGRESQL_FUNCTION = """
create function records_refuse() returns trigger language plpgsql as $$
begin
  raise exception 'records are kept: %', tg_argv[0] using errcode = 'restrict_violation';
end $$
"""


def prepare() -> None:
    """Make the function that PostgreSQL's triggers share."""
    if _is_postgresql():
        op.execute(POSTGRESQL_FUNCTION)


def unprepare() -> None:
    """Take that function away again."""
    if _is_postgresql():
        op.execute("drop function records_refuse()")


def refuse(table: str, event: str, name: str, *, when: str = "", why: str) -> None:
    """Refuse an event on the rows of a table.

    Args:
        table: The table.
        event: 'update', 'delete' or 'insert'.
        name: Distinguishes several triggers of one table and event.
        when: Condition over old.* and new.*, without subqueries; empty: always.
        why: What the refusal says.
    """
    trigger = f"keep_{table}_{name}"
    if _is_postgresql():
        condition = f" when ({when})" if when else ""
        op.execute(
            f'create trigger {trigger} before {event} on "{table}" for each row{condition} '
            f"execute function records_refuse('{why}')"
        )
        return
    condition = f" when {when}" if when else ""
    op.execute(
        f'create trigger {trigger} before {event} on "{table}" for each row{condition} '
        f"begin select raise(abort, 'records are kept: {why}'); end"
    )


def refuse_where(table: str, event: str, name: str, *, found: str, why: str) -> None:
    """Refuse an event where a condition over new.* that may hold subqueries is true."""
    if not _is_postgresql():
        refuse(table, event, name, when=found, why=why)
        return
    function = f"keep_{table}_{name}"
    op.execute(
        f"create function {function}() returns trigger language plpgsql as $$ begin "
        f"if {found} then raise exception 'records are kept: {why}' "
        "using errcode = 'restrict_violation'; end if; return new; end $$"
    )
    op.execute(
        f'create trigger {function} before {event} on "{table}" for each row '
        f"execute function {function}()"
    )


def drop_function(table: str, name: str) -> None:
    """Take away what ``refuse_where`` made on PostgreSQL, after its table is dropped."""
    if _is_postgresql():
        op.execute(f"drop function keep_{table}_{name}()")


def keep_rows(table: str) -> None:
    """Refuse to delete rows of a table, or to empty it."""
    refuse(table, "delete", "rows", why=f"{table} rows are not deleted")
    if _is_postgresql():
        op.execute(
            f'create trigger keep_{table}_whole before truncate on "{table}" for each statement '
            f"execute function records_refuse('{table} is not emptied')"
        )


def refuse_replacement(table: str, keys: Iterable[Sequence[str]]) -> None:
    """Refuse, on SQLite, an insert over a key that is taken: it could replace the row."""
    if _is_postgresql():
        return  # an insert never replaces; ON CONFLICT DO UPDATE meets the triggers on updates
    taken = " or ".join(
        f'exists (select 1 from "{table}" where '  # noqa: S608 - names of ours
        + " and ".join(f'"{column}" = new."{column}"' for column in key)
        + ")"
        for key in keys
    )
    refuse(table, "insert", "taken", when=taken, why=f"{table} rows are not replaced")


def append_only(table: str, *keys: Sequence[str]) -> None:
    """Rows are inserted and never changed or deleted."""
    refuse(table, "update", "values", why=f"{table} rows are not changed")
    keep_rows(table)
    refuse_replacement(table, keys)


def erasable(table: str, *keys: Sequence[str]) -> None:
    """Rows are inserted, perhaps deleted, never changed."""
    refuse(table, "update", "values", why=f"{table} rows are not changed")
    refuse_replacement(table, keys)


def pinned(table: str, columns: Iterable[str], *, final: str = "", name: str = "values") -> None:
    """These columns never change; where ``final`` (a condition over old.*) holds, nothing does."""
    differs = [f'old."{column}" {_differs()} new."{column}"' for column in columns]
    when = " or ".join([*differs, *([final] if final else [])])
    refuse(table, "update", name, when=when, why=f"{table} rows are not changed so")


def _is_postgresql() -> bool:
    return op.get_bind().dialect.name == "postgresql"


def _differs() -> str:
    return "is distinct from" if _is_postgresql() else "is not"
