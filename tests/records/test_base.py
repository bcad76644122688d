"""Times and rows: the same from both engines, and nothing shown that a log must not hold."""

from __future__ import annotations

import pytest
from sqlalchemy import select

from tests.records.story import START
from trainer.errors import InputError
from trainer.records.database import Database
from trainer.records.tables import Person, Team, Throttle


def test_times_come_back_aware_and_exact(database: Database) -> None:
    from datetime import UTC, datetime, timedelta, timezone

    east = timezone(timedelta(hours=5, minutes=30))
    moments = [
        datetime(2031, 3, 3, 13, 30, 0, 1, tzinfo=east),
        datetime(1999, 12, 31, 23, 59, 59, 999999, tzinfo=UTC),
        datetime(2032, 2, 29, tzinfo=UTC),
    ]
    for number, moment in enumerate(moments):
        person = Person(number=f"P-{number}", sign_in_name=f"s{number}", created_at=moment)
        database.write(lambda session, row=person: session.add(row))  # type: ignore[misc]
    with database.reading() as session:
        found = session.execute(
            select(Person.created_at, Person.disabled_at).order_by(Person.created_at)
        ).all()
    assert [row.created_at for row in found] == sorted(moments)
    assert all(row.created_at.utcoffset() == timedelta(0) for row in found)
    assert [row.disabled_at for row in found] == [None] * 3


def test_a_row_shows_its_table_and_key_alone() -> None:
    row = Throttle(key="p-0007", failures=3)
    assert repr(row) == "<throttle key='p-0007'>"
    assert repr(Team(name="a secret name")) == "<team id=None>"


def test_a_time_without_zone_is_refused(database: Database) -> None:
    row = Person(number="P-1", sign_in_name="s", created_at=START.replace(tzinfo=None))
    with pytest.raises(Exception, match="names no zone") as caught:
        database.write(lambda session: session.add(row))
    assert isinstance(getattr(caught.value, "orig", caught.value), InputError)
