"""Canonical bytes of plain values (RFC 8785) and their SHA-256.

On top of the standard: no floats (decimals travel as text), text in Unicode NFC, whole numbers
below 2^53. Source: RFC 8785, section 3.2; RFC 8259, section 6 on the range of interoperable
numbers (both from memory).
"""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Mapping, Sequence
from typing import Any

import rfc8785

from trainer.errors import InputError, register

TYPE_REFUSED = register(
    "CAN-001",
    "A record cannot hold {kind} at {place}.",
    "Write decimals as text and dates in ISO 8601.",
    audience="operator",
    status=500,
)
Plain = None | bool | int | str | Sequence["Plain"] | Mapping[str, "Plain"]
_LARGEST = 2**53 - 1


def canonical_bytes(value: Plain) -> bytes:
    """The RFC 8785 bytes of a plain value: text, whole numbers, booleans, null, lists, objects.

    Raises:
        InputError: CAN-001 for a float, an over-large number or another type.

    Example:
        >>> canonical_bytes({"b": 1, "a": "x"})
        b'{"a":"x","b":1}'
    """
    return rfc8785.dumps(_checked(value, "the top"))


def digest(value: Plain) -> str:
    """The SHA-256 of the canonical bytes, as 64 hexadecimal digits."""
    return hashlib.sha256(canonical_bytes(value)).hexdigest()


def sha256_hex(content: bytes) -> str:
    """The SHA-256 of these bytes, as 64 hexadecimal digits."""
    return hashlib.sha256(content).hexdigest()


def _checked(value: object, place: str) -> Any:  # noqa: ANN401 - plain by now
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return unicodedata.normalize("NFC", value)
    if isinstance(value, int):
        if abs(value) > _LARGEST:
            raise InputError(TYPE_REFUSED, kind="a whole number over 2^53", place=place)
        return value
    if isinstance(value, Mapping):
        return {
            unicodedata.normalize("NFC", key): _checked(item, f"{place}.{key}")
            for key, item in value.items()
        }
    if isinstance(value, (list, tuple)):
        return [_checked(item, f"{place}[{number}]") for number, item in enumerate(value)]
    raise InputError(TYPE_REFUSED, kind=type(value).__name__, place=place)
