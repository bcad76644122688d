"""The error root, one class a kind, and the catalogue of every code with its sentence and cure.

An error carries a code and fields; its text is composed from the catalogue row, so that a code
means the same everywhere and the documents can be checked against it. No field ever holds an
answer or a secret.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

Audience = Literal["trainee", "trainer", "operator"]


@dataclass(frozen=True, slots=True)
class ErrorRow:
    """One row of the catalogue: what happened, the cure, who reads it, and the HTTP status."""

    sentence: str
    cure: str
    audience: Audience
    status: int


CATALOGUE: dict[str, ErrorRow] = {}


def register(
    code: str, sentence: str, cure: str, *, audience: Audience = "trainer", status: int = 400
) -> str:
    """Add a row to the catalogue and return its code; a code is registered once."""
    if code in CATALOGUE:
        msg = f"the error code {code} is registered twice"
        raise ValueError(msg)
    CATALOGUE[code] = ErrorRow(sentence, cure, audience, status)
    return code


class TrainerError(Exception):
    """Root of every error of this project."""

    def __init__(self, code: str, **fields: object) -> None:
        self.code = code
        self.fields = fields
        super().__init__(code, fields)

    @property
    def row(self) -> ErrorRow:
        """The catalogue row of this error's code."""
        return CATALOGUE[self.code]

    @property
    def cure(self) -> str:
        """What to do about it, with the fields filled in."""
        return self.row.cure.format_map(self.fields)

    @property
    def status(self) -> int:
        """The HTTP status a page answers with."""
        return self.row.status

    def __str__(self) -> str:
        return self.row.sentence.format_map(self.fields)

    def __reduce__(self) -> tuple[Any, ...]:
        return _rebuild, (type(self), self.code, self.fields)


class InputError(TrainerError, ValueError):
    """A value that cannot be what was asked for."""


class NotFoundError(TrainerError, LookupError):
    """Something named that does not exist."""


class RefusedError(TrainerError, PermissionError):
    """An act that the rules do not allow this person, now."""


class StateError(TrainerError, RuntimeError):
    """An act that does not fit the state a thing is in."""


class BusyError(TrainerError, RuntimeError):
    """Storage could not take the write; nothing was saved."""


def _rebuild(kind: type[TrainerError], code: str, fields: dict[str, object]) -> TrainerError:
    return kind(code, **fields)
