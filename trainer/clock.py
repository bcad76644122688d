"""The one source of "now": aware UTC, replaceable for demonstrations and tests."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, date, datetime

_source: ContextVar[Callable[[], datetime] | None] = ContextVar("clock_source", default=None)


def now() -> datetime:
    """The present moment as an aware UTC datetime, to the microsecond."""
    source = _source.get()
    return source() if source is not None else datetime.now(UTC)  # noqa: TID251 - the one place


def today() -> date:
    """The present UTC date."""
    return now().date()


@contextmanager
def at(moment: datetime | Callable[[], datetime]) -> Iterator[None]:
    """Let ``now`` answer with this aware moment (or this function) inside the block."""
    if isinstance(moment, datetime):
        fixed = moment.astimezone(UTC)
        token = _source.set(lambda: fixed)
    else:
        token = _source.set(moment)
    try:
        yield
    finally:
        _source.reset(token)
