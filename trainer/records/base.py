"""The declarative base, the constraint names and the two column types of ours.

A moment is stored with its zone on PostgreSQL and as sortable UTC text on SQLite, and comes back
as an aware UTC datetime from both. Plain values are stored as their canonical text, so that the
bytes of a record are the same on both engines.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any, dataclass_transform

from sqlalchemy import CheckConstraint, DateTime, Dialect, MetaData, String, Text, TypeDecorator
from sqlalchemy.orm import DeclarativeBase, MappedAsDataclass, mapped_column, relationship
from sqlalchemy.types import TypeEngine

from trainer.canonical import Plain, canonical_bytes
from trainer.errors import InputError, register

REC_NAIVE = register(
    "REC-001",
    "A record cannot hold the time {moment}: it names no zone.",
    "Take the time from trainer.clock, which answers in UTC.",
    audience="operator",
    status=500,
)
NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}
Json = Any  # what json.loads gives back: the plain value that was stored


def moment_text(moment: datetime) -> str:
    """An aware moment as UTC text of fixed width, so that text order is time order.

    Raises:
        InputError: REC-001 for a moment without a zone.

    Example:
        >>> moment_text(datetime(2031, 4, 5, 6, 7, 8, 90, tzinfo=UTC))
        '2031-04-05T06:07:08.000090Z'
    """
    if moment.tzinfo is None:
        raise InputError(REC_NAIVE, moment=moment.isoformat())
    plain = moment.astimezone(UTC).replace(tzinfo=None)
    return plain.isoformat(timespec="microseconds") + "Z"


class Moment(TypeDecorator[datetime]):
    """An aware UTC datetime to the microsecond, the same from every engine."""

    impl = DateTime
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        """Sortable text on SQLite, a time with zone elsewhere."""
        if dialect.name == "sqlite":
            return dialect.type_descriptor(String(27))
        return dialect.type_descriptor(DateTime(timezone=True))

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> Any:  # noqa: ANN401 - text or datetime
        """Refuse a time without zone; give the engine its own form."""
        if value is None:
            return None
        text = moment_text(value)
        return text if dialect.name == "sqlite" else value.astimezone(UTC)

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:  # noqa: ANN401, ARG002
        """Aware UTC again."""
        if value is None:
            return None
        if isinstance(value, str):
            return datetime.fromisoformat(value)
        assert isinstance(value, datetime)
        return value.astimezone(UTC)


class PlainJson(TypeDecorator[Json]):
    """A plain value kept as its canonical text (RFC 8785): no floats, one writing for one value."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: Plain, dialect: Dialect) -> str | None:  # noqa: ARG002
        """The canonical text; a Python None is the absence of a value."""
        return None if value is None else canonical_bytes(value).decode()

    def process_result_value(self, value: str | None, dialect: Dialect) -> Json:  # noqa: ARG002
        """The plain value again."""
        return None if value is None else json.loads(value)


@dataclass_transform(
    kw_only_default=True, eq_default=False, field_specifiers=(mapped_column, relationship)
)
class Base(MappedAsDataclass, DeclarativeBase, kw_only=True, eq=False, repr=False):
    """Root of every table: keyword-only constructors that the type checker knows."""

    metadata = MetaData(naming_convention=NAMES)
    type_annotation_map = {datetime: Moment}  # noqa: RUF012 - SQLAlchemy reads it as it stands

    def __repr__(self) -> str:
        """Table and key only: a row may hold what a log must not show."""
        keys = [column.key for column in type(self).__mapper__.primary_key]
        shown = ", ".join(f"{key}={self.__dict__.get(key)!r}" for key in keys if key)
        return f"<{self.__tablename__} {shown}>"


def not_the_same(one: str, other: str) -> CheckConstraint:
    """A check that two columns name two people: nobody acts on his own record."""
    return CheckConstraint(f"{one} <> {other}", name=f"{one}_is_not_{other}")


def one_of(column: str, values: Iterable[str]) -> CheckConstraint:
    """A check that a text column holds one of these words; its name is the column's."""
    words = ", ".join(f"'{value}'" for value in values)
    return CheckConstraint(f"{column} in ({words})", name=column)
