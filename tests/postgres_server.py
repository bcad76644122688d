"""A PostgreSQL server of our own for one test run, on a socket in its own temporary folder.

It listens on no network address, is started and ended by its process id alone, and is asked for its
data folder before anything is written, so that a test never meets another server.
"""

from __future__ import annotations

import os
import pwd
import secrets
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import psycopg
import pytest

START_S = 60.0
STOP_S = 20.0
ACCOUNT = "postgres"
_ROOM = 2**30


@dataclass(frozen=True)
class PostgresServer:
    """A running server: databases are made and dropped on it by name."""

    folder: Path
    process: subprocess.Popen[bytes]

    def url(self, name: str) -> str:
        return f"postgresql://{ACCOUNT}@/{name}?host={self.folder}"

    def execute(self, statement: str) -> list[tuple[Any, ...]]:
        """One statement outside any transaction, in the server's own first database."""
        with psycopg.connect(
            f"host={self.folder} user={ACCOUNT} dbname=postgres", autocommit=True, connect_timeout=3
        ) as connection:
            found = connection.execute(statement)
            return list(found.fetchall()) if found.description else []

    @contextmanager
    def fresh(self, template: str = "template0") -> Iterator[str]:
        """The name of a new database, dropped afterwards with whatever is connected to it."""
        name = f"t_{secrets.token_hex(8)}"
        self.execute(f"create database {name} template {template}")
        try:
            yield name
        finally:
            self.execute(f"drop database {name} with (force)")


def program(name: str) -> Path | None:
    """A program of PostgreSQL: beside the newest server on the machine, or on the path."""
    versions = sorted(
        Path("/usr/lib/postgresql").glob(f"*/bin/{name}"),
        key=lambda path: int(path.parts[-3]) if path.parts[-3].isdigit() else 0,
    )
    if versions:
        return versions[-1]
    found = shutil.which(name)
    return Path(found) if found else None


def why_not() -> str:
    """Why no server can be started here; empty: one can."""
    if program("postgres") is None or program("initdb") is None:
        return "no PostgreSQL server program on this machine (Debian: apt-get install postgresql)"
    if os.geteuid() == 0:
        try:
            pwd.getpwnam(ACCOUNT)
        except KeyError:
            return f"PostgreSQL does not run as root, and there is no account {ACCOUNT}"
    return ""


def _as_account() -> dict[str, Any]:
    """How a child is started that must not be root."""
    if os.geteuid() != 0:
        return {}
    entry = pwd.getpwnam(ACCOUNT)
    return {"user": entry.pw_uid, "group": entry.pw_gid, "extra_groups": []}


def roomy_place() -> str:
    """Memory where there is enough of it, as making a database for each test costs many syncs."""
    memory = Path("/dev/shm")
    if memory.is_dir() and os.access(memory, os.W_OK) and shutil.disk_usage(memory).free > _ROOM:
        return str(memory)
    return "/tmp"


@contextmanager
def _started() -> Iterator[PostgresServer]:
    folder = Path(tempfile.mkdtemp(prefix="grist-pg-", dir=roomy_place()))
    try:
        if os.geteuid() == 0:
            entry = pwd.getpwnam(ACCOUNT)
            os.chown(folder, entry.pw_uid, entry.pw_gid)
        data = folder / "data"
        environment = {"PATH": os.environ.get("PATH", ""), "LC_ALL": "C.UTF-8", "TZ": "UTC"}
        made = subprocess.run(
            [
                str(program("initdb")),
                *("-D", str(data), "-U", ACCOUNT, "-A", "trust", "-E", "UTF8"),
                *("--no-locale", "--no-sync", "--data-checksums"),
            ],
            cwd=folder,
            env=environment,
            capture_output=True,
            timeout=START_S,
            check=False,
            **_as_account(),
        )
        assert made.returncode == 0, made.stderr.decode(errors="replace")
        with (folder / "log").open("wb") as log:
            process = subprocess.Popen(
                [
                    str(program("postgres")),
                    *("-D", str(data), "-k", str(folder)),
                    *("-c", "listen_addresses=", "-c", "max_connections=60"),
                    *("-c", "shared_buffers=32MB", "-c", "max_wal_size=256MB"),
                ],
                cwd=folder,
                env=environment,
                stdout=log,
                stderr=log,
                **_as_account(),
            )
        try:
            server = PostgresServer(folder, process)
            _wait(server)
            assert server.execute("show data_directory") == [(str(data),)]
            assert server.execute("show listen_addresses") == [("",)]
            yield server
        finally:
            _end(process)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _wait(server: PostgresServer) -> None:
    give_up_at = time.monotonic() + START_S
    while True:
        ended = server.process.poll()
        log = (server.folder / "log").read_text(errors="replace")
        assert ended is None, f"the server ended with {ended}: {log}"
        with suppress(psycopg.OperationalError):
            server.execute("select 1")
            return
        assert time.monotonic() < give_up_at, f"the server did not answer in time: {log}"
        time.sleep(0.05)


def _end(process: subprocess.Popen[bytes]) -> None:
    """End our own server: quickly but in order, else at once."""
    for how in (signal.SIGINT, signal.SIGQUIT, signal.SIGKILL):
        if process.poll() is not None:
            return
        process.send_signal(how)
        with suppress(subprocess.TimeoutExpired):
            process.wait(STOP_S)


_running: list[tuple[Any, PostgresServer]] = []
_users = 0


@contextmanager
def shared_server() -> Iterator[PostgresServer]:
    """The one server of this test process, started by its first user and ended after its last."""
    global _users  # noqa: PLW0603 - one server a process, however many folders ask for it
    if not _running:
        owner = _started()
        _running.append((owner, owner.__enter__()))
    _users += 1
    try:
        yield _running[0][1]
    finally:
        _users -= 1
        if _users == 0:
            owner, _ = _running.pop()
            owner.__exit__(None, None, None)


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[PostgresServer]:
    """A server of our own; the test is skipped, with the reason, where none can be started."""
    reason = why_not()
    if reason:
        pytest.skip(reason)
    with shared_server() as server:
        yield server
