"""Passwords: which are taken, how they are hashed, and that hashing never crowds out the pages.

Parameters: argon2id, 19456 KiB, 2 passes, 1 lane. Source: OWASP Password Storage Cheat Sheet (from
memory). Length and blocklist: NIST SP 800-63B, section 5.1.1.2 (from memory): at least fifteen
signs when the password is the only factor, no composition rules, no rotation.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from threading import BoundedSemaphore

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from trainer.errors import BusyError, InputError, register

PASSWORD_SHORT = register(
    "PWD-001",
    "The password has {signs} signs; it needs at least {least}.",
    "Take four or five words that do not belong together.",
    audience="trainee",
)
PASSWORD_LONG = register(
    "PWD-002",
    "The password is longer than {most} signs.",
    "Take a shorter one.",
    audience="trainee",
)
PASSWORD_EASY = register(
    "PWD-003",
    "This password is easy to guess: {why}.",
    "Take four or five words that do not belong together.",
    audience="trainee",
)
HASHING_BUSY = register(
    "PWD-004",
    "Many people are signing in just now.",
    "Try again in a moment.",
    audience="trainee",
    status=503,
)
LEAST, MOST = 15, 1024
_LEAST_APART_FROM_WORDS = 8
_LEAST_DIFFERENT = 6
_WAIT_S = 20.0
_ONE_AT_A_TIME = BoundedSemaphore(1)
_HASHER = PasswordHasher(time_cost=2, memory_cost=19_456, parallelism=1)
# Words that guessers try first. Source: PRACTICE.
_USUAL_WORDS = (  # noqa: SIM905 - words are read more easily as a text
    "password passwort passphrase letmein welcome qwertyuiop qwerty asdfghjkl asdfgh zxcvbnm zxcvbn"
    " abcdefghijklmnopqrstuvwxyz abcdefgh abc123 iloveyou administrator admin monkey dragon"
    " football baseball sunshine princess login secret master changeme trustno1 superman batman"
    " 01234567890 1234567890 0123456789 9876543210 12345678 123456 12345 1234 123 2024 2025 2026"
    " 111111 000000 gristmark trainer trainee technician supervisor coffee grinder espresso"
).split()


def check_new_password(password: str, context: Iterable[str] = ()) -> None:
    """Refuse a password that is too short, too long or easy to guess.

    Args:
        password: As typed.
        context: Words anybody would try here: the firm, the names of the person.

    Raises:
        InputError: PWD-001 to PWD-003.
    """
    text = normal(password)
    if len(text) > MOST:
        raise InputError(PASSWORD_LONG, most=MOST)
    if len(text) < LEAST:
        raise InputError(PASSWORD_SHORT, signs=len(text), least=LEAST)
    if len(set(text.casefold())) < _LEAST_DIFFERENT:
        raise InputError(PASSWORD_EASY, why="it is made of very few different signs")
    folded = text.casefold()
    if folded in (folded + folded)[1:-1]:
        raise InputError(PASSWORD_EASY, why="it repeats itself")
    if len(_apart_from_words(folded, context)) < _LEAST_APART_FROM_WORDS:
        raise InputError(PASSWORD_EASY, why="little is left beside well-known words and names")


def _apart_from_words(folded: str, context: Iterable[str]) -> str:
    own = {word for text in context for word in re.split(r"\W+", normal(text).casefold())}
    words = sorted(
        {*(word for word in own if len(word) >= 3), *_USUAL_WORDS}, key=len, reverse=True
    )
    for word in words:
        folded = folded.replace(word, " ")
    return re.sub(r"[\W_]+", "", folded)


def normal(password: str) -> str:
    """The form that is hashed: Unicode NFKC, so that every keyboard gives the same bytes."""
    return unicodedata.normalize("NFKC", password)


def hashed(password: str) -> str:
    """The argon2id hash of a password, with its parameters and salt in it."""
    with _turn():
        return _HASHER.hash(_bytes(password))


def is_right(password: str, password_hash: str | None) -> bool:
    """Whether this is the password; without a stored hash the same work is done for nothing."""
    if len(password) > MOST:
        return False
    with _turn():
        try:
            _HASHER.verify(password_hash or _dummy(), _bytes(password))
        except (VerificationError, InvalidHashError):
            return False
    return password_hash is not None


def is_outdated(password_hash: str) -> bool:
    """Whether a hash was made with older parameters and is to be made again at sign-in."""
    return _HASHER.check_needs_rehash(password_hash)


def _bytes(password: str) -> bytes:
    return normal(password).encode("utf-8", "surrogatepass")


@lru_cache(maxsize=1)
def _dummy() -> str:
    return _HASHER.hash(b"nobody has this password")


class _turn:  # noqa: N801 - reads as a statement
    """One hash at a time in a process, so that pages stay served while many people sign in."""

    def __enter__(self) -> None:
        if not _ONE_AT_A_TIME.acquire(timeout=_WAIT_S):
            raise BusyError(HASHING_BUSY)

    def __exit__(self, *_exception: object) -> None:
        _ONE_AT_A_TIME.release()
