"""The database itself refuses to change what must not change: raw SQL on both engines."""

# ruff: noqa: S608 - the names in these statements are ours

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from functools import partial
from typing import Any

import pytest
from sqlalchemy import inspect, text
from sqlalchemy.exc import DBAPIError, IntegrityError
from sqlalchemy.orm import Session

from tests.records.story import Story, hours, whole_site
from trainer.records import migrations
from trainer.records.database import Database
from trainer.records.tables import (
    Attempt,
    FreeText,
    ObservationMark,
    Restriction,
    Signature,
    metadata,
)

APPEND_ONLY = (
    "caution_seen",
    "certificate",
    "certificate_act",
    "competency_withdrawn",
    "edition",
    "edition_event",
    "lesson_read",
    "marked",
    "observation_mark",
    "recognition",
    "record_log",
    "record_node",
    "signature",
)
KEPT = ("attempt", "candidacy", "membership", "observation_request", "observation_sheet")
KEPT_TOO = ("person", "restriction", "role")
ERASABLE = ("free_text", "record_detail")
CHANGING = {
    "alembic_version",
    "credential",
    "edition_pages",
    "in_force",
    "invitation",
    "person_name",
    "proof",
    "sign_in",
    "state_competency",
    "state_exercise",
    "team",
    "throttle",
}


def refused(database: Database, statement: str, **values: object) -> str:
    """Send a statement that must be refused; gives what the refusal says."""
    with pytest.raises(DBAPIError) as caught:
        database.write(lambda session: session.execute(text(statement), values))
    assert isinstance(caught.value, IntegrityError)
    return str(caught.value.orig)


def rows(database: Database, table: str) -> list[Any]:
    with database.reading() as session:
        return sorted(session.execute(text(f'select * from "{table}"')).all(), key=repr)


def test_every_table_is_classed() -> None:
    classed = {*APPEND_ONLY, *KEPT, *KEPT_TOO, *ERASABLE, *CHANGING}
    assert classed == {*metadata.tables, "alembic_version"}


def test_records_are_neither_changed_nor_deleted(database: Database) -> None:
    database.write(whole_site)
    for table in APPEND_ONLY:
        before = rows(database, table)
        assert before, f"nothing to protect in {table}"
        for column in metadata.tables[table].columns:
            name = column.name
            said = refused(database, f'update "{table}" set "{name}" = "{name}"')
            assert f"{table} rows are not changed" in said
        said = refused(database, f'delete from "{table}"')
        assert f"{table} rows are not deleted" in said
        assert rows(database, table) == before


def test_rows_with_a_life_of_their_own_are_not_deleted(database: Database) -> None:
    database.write(whole_site)
    for table in (*KEPT, *KEPT_TOO):
        assert "rows are not deleted" in refused(database, f'delete from "{table}"')


def test_what_can_be_erased_cannot_be_changed(database: Database) -> None:
    database.write(whole_site)
    for table in ERASABLE:
        assert "not changed" in refused(database, f'update "{table}" set salt = salt')
    assert rows(database, "free_text")
    database.write(lambda session: session.execute(text("delete from free_text")))
    database.write(lambda session: session.execute(text("delete from record_detail")))
    assert rows(database, "free_text") == []
    with database.reading() as session:
        signature = session.query(Signature).one()
        assert signature.statement_id is not None
        assert signature.statement is None


@pytest.mark.parametrize("database", ["postgresql"], indirect=True)
@pytest.mark.postgres
def test_a_table_of_records_is_not_emptied(database: Database) -> None:
    for table in (*APPEND_ONLY, *KEPT, *KEPT_TOO):
        assert "is not emptied" in refused(database, f'truncate "{table}" cascade')


REPLACING = {
    "edition": "subject",
    "marked": "close_token",
    "certificate": "number",
    "signature": "digest",
    "observation_mark": "criterion",
    "record_log": "kind",
    "record_node": "hash",
    "recognition": "competency",
    "lesson_read": "lesson",
    "attempt": "exercise",
    "restriction": "competency",
    "record_detail": "payload",
    "free_text": "text",
}


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_a_stranger_with_a_plain_connection_cannot_replace_a_row(database: Database) -> None:
    database.write(whole_site)
    assert database.url.database is not None
    stranger = sqlite3.connect(database.url.database)
    assert stranger.execute("pragma recursive_triggers").fetchone() == (0,)
    for table, changed in REPLACING.items():
        names = [column.name for column in metadata.tables[table].columns]
        wanted = ", ".join("'other'" if name == changed else f'"{name}"' for name in names)
        before = rows(database, table)
        with pytest.raises(sqlite3.IntegrityError, match="records are kept"):
            stranger.execute(f'insert or replace into "{table}" select {wanted} from "{table}"')
        stranger.rollback()
        assert rows(database, table) == before
    stranger.close()


def test_an_open_attempt_keeps_what_it_was_opened_with(database: Database) -> None:
    ids = database.write(whole_site)
    fixed = {
        "person_id": ids["supervisor"],
        "exercise": "M03-E9",
        "module": "M05",
        "edition_hash": ids["scheme"],
        "draw_key": b"other",
        "open_token": "other",
        "opened_at": "2031-03-09T00:00:00.000000Z",
        "own_numbers": False,
    }
    for column, value in fixed.items():
        statement = f"update attempt set {column} = :value where id = :id"
        assert "not changed so" in refused(database, statement, value=value, id=ids["open"])

    def save(session: Session) -> None:
        attempt = session.get_one(Attempt, ids["open"])
        attempt.saved, attempt.saved_at = {"t": "5.2"}, hours(5)
        attempt.method_notes = "two seconds of lag"

    database.write(save)
    with database.reading() as session:
        assert session.get_one(Attempt, ids["open"]).saved == {"t": "5.2"}


def test_an_attempt_that_is_over_never_changes_again(database: Database) -> None:
    ids = database.write(whole_site)
    for state in ("closed", "void", "lapsed"):

        def over(session: Session, state: str = state) -> int:
            attempt = Story(session).attempt(ids["trainee"], f"M03-{state}", ids["module"])
            session.flush()
            attempt.state = state
            return attempt.id

        attempt = database.write(over)
        for change in ("saved = '{}'", "method_notes = 'more'", "state = 'open'", "state = state"):
            statement = f"update attempt set {change} where id = :id"
            assert "not changed so" in refused(database, statement, id=attempt)


def test_a_sheet_takes_no_judgement_once_it_has_ended(database: Database) -> None:
    ids = database.write(whole_site)

    def judge(session: Session) -> None:
        session.add(
            ObservationMark(
                sheet_id=ids["sheet"], criterion="C04-2", seq=1, value="done", at=hours(9)
            )
        )

    with pytest.raises(IntegrityError, match="takes no judgement"):
        database.write(judge)


MAY_FOLLOW: dict[str, set[str]] = {
    "signed": {"countersigned", "refused"},
    "countersigned": set(),
    "refused": set(),
    "stopped for safety": set(),
}
CHANGE = "update observation_sheet set state = :state where id = :id"


def test_a_sheet_that_has_ended_is_only_countersigned_or_refused(database: Database) -> None:
    ids = database.write(whole_site)

    def sheet_in(session: Session, wanted: str) -> int:
        sheet = Story(session).sheet(ids["trainee"], ids["supervisor"], "C01", ids["scheme"], 9)
        sheet.state = wanted
        session.flush()
        return sheet.id

    for state, may_follow in MAY_FOLLOW.items():
        for follows in ("open", *MAY_FOLLOW):
            sheet = database.write(partial(sheet_in, wanted=state))
            values = {"state": follows, "id": sheet}
            if follows in may_follow:
                assert database.write(partial(changed_rows, values=values)) == 1
            else:
                assert "not changed so" in refused(database, CHANGE, **values)


def changed_rows(session: Session, values: dict[str, object]) -> int:
    session.execute(text(CHANGE), values)
    found = text("select count(*) from observation_sheet where id = :id and state = :state")
    return int(session.execute(found, values).scalar_one())


def test_a_release_is_added_once_and_by_another_person(database: Database) -> None:
    ids = database.write(whole_site)

    def release(by: int) -> Callable[[Session], None]:
        def act(session: Session) -> None:
            row = session.get_one(Restriction, ids["restriction"])
            row.released_at, row.released_by_id = hours(20), by

        return act

    for nobody in (ids["supervisor"], ids["trainee"]):
        with pytest.raises(IntegrityError):
            database.write(release(nobody))
    database.write(release(ids["administrator"]))
    with pytest.raises(IntegrityError, match="not changed so"):
        database.write(release(ids["decider"]))


def test_spans_of_roles_and_teams_are_ended_once_and_never_rewritten(database: Database) -> None:
    database.write(whole_site)
    end = "until = '2031-06-01T00:00:00.000000Z'"
    for table in ("role", "membership"):
        said = refused(database, f"update {table} set since = '2030-01-01T00:00:00.000000Z'")
        assert "not changed so" in said
        statement = text(f"update {table} set {end}")
        database.write(partial(Session.execute, statement=statement))
        assert "not changed so" in refused(database, f"update {table} set until = null")


ACTED_BY = {
    "signature": "signer_id",
    "observation_sheet": "observer_id",
    "recognition": "by_person_id",
    "restriction": "by_person_id",
    "competency_withdrawn": "by_person_id",
    "certificate": "decided_by_id",
}


def test_nobody_acts_on_his_own_record(database: Database) -> None:
    """A copy of each row, under another number, with the person himself as the one who acted."""
    database.write(whole_site)
    for table, actor in ACTED_BY.items():
        number = "99" if table == "signature" else "'GM-0000-0000'"
        other = {actor: "person_id", "number": number, "link_token": "'another'"}
        names = [one.name for one in metadata.tables[table].columns if one.name != "id"]
        columns = ", ".join(f'"{name}"' for name in names)
        values = ", ".join(other.get(name, f'"{name}"') for name in names)
        said = refused(
            database, f'insert into "{table}" ({columns}) select {values} from "{table}"'
        )
        assert f"{actor}_is_not_person_id" in said


def test_the_log_takes_no_entry_out_of_turn(database: Database) -> None:
    database.write(whole_site)
    with database.reading() as session:
        size = session.execute(text("select count(*) from record_log")).scalar_one()
    for index in (size + 1, size + 7, -1):
        said = refused(
            database,
            'insert into record_log ("index", at, kind, payload_digest, leaf) '
            "select :index, at, kind, payload_digest, leaf from record_log limit 1",
            index=index,
        )
        assert "without a gap" in said


def test_every_trigger_is_there_and_no_other(database: Database) -> None:
    """A table that is made anew by a migration must get its triggers back."""
    with database.engine.connect() as connection:
        if database.kind == "sqlite":
            query = "select tbl_name, name from sqlite_master where type = 'trigger'"
        else:
            query = (
                "select c.relname, t.tgname from pg_trigger t join pg_class c "
                "on c.oid = t.tgrelid where not t.tgisinternal"
            )
        found = {(table, name) for table, name in connection.execute(text(query))}
        there = set(inspect(connection).get_table_names())
    assert {table for table, _ in found} == there - (CHANGING - {"invitation", "sign_in"})
    events = {"values", "rows", "taken" if database.kind == "sqlite" else "whole"}
    for table in APPEND_ONLY:
        assert {f"keep_{table}_{event}" for event in events} <= {
            name for of, name in found if of == table
        }
    migrations.downgrade(database)
    migrations.upgrade(database)
    with database.engine.connect() as connection:
        assert {(table, name) for table, name in connection.execute(text(query))} == found


def test_numbers_of_erased_texts_are_never_used_again(database: Database) -> None:
    def add(session: Session) -> int:
        row = FreeText(text="a remark")
        session.add(row)
        session.flush()
        return row.id

    first = database.write(add)
    database.write(lambda session: session.execute(text("delete from free_text")))
    assert database.write(add) > first
