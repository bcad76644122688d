"""What a storage failure means, and where a SQLite file must not lie."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import psycopg
import pytest
from sqlalchemy.exc import DBAPIError, OperationalError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError

from trainer.errors import InputError
from trainer.records import storage
from trainer.records.storage import Failure, failure_of, file_system_kind, refuse_network_file

# Lines as in the manual page proc(5): number, parent, device, root, mount point, options - kind …
MOUNTS = """\
22 1 8:1 / / rw,relatime shared:1 - ext4 /dev/sda1 rw
30 22 0:40 / /srv/share rw,relatime shared:9 - nfs4 host:/share rw
31 30 8:2 / /srv/share/local rw - xfs /dev/sdb1 rw
32 22 0:41 / /mnt/two\\040words rw - cifs //host/two rw
broken line
"""


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/var/lib/trainer/records.sqlite", "ext4"),
        ("/srv/share/records.sqlite", "nfs4"),
        ("/srv/shared/records.sqlite", "ext4"),
        ("/srv/share/local/records.sqlite", "xfs"),
        ("/mnt/two words/records.sqlite", "cifs"),
    ],
)
def test_the_longest_mount_point_says_the_kind(path: str, kind: str) -> None:
    assert file_system_kind(Path(path), MOUNTS) == kind


def test_a_file_on_a_network_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    refuse_network_file(tmp_path / "records.sqlite")
    monkeypatch.setattr(storage, "file_system_kind", lambda _path, _mounts: "nfs4")
    with pytest.raises(InputError, match=r"network file system \(nfs4\)"):
        refuse_network_file(tmp_path / "records.sqlite")


def test_where_mounts_are_not_told_a_file_is_taken(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def missing(*_args: object, **_more: object) -> str:
        raise FileNotFoundError

    monkeypatch.setattr(Path, "read_text", missing)
    refuse_network_file(tmp_path / "records.sqlite")


def sqlite_failure(name: str | None) -> OperationalError:
    cause = sqlite3.OperationalError("as the driver says it")
    if name is not None:
        cause.sqlite_errorname = name
    return OperationalError("select 1", {}, cause)


@pytest.mark.parametrize(
    ("name", "failure"),
    [
        ("SQLITE_BUSY", Failure.BUSY),
        ("SQLITE_BUSY_SNAPSHOT", Failure.BUSY),
        ("SQLITE_LOCKED_SHAREDCACHE", Failure.BUSY),
        ("SQLITE_FULL", Failure.FULL),
        ("SQLITE_IOERR_FSYNC", Failure.FULL),
        ("SQLITE_IOERR_WRITE", Failure.FULL),
        ("SQLITE_READONLY", Failure.FULL),
        ("SQLITE_CANTOPEN", Failure.FULL),
        ("SQLITE_ERROR", Failure.OTHER),
        ("SQLITE_CONSTRAINT_UNIQUE", Failure.OTHER),
        (None, Failure.OTHER),
    ],
)
def test_failures_of_sqlite(name: str | None, failure: Failure) -> None:
    assert failure_of(sqlite_failure(name)) is failure


# Source of the codes: PostgreSQL 15 documentation, appendix A.
@pytest.mark.parametrize(
    ("kind", "failure"),
    [
        (psycopg.errors.SerializationFailure, Failure.BUSY),
        (psycopg.errors.DeadlockDetected, Failure.BUSY),
        (psycopg.errors.LockNotAvailable, Failure.BUSY),
        (psycopg.errors.QueryCanceled, Failure.BUSY),
        (psycopg.errors.UniqueViolation, Failure.DOUBLE),
        (psycopg.errors.DiskFull, Failure.FULL),
        (psycopg.errors.AdminShutdown, Failure.LOST),
        (psycopg.errors.CannotConnectNow, Failure.LOST),
        (psycopg.errors.ConnectionFailure, Failure.LOST),
        (psycopg.errors.TooManyConnections, Failure.LOST),
        (psycopg.errors.CheckViolation, Failure.OTHER),
        (psycopg.OperationalError, Failure.LOST),
    ],
)
def test_failures_of_postgresql(kind: type[psycopg.Error], failure: Failure) -> None:
    cause = kind("as the driver says it")
    error = OperationalError if issubclass(kind, psycopg.OperationalError) else DBAPIError
    assert failure_of(error("select 1", {}, cause)) is failure


def test_a_connection_that_was_given_up_is_lost() -> None:
    cause = psycopg.InterfaceError("gone")
    assert failure_of(DBAPIError("x", {}, cause, connection_invalidated=True)) is Failure.LOST
    assert failure_of(DBAPIError("x", {}, cause)) is Failure.OTHER


def test_no_free_connection_is_busy() -> None:
    assert failure_of(PoolTimeoutError()) is Failure.BUSY
    assert failure_of(LookupError()) is Failure.OTHER
