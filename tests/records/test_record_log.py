"""The record log on both engines: gapless, provable, erasable, and every change is named."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from tests.records.conftest import counting
from tests.records.story import START, Story
from tests.records.test_tree import oracle_consistency, oracle_path, oracle_root
from trainer import clock
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
