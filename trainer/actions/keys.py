"""Secrets of an instance: files of mode 0600 beside the database, made once, never shown."""

from __future__ import annotations

import hashlib
import hmac
import os
import secrets
from pathlib import Path

from trainer.errors import StateError, register

KEY_UNREADABLE = register(
    "KEY-001",
    "The key file {file} cannot be used: {why}.",
    "Give it back from the backup, with mode 0600 and the server's user as its owner.",
    audience="operator",
    status=500,
)
_BYTES = 32


def secret_file(file: Path) -> bytes:
    """The secret in this file, made there when it is missing; two processes get the same one.

    Raises:
        StateError: KEY-001 when the file is unreadable, too short or open to other users.
    """
    try:
        return _read(file)
    except FileNotFoundError:
        _make(file)
        return _read(file)


def _read(file: Path) -> bytes:
    try:
        if file.stat().st_mode & 0o077:
            raise StateError(KEY_UNREADABLE, file=str(file), why="other users may read it")
        text = file.read_text(encoding="ascii").strip()
        secret = bytes.fromhex(text)
    except FileNotFoundError:
        raise
    except (OSError, ValueError) as error:
        raise StateError(KEY_UNREADABLE, file=str(file), why="it is not readable") from error
    if len(secret) < _BYTES:
        raise StateError(KEY_UNREADABLE, file=str(file), why="it is too short")
    return secret


def _make(file: Path) -> None:
    file.parent.mkdir(parents=True, exist_ok=True)
    draft = file.with_name(f".{file.name}.{secrets.token_hex(8)}")
    handle = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(handle, "w", encoding="ascii") as stream:
            stream.write(secrets.token_hex(_BYTES) + "\n")
            stream.flush()
            os.fsync(stream.fileno())
        try:
            file.hardlink_to(draft)  # whole or not at all, and the first process wins
        except FileExistsError:
            return
    finally:
        draft.unlink()


def derived(secret: bytes, purpose: str, *parts: bytes) -> bytes:
    """An HMAC-SHA256 bound to its purpose; parts are told apart by their lengths.

    Source: RFC 2104; binding a key to one purpose is common practice.
    """
    framed = b"".join(len(part).to_bytes(4, "big") + part for part in (purpose.encode(), *parts))
    return hmac.new(secret, framed, hashlib.sha256).digest()


def new_token() -> str:
    """A fresh token of 256 bits for a cookie, a link or a form, safe in a URL."""
    return secrets.token_urlsafe(_BYTES)


def short_token() -> str:
    """A fresh token of 128 bits, for the link of a QR code."""
    return secrets.token_urlsafe(16)


def token_hash(token: str) -> str:
    """What is stored of a token: its SHA-256, which is enough for 128 bits and more of chance."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()
