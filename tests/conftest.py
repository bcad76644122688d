"""What every test shares: no sockets but loopback, and a private instance folder."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from typing import Any

import pytest

_LOCAL = {"127.0.0.1", "::1", "localhost"}
_connect = socket.socket.connect


def _loopback_only(self: socket.socket, address: Any) -> None:  # noqa: ANN401 - the socket's own type
    if self.family in (socket.AF_INET, socket.AF_INET6) and address[0] not in _LOCAL:
        msg = f"a test tried to reach {address}"
        raise AssertionError(msg)
    _connect(self, address)


@pytest.fixture(autouse=True, scope="session")
def _no_network() -> Iterator[None]:
    socket.socket.connect = _loopback_only  # type: ignore[method-assign, assignment]
    yield
    socket.socket.connect = _connect  # type: ignore[method-assign]


@pytest.fixture(autouse=True)
def _no_settings_from_outside(monkeypatch: pytest.MonkeyPatch) -> None:
    import os

    for name in list(os.environ):
        if name.startswith("TRAINER_"):
            monkeypatch.delenv(name)
