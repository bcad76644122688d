"""Signed checkpoints: size and root of the record log, as text that can leave the house.

A checkpoint is three lines (origin, size in decimal, root in base64), an empty line, and signature
lines '— name base64(key hint ‖ signature)'. The signature covers the three lines. The origin begins
with its purpose, so that a signature for anything else never passes as one of a checkpoint.

Pure: no database and no file, so that a checkpoint can be verified anywhere.

Source: C2SP, signed-note and tlog-checkpoint, from memory; RFC 8032 for Ed25519.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
from dataclasses import dataclass
from typing import Never

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

from trainer.errors import InputError, register

REC_NOTE = register(
    "REC-040",
    "This is not a checkpoint: {why}.",
    "Copy it whole, from the first line to the line feed after the last.",
    audience="operator",
)
REC_SIGNATURE = register(
    "REC-041",
    "The checkpoint does not carry a signature by the key {name}.",
    "Ask the house for the key by another way than the one the checkpoint came.",
    audience="operator",
)
REC_KEY = register(
    "REC-042",
    "This is not a key that may verify checkpoints: {why}.",
    "Copy the whole line, from the name to its end.",
    audience="operator",
)
PURPOSE = "checkpoint/v1"
_ED25519 = b"\x01"
_HASH_BYTES = 32
_SIGNATURE_BYTES = 64
_HINT_BYTES = 4
_MOST_DIGITS = 18
_DASH = "— "
_PRIME = 2**255 - 19
# The y of every point whose order divides 8: with such a key a signature can hold for any text.
# Order 8 by solving d·y⁴ + 2y² = 1 on the curve of RFC 8032, section 5.1; a test does it again.
_ORDER_8 = 0x7A03AC9277FDC74EC6CC392CFA53202A0F67100D760B3CBA4FD84D3D706A17C7
_SMALL_ORDER = frozenset({0, 1, _PRIME - 1, _ORDER_8, _PRIME - _ORDER_8})


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """The log of ``origin`` had ``size`` entries and this root."""

    origin: str
    size: int
    root: bytes

    @property
    def body(self) -> str:
        """The three lines that are signed."""
        return f"{self.origin}\n{self.size}\n{base64.b64encode(self.root).decode()}\n"


@dataclass(frozen=True, slots=True)
class PublicKey:
    """A named key that verifies checkpoints.

    Raises:
        InputError: REC-042 for a name with a space or plus sign, or a key that proves nothing.
    """

    name: str
    raw: bytes

    def __post_init__(self) -> None:
        if not self.name or any(sign.isspace() or sign == "+" for sign in self.name):
            raise InputError(REC_KEY, why="its name is empty or has a space or a plus sign")
        if len(self.raw) != _HASH_BYTES:
            raise InputError(REC_KEY, why="it has another length than 32 bytes")
        height = int.from_bytes(self.raw, "little") & (2**255 - 1)
        if height >= _PRIME or height in _SMALL_ORDER:
            raise InputError(REC_KEY, why="it is no point of the large group")

    @property
    def hint(self) -> bytes:
        """Four bytes that tell keys of the same name apart."""
        named = self.name.encode() + b"\n" + _ED25519 + self.raw
        return hashlib.sha256(named).digest()[:_HINT_BYTES]

    @property
    def text(self) -> str:
        """The key as one line to hand out: name, hint, key."""
        key = base64.b64encode(_ED25519 + self.raw).decode()
        return f"{self.name}+{self.hint.hex()}+{key}"

    def holds(self, signature: bytes, message: bytes) -> bool:
        """Whether this is the key's Ed25519 signature of the message."""
        try:
            Ed25519PublicKey.from_public_bytes(self.raw).verify(signature, message)
        except InvalidSignature:
            return False
        return True


def public_key_of(text: str) -> PublicKey:
    """A key from the line it was handed out as.

    Raises:
        InputError: REC-042.
    """
    parts = text.strip().split("+", 2)
    if len(parts) != 3:
        raise InputError(REC_KEY, why="it has not the form name+hint+key")
    name, hint, encoded = parts
    coded = _decoded(encoded)
    if coded is None or coded[:1] != _ED25519:
        raise InputError(REC_KEY, why="it is not an Ed25519 key in base64")
    key = PublicKey(name, coded[1:])
    if key.hint.hex() != hint:
        raise InputError(REC_KEY, why="its hint belongs to another key")
    return key


class Signer:
    """The private half of a checkpoint key; the seed never leaves it."""

    def __init__(self, name: str, seed: bytes) -> None:
        self._key = Ed25519PrivateKey.from_private_bytes(seed)
        self.public = PublicKey(name, self._key.public_key().public_bytes_raw())

    @property
    def origin(self) -> str:
        """The origin line of this house's checkpoints."""
        return f"{PURPOSE} {self.public.name}"

    def checkpoint(self, size: int, root: bytes) -> str:
        """The signed text of a checkpoint over ``size`` entries with this root."""
        body = Checkpoint(self.origin, size, root).body
        signature = self.public.hint + self._key.sign(body.encode())
        line = f"{_DASH}{self.public.name} {base64.b64encode(signature).decode()}"
        return f"{body}\n{line}\n"


def verified(text: str, key: PublicKey) -> Checkpoint:
    """The checkpoint in a text, if this key signed it; signatures of others are passed over.

    Raises:
        InputError: REC-040 for a text of another form, REC-041 without a signature of the key.
    """
    body, gap, tail = text.partition("\n\n")
    if not gap or not tail.endswith("\n"):
        _refuse("it has no empty line before the signatures, or is cut short")
    found = _parsed(body)
    signed = False
    for line in tail[:-1].split("\n"):
        name, signature = _signature(line)
        if name != key.name or signature[:_HINT_BYTES] != key.hint:
            continue
        if not key.holds(signature[_HINT_BYTES:], found.body.encode()):
            raise InputError(REC_SIGNATURE, name=key.name)
        signed = True
    if not signed:
        raise InputError(REC_SIGNATURE, name=key.name)
    return found


def _parsed(body: str) -> Checkpoint:
    lines = body.split("\n")
    if len(lines) != 3:
        _refuse("it has not three lines above the empty one")
    origin, size, encoded = lines
    if not origin.startswith(f"{PURPOSE} "):
        _refuse(f"its first line does not begin with {PURPOSE}")
    is_number = size.isascii() and size.isdigit() and len(size) <= _MOST_DIGITS
    if not is_number or str(int(size)) != size:
        _refuse("its second line is not a plain whole number")
    root = _decoded(encoded)
    if root is None or len(root) != _HASH_BYTES:
        _refuse("its third line is not a hash in base64")
    return Checkpoint(origin, int(size), root)


def _signature(line: str) -> tuple[str, bytes]:
    name, gap, encoded = line.removeprefix(_DASH).partition(" ")
    signature = _decoded(encoded)
    if not line.startswith(_DASH) or not name or not gap or signature is None:
        _refuse("a signature line is of another form")
    if len(signature) != _HINT_BYTES + _SIGNATURE_BYTES:
        _refuse("a signature is of another length")
    return name, signature


def _decoded(text: str) -> bytes | None:
    """Base64 in its one canonical writing, or None."""
    try:
        found = base64.b64decode(text.encode("ascii"), validate=True)
    except (binascii.Error, UnicodeEncodeError):
        return None
    return found if base64.b64encode(found).decode() == text else None


def _refuse(why: str) -> Never:
    raise InputError(REC_NOTE, why=why)
