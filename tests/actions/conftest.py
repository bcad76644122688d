"""An open house on each engine with the sample library in force, and the people of the tests."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.actions import sample
from tests.actions.sample import Crew
from tests.records.conftest import (
    _postgresql_template,
    _sqlite_template,
    database,
    folder,
    postgres_server,
)
from trainer import clock, settings
from trainer.actions import passwords
from trainer.actions.house import House
from trainer.records.database import Database

__all__ = ["_postgresql_template", "_sqlite_template", "database", "folder", "postgres_server"]


class Time:
    """A clock that stands still until it is moved."""

    def __init__(self, now: datetime) -> None:
        self.now = now

    def __call__(self) -> datetime:
        return self.now

    def on(self, **step: float) -> None:
        """Move on by days, hours, minutes."""
        self.now += timedelta(**step)


@pytest.fixture
def time() -> Iterator[Time]:
    moving = Time(sample.MONDAY)
    with clock.at(moving):
        yield moving


@pytest.fixture
def house(database: Database, tmp_path: Path, time: Time) -> House:
    found = House(
        settings.load({"instance": tmp_path, "firm": "Quernhithe Grinder Care"}, environment={}),
        database,
        secret_key=b"k" * 32,
        draw_secret=b"d" * 32,
    )
    sample.put(found, sample.scheme())
    sample.put(found, sample.module_m01())
    sample.put(found, sample.module_m03())
    return found


@pytest.fixture
def crew(house: House) -> Crew:
    found = Crew(house)
    found.come("piers", "scheme administrator")
    found.come("delphine", "trainee", team="North Yard")
    found.come("ngozi", "supervisor", team="North Yard")
    return found


@pytest.fixture(autouse=True)
def _light_hashing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hash with the least work argon2 knows; test_passwords looks at the real parameters."""
    from argon2 import PasswordHasher

    monkeypatch.setattr(
        passwords, "_HASHER", PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    )
    passwords._dummy.cache_clear()
