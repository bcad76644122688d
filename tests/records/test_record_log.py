"""The record log on both engines: gapless, provable, erasable, and every change is named."""

# ruff: noqa: S608 - the names in these statements are ours

from __future__ import annotations

import hashlib
import json
import sqlite3
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import timedelta

import pytest
from sqlalchemy import select, text
from sqlalchemy.orm import Session

from tests.records.conftest import counting
from tests.records.story import START, Story
from tests.records.test_tree import oracle_consistency, oracle_path, oracle_root
from trainer import clock
from trainer.canonical import Plain
from trainer.errors import InputError
from trainer.records import log_check, record_log, tree
from trainer.records.database import Database
from trainer.records.log_entry import entry_bytes
from trainer.records.log_tables import RecordDetail, RecordEntry, RecordNode
from trainer.records.tables import Team


def filled(database: Database, size: int) -> list[bytes]:
    """So many entries, the odd ones about a person; gives their leaf hashes."""

    def act(session: Session) -> list[bytes]:
        person = Story(session).person(1)
        for number in range(size):
            with clock.at(START + timedelta(minutes=number)):
                record_log.append(
                    session,
                    kind="sign-off",
                    person=person if number % 2 else None,
                    payload={"number": number},
                )
        return list(session.scalars(select(RecordEntry.leaf).order_by(RecordEntry.index)))

    return database.write(act)


def test_an_entry_is_hashed_as_it_is_written_down(database: Database) -> None:
    """The leaf worked out by hand from the stored columns."""
    with clock.at(START):
        index = database.write(
            lambda session: record_log.append(
                session, kind="edition in force", person=None, payload={"edition": "M03 1"}
            )
        )
    with database.reading() as session:
        entry = session.get_one(RecordEntry, index)
        detail = session.get_one(RecordDetail, index)
        assert record_log.root(session) == entry.leaf
    assert detail.payload == b'{"person":null,"record":{"edition":"M03 1"}}'
    assert len(detail.salt) == 32
    digest = hashlib.sha256(detail.salt + detail.payload).digest()
    assert entry.payload_digest == digest
    written = (
        f'{{"at":"2031-03-03T08:00:00.000000Z","index":0,"kind":"edition in force",'
        f'"payload":"{digest.hex()}"}}'
    ).encode()
    assert entry.leaf == hashlib.sha256(b"\x00" + written).digest()


def test_equal_payloads_have_unequal_digests(database: Database) -> None:
    def twice(session: Session) -> list[int]:
        return [
            record_log.append(session, kind="sign-off", person=None, payload={"n": 1})
            for _ in range(2)
        ]

    assert database.write(twice) == [0, 1]
    with database.reading() as session:
        one, other = session.scalars(select(RecordEntry.payload_digest))
    assert one != other


def test_roots_and_proofs_are_those_of_the_definition(database: Database) -> None:
    leaves = filled(database, 21)
    with database.reading() as session:
        assert record_log.size_of(session) == 21
        for size in range(22):
            assert record_log.root(session, size) == oracle_root(leaves[:size])
        for index in range(21):
            assert list(record_log.inclusion(session, index)) == oracle_path(index, leaves)
        for old in range(1, 22):
            expected = oracle_consistency(old, leaves)
            assert list(record_log.consistency(session, old)) == expected
        assert record_log.consistency(session, 0) == ()
        assert list(record_log.inclusion(session, 4, 9)) == oracle_path(4, leaves[:9])
        assert log_check.check(session) is None


def test_an_empty_log_has_the_empty_root_and_holds(database: Database) -> None:
    with database.reading() as session:
        assert record_log.size_of(session) == 0
        assert record_log.root(session) == hashlib.sha256(b"").digest()
        assert log_check.check(session) is None
        assert log_check.check(session, kept=[(0, tree.EMPTY_ROOT)]) is None
        for ask in (
            lambda: record_log.root(session, 1),
            lambda: record_log.inclusion(session, 0),
            lambda: record_log.inclusion(session, -1),
            lambda: record_log.consistency(session, 1),
            lambda: record_log.evidence(session, 0),
        ):
            with pytest.raises(InputError, match="has 0 entries"):
                ask()


def test_evidence_of_an_entry_holds_away_from_the_database(database: Database) -> None:
    filled(database, 13)
    with database.reading() as session:
        found = record_log.evidence(session, 5, 11)
        assert (found.kind, found.at, found.size) == (
            "sign-off",
            "2031-03-03T08:05:00.000000Z",
            11,
        )
    assert found.sealed is not None
    assert json.loads(found.sealed.payload)["record"] == {"number": 5}
    assert found.sealed.digest == found.payload_digest
    data = entry_bytes(
        index=found.index, kind=found.kind, at=found.at, payload_digest=found.payload_digest
    )
    assert tree.holds_inclusion(tree.leaf_hash(data), 5, 11, found.proof, found.root)


def test_appending_costs_the_same_however_long_the_log_is(database: Database) -> None:
    filled(database, 1)

    def one(session: Session) -> int:
        return record_log.append(session, kind="sign-off", person=None, payload=None)

    for expected in range(1, 40):
        with counting(database) as statements:
            assert database.write(one) == expected
        assert len(statements) <= 5
    with database.reading() as session, counting(database) as statements:
        record_log.inclusion(session, 3)
        assert len(statements) <= 3


@pytest.mark.parametrize("kind", ["", "Prüfung"])
def test_a_kind_is_plain(database: Database, kind: str) -> None:
    with pytest.raises(InputError, match="cannot be of the kind"):
        database.write(
            lambda session: record_log.append(session, kind=kind, person=None, payload=None)
        )


def test_an_act_that_fails_leaves_no_entry(database: Database) -> None:
    """The entry and the row it is about are of one transaction."""

    def act(session: Session) -> None:
        session.add(Team(name="North Yard"))
        record_log.append(session, kind="role change", person=None, payload=None)
        session.flush()
        message = "after both were written"
        raise LookupError(message)

    with pytest.raises(LookupError):
        database.write(act)
    with database.reading() as session:
        assert record_log.size_of(session) == 0
        assert session.scalar(select(Team.id)) is None


# --- changes are named


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


# --- erasing


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


# --- concurrent writers


def test_writers_in_threads_leave_no_gap(database: Database) -> None:
    start = threading.Barrier(4, timeout=30)

    def append(session: Session, number: int) -> int:
        return record_log.append(session, kind="sign-off", person=None, payload={"n": number})

    def run(worker: int) -> list[int]:
        start.wait()
        return [
            database.write(lambda session, n=number: append(session, n))  # type: ignore[misc]
            for number in range(worker * 100, worker * 100 + 15)
        ]

    with ThreadPoolExecutor(4) as pool:
        indices = [index for part in pool.map(run, range(4)) for index in part]
    assert sorted(indices) == list(range(60))
    with database.reading() as session:
        assert log_check.check(session) is None
        assert session.query(RecordNode).count() == 60 - (60).bit_count()


PROGRAM = """
import sys
from trainer.records import record_log
from trainer.records.database import open_database
database = open_database(sys.argv[1])
for number in range(40):
    database.write(
        lambda s: record_log.append(s, kind="sign-off", person=None, payload={"n": number})
    )
"""


def test_writers_in_processes_leave_no_gap(database: Database) -> None:
    url = database.url.render_as_string(hide_password=False)
    started = [subprocess.Popen([sys.executable, "-c", PROGRAM, url]) for _ in range(2)]
    assert [process.wait(timeout=120) for process in started] == [0, 0]
    with database.reading() as session:
        assert record_log.size_of(session) == 80
        assert log_check.check(session) is None
