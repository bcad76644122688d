"""The file of the checkpoint key: made once, at the first start, and never silently again.

A server that finds no key must not make one: what it then signed would be signed by a stranger.
"""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from trainer.errors import StateError, register
from trainer.records.checkpoint import Signer

REC_NO_KEY = register(
    "REC-043",
    "The checkpoint key {file} cannot be used: {why}.",
    "Give it back from where it is kept safe, with mode 0600; nothing is signed until then.",
    audience="operator",
    status=503,
)
FILE_NAME = "checkpoint.key"
_SEED_BYTES = 32


def make_key(file: Path, *, name: str = "") -> Signer:
    """Make a key in a file of mode 0600 that must not exist yet.

    Args:
        file: Where the key is kept: in the instance folder, never in the database or its backup.
        name: Name of the key, without spaces; empty: one that is the house's own.

    Raises:
        StateError: REC-043 when there is a file already.
    """
    seed = secrets.token_bytes(_SEED_BYTES)
    signer = Signer(name or f"gristmark-{secrets.token_hex(4)}", seed)
    file.parent.mkdir(parents=True, exist_ok=True)
    try:
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        raise StateError(REC_NO_KEY, file=str(file), why="there is one already") from None
    with os.fdopen(handle, "w", encoding="ascii") as stream:
        stream.write(f"{signer.public.name}\n{seed.hex()}\n")
        stream.flush()
        os.fsync(stream.fileno())
    return signer


def read_key(file: Path) -> Signer:
    """The key in a file.

    Raises:
        StateError: REC-043 when it is missing, unreadable, broken, or readable by other users.
    """
    try:
        if file.stat().st_mode & 0o077:
            raise StateError(REC_NO_KEY, file=str(file), why="other users may read it")
        name, seed = file.read_text(encoding="ascii").splitlines()
        return Signer(name, bytes.fromhex(seed))
    except FileNotFoundError:
        raise StateError(REC_NO_KEY, file=str(file), why="it is missing") from None
    except (OSError, ValueError) as error:
        raise StateError(REC_NO_KEY, file=str(file), why="it is not readable") from error
