"""What a storage failure means, and where a database file must not lie."""

from __future__ import annotations

import sqlite3
from enum import Enum
from pathlib import Path
from typing import NoReturn

from sqlalchemy.exc import DBAPIError, OperationalError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError

from trainer.errors import BusyError, InputError, register

REC_NETWORK = register(
    "REC-002",
    "The database file {file} lies on a network file system ({kind}).",
    "Put the instance folder on a local disk, or use PostgreSQL.",
    audience="operator",
    status=500,
)
REC_BUSY = register(
    "REC-003",
    "The records are busy; this is not saved yet.",
    "Keep the page open and try again in a moment.",
    audience="trainee",
    status=503,
)
REC_FULL = register(
    "REC-004",
    "The server could not save: its storage is full or failing.",
    "Keep the page open and tell the scheme administrator; reading goes on.",
    audience="trainee",
    status=507,
)
REC_LOST = register(
    "REC-005",
    "The database cannot be reached; whether this was saved is not known.",
    "Keep the page open and send the same again in a moment: it is never saved twice.",
    audience="trainee",
    status=503,
)
# Kinds as they stand in /proc/self/mountinfo. Source: SQLite, "Write-Ahead Logging", section 2 on
# network file systems; the list of kinds is from memory.
_NETWORK_KINDS = frozenset(
    {
        "9p",
        "afs",
        "ceph",
        "cifs",
        "fuse.sshfs",
        "glusterfs",
        "lustre",
        "nfs",
        "nfs4",
        "smb3",
        "smbfs",
    }
)
# Source: PostgreSQL 15 documentation, appendix A, "PostgreSQL Error Codes".
# Serialisation failure, deadlock, lock not available, time limit of a statement; a double key;
# disk full, out of memory; connection failures, shutting down, too many connections.
_POSTGRESQL_STATES = (
    (("40001", "40P01", "55P03", "57014"), "BUSY"),
    (("23505",), "DOUBLE"),
    (("53100", "53200"), "FULL"),
    (("08", "57P", "53300"), "LOST"),
)
_SQLITE_NAMES = (
    (("SQLITE_BUSY", "SQLITE_LOCKED"), "BUSY"),
    (("SQLITE_FULL", "SQLITE_IOERR", "SQLITE_READONLY", "SQLITE_CANTOPEN"), "FULL"),
)


class Failure(Enum):
    """What to do about a failed statement or commit."""

    BUSY = "another writer was first; the whole transaction may be repeated"
    DOUBLE = "a unique key was taken, perhaps a moment ago by another writer"
    FULL = "the storage is full or failing; nothing was saved"
    LOST = "the storage cannot be reached; whether a commit arrived is not known"
    OTHER = "a mistake in the program or its data"


def failure_of(error: Exception) -> Failure:
    """Classify an exception from SQLAlchemy or its driver, on both engines."""
    if isinstance(error, PoolTimeoutError):
        return Failure.BUSY
    cause = error.orig if isinstance(error, DBAPIError) else error
    if isinstance(cause, sqlite3.Error):
        return _named(getattr(cause, "sqlite_errorname", None) or "", _SQLITE_NAMES)
    if isinstance(error, DBAPIError) and error.connection_invalidated:
        return Failure.LOST
    state = getattr(cause, "sqlstate", None)
    if state is None and isinstance(error, OperationalError):
        return Failure.LOST  # a server that does not answer at all sends no code
    return _named(state or "", _POSTGRESQL_STATES)


def _named(name: str, table: tuple[tuple[tuple[str, ...], str], ...]) -> Failure:
    for beginnings, failure in table:
        if name.startswith(beginnings):
            return Failure[failure]
    return Failure.OTHER


def raise_plain(error: Exception, failure: Failure) -> NoReturn:
    """Tell a failure in plain words; what is a mistake of ours is raised as it is."""
    code = {Failure.BUSY: REC_BUSY, Failure.FULL: REC_FULL, Failure.LOST: REC_LOST}.get(failure)
    if code is None:
        raise error
    raise BusyError(code) from error


def file_system_kind(path: Path, mounts: str) -> str:
    """The kind of file system a path lies on, read from the text of /proc/self/mountinfo.

    Source: Linux manual page proc(5), mountinfo: field 5 the mount point, the kind after the dash.
    """
    best, kind = "", ""
    for line in mounts.splitlines():
        fields, _, rest = line.partition(" - ")
        parts = fields.split()
        if len(parts) < 5 or not rest:
            continue
        point = parts[4].replace("\\040", " ")
        if path.is_relative_to(point) and len(point) >= len(best):
            best, kind = point, rest.split()[0]
    return kind


def refuse_network_file(path: Path) -> None:
    """Refuse a SQLite file on a network file system, where two hosts would ruin it.

    Raises:
        InputError: REC-002.
    """
    try:
        mounts = Path("/proc/self/mountinfo").read_text(encoding="utf-8")
    except OSError:
        return
    kind = file_system_kind(path.resolve(), mounts)
    if kind in _NETWORK_KINDS:
        raise InputError(REC_NETWORK, file=str(path), kind=kind)
