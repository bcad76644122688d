"""Every change of the log is named by its first entry; what was erased lawfully is not one."""

# ruff: noqa: S608 - the names in these statements are ours

from __future__ import annotations

import hashlib
import sqlite3
from contextlib import closing

import pytest
from sqlalchemy import select, text
from sqlalchemy.orm import Session

from tests.records.test_record_log import filled
from tests.records.test_tree import oracle_root
from trainer.canonical import Plain
from trainer.errors import InputError
from trainer.records import log_check, record_log
from trainer.records.database import Database
from trainer.records.log_tables import RecordDetail, RecordEntry


def tampered(database: Database, statement: str, **values: object) -> None:
    """Change a row as somebody would who owns the machine: the triggers are taken away first."""
    if database.kind == "postgresql":

        def act(session: Session) -> None:
            for table in ("record_log", "record_detail", "record_node"):
                session.execute(text(f"alter table {table} disable trigger all"))
            session.execute(text(statement), values)

        database.write(act)
        return
    assert database.url.database is not None
    with closing(sqlite3.connect(database.url.database)) as stranger, stranger:
        triggers = "select name from sqlite_master where type = 'trigger'"
        for (name,) in stranger.execute(triggers).fetchall():
            stranger.execute(f"drop trigger {name}")
        stranger.execute(statement, values)


SIZE = 11


def test_any_changed_byte_is_named_by_its_entry(database: Database) -> None:
    filled(database, SIZE)
    tampered(database, "select 1")
    with database.reading() as session:
        assert log_check.check(session) is None
        entries = session.execute(
            select(
                RecordEntry.index,
                RecordEntry.payload_digest,
                RecordEntry.leaf,
                RecordDetail.payload,
                RecordDetail.salt,
            ).join(RecordDetail, RecordDetail.index == RecordEntry.index)
        ).all()
    places = {"payload_digest": "record_log", "leaf": "record_log"}
    places |= {"payload": "record_detail", "salt": "record_detail"}
    for number, entry in enumerate(entries):
        for column, table in places.items():
            before: bytes = getattr(entry, column)
            # Another byte of each column in each entry, and every bit of it over the entries.
            place = (number * 7) % len(before)
            after = bytearray(before)
            after[place] ^= 1 << (number % 8)
            change = text(f'update {table} set {column} = :value where "index" = :index')

            def check(session: Session) -> log_check.BadEntry | None:
                session.execute(change, {"value": bytes(after), "index": entry[0]})  # noqa: B023
                found = log_check.check(session)
                session.execute(change, {"value": before, "index": entry[0]})  # noqa: B023
                return found

            found = database.write(check)
            assert found is not None
            assert found.index == entry[0], (column, place, found.reason)
    with database.reading() as session:
        assert log_check.check(session) is None


@pytest.mark.parametrize(
    ("statement", "index", "reason"),
    [
        ("update record_log set kind = 'sign-of' where \"index\" = 4", 4, "kind, time, digest"),
        (
            "update record_log set at = '2031-03-03T08:04:00.000001Z' where \"index\" = 4",
            4,
            "kind, time, digest",
        ),
        ('update record_detail set person_id = null where "index" = 5', 5, "another person"),
        ('update record_detail set person_id = 1 where "index" = 6', 6, "another person"),
        ('delete from record_detail where "index" = 6', 6, "is gone"),
        ('delete from record_log where "index" = 3', 3, "missing"),
        ("update record_node set hash = leaf from record_log where level = 2", 3, "inner hash"),
        ("delete from record_node where level = 1 and position = 2", 5, "inner hash"),
        ('delete from record_log where "index" >= 9', 9, "missing: inner hashes"),
        ("update record_node set position = 9 where level = 1 and position = 4", 9, "inner hash"),
    ],
)
def test_other_changes_are_named_too(
    database: Database, statement: str, index: int, reason: str
) -> None:
    filled(database, SIZE)
    tampered(database, statement)
    with database.reading() as session:
        found = log_check.check(session)
    assert found is not None
    assert (found.index, reason in found.reason) == (index, True), found


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
@pytest.mark.parametrize(
    "change",
    [
        "kind = cast(x'ff73' as text)",
        "at = cast(x'c3' as text)",
        "at = 7",
        "kind = 'sign-öff'",
        "leaf = 'text'",
        "payload_digest = 'text'",
    ],
)
def test_not_even_a_broken_text_hides_its_entry(database: Database, change: str) -> None:
    filled(database, 5)
    tampered(database, f'update record_log set {change} where "index" = 2')
    with database.reading() as session:
        found = log_check.check(session)
    assert found is not None
    assert found.index == 2


def test_a_log_cut_short_in_every_table_fails_against_a_kept_checkpoint(database: Database) -> None:
    filled(database, SIZE)
    with database.reading() as session:
        kept = [(size, record_log.root(session, size)) for size in (0, 4, 8, SIZE)]
        assert log_check.check(session, kept=kept) is None
    tampered(database, "delete from record_node where (position + 1) << level > 8")
    tampered(database, 'delete from record_detail where "index" >= 8')
    tampered(database, 'delete from record_log where "index" >= 8')
    with database.reading() as session:
        assert log_check.check(session) is None
        found = log_check.check(session, kept=kept)
        assert found is not None
        assert found.index == 8
        assert "signed over 11 entries" in found.reason


def test_a_log_written_anew_fails_against_a_kept_checkpoint(database: Database) -> None:
    filled(database, 7)
    other = hashlib.sha256(b"the root of another history").digest()
    with database.reading() as session:
        for size in (3, 7):
            found = log_check.check(session, kept=[(size, other)])
            assert found is not None
            assert (found.index, "checkpoint" in found.reason) == (size - 1, True)
        assert log_check.check(session, kept=[(0, other)]) is not None


def test_erasing_what_entries_say_breaks_no_proof(database: Database) -> None:
    leaves = filled(database, 9)
    with database.reading() as session:
        before = record_log.evidence(session, 3, 9)
        root = record_log.root(session, 9)
    index = database.write(
        lambda session: record_log.erase_details(session, [3, 5, 3], reason="asked by the person")
    )
    assert index == 9
    with database.reading() as session:
        assert log_check.check(session) is None
        assert record_log.root(session, 9) == root == oracle_root(leaves)
        after = record_log.evidence(session, 3, 9)
        assert after.sealed is None
        assert after.payload_digest == before.payload_digest
        assert after.proof == before.proof
        assert list(session.scalars(select(RecordDetail.index).order_by(RecordDetail.index))) == [
            0, 1, 2, 4, 6, 7, 8, 9,
        ]  # fmt: skip
    with pytest.raises(InputError, match="has 10 entries"):
        database.write(lambda session: record_log.erase_details(session, [10], reason="x"))


def test_without_its_salt_a_digest_tells_nothing(database: Database) -> None:
    """All numbers a payload could hold are tried: none gives the digest without the salt."""
    filled(database, 2)
    with database.reading() as session:
        entry = record_log.evidence(session, 1)
    assert entry.sealed is not None
    tries = {
        hashlib.sha256(b'{"person":1,"record":{"number":%d}}' % number).digest()
        for number in range(1000)
    }
    assert entry.payload_digest not in tries
    assert entry.payload_digest in {
        hashlib.sha256(entry.sealed.salt + b'{"person":1,"record":{"number":%d}}' % n).digest()
        for n in range(1000)
    }


def test_an_erasure_does_not_cover_what_came_after_it(database: Database) -> None:
    filled(database, 3)

    def claim(session: Session) -> int:
        payload: Plain = {"entries": [1, 4], "reason": "too early for 4"}
        return record_log.append(session, kind=record_log.ERASED, person=None, payload=payload)

    assert database.write(claim) == 3
    database.write(
        lambda session: record_log.append(session, kind="sign-off", person=None, payload=None)
    )
    tampered(database, 'delete from record_detail where "index" in (1, 4)')
    with database.reading() as session:
        found = log_check.check(session)
    assert found is not None
    assert found.index == 4


@pytest.mark.parametrize("payload", [b"no json", b'{"record":7}', b"[]", b'{"record":{}}'])
def test_a_broken_erasure_erases_nothing(database: Database, payload: bytes) -> None:
    filled(database, 4)
    database.write(lambda session: record_log.erase_details(session, [2], reason="asked"))
    tampered(database, 'update record_detail set payload = :p where "index" = 4', p=payload)
    with database.reading() as session:
        found = log_check.check(session)
    assert found is not None
    assert found.index == 2
