"""The bytes of a log entry: pure, so that an entry can be checked away from the server."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from trainer.canonical import Plain, canonical_bytes


@dataclass(frozen=True, slots=True)
class Sealed:
    """What an entry says, as it was digested: canonical bytes and salt."""

    payload: bytes
    salt: bytes

    @property
    def digest(self) -> bytes:
        """SHA-256 of salt and payload."""
        return hashlib.sha256(self.salt + self.payload).digest()


def payload_bytes(person: int | None, record: Plain) -> bytes:
    """The canonical payload: whom an entry is about and what it says."""
    return canonical_bytes({"person": person, "record": record})


def entry_bytes(*, index: int, kind: str, at: str, payload_digest: bytes) -> bytes:
    """The canonical record that is hashed as the leaf of an entry.

    Example:
        >>> entry_bytes(index=0, kind="sign-off", at="2031-04-05T06:07:08.000090Z",
        ...             payload_digest=bytes.fromhex("00ff"))
        b'{"at":"2031-04-05T06:07:08.000090Z","index":0,"kind":"sign-off","payload":"00ff"}'
    """
    return canonical_bytes(
        {"at": at, "index": index, "kind": kind, "payload": payload_digest.hex()}
    )
