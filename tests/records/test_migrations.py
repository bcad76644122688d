"""Migrations make the tables the models say, on both engines, and lead back and up again."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import MetaData, inspect, text
from sqlalchemy.schema import CreateSchema, DropSchema

from trainer.errors import StateError
from trainer.records import migrations
from trainer.records.database import Database, open_database
from trainer.records.tables import metadata


def test_upgrade_from_empty_arrives_at_the_head(empty_url: str) -> None:
    database = open_database(empty_url)
    assert migrations.current(database) is None
    migrations.upgrade(database)
    assert migrations.current(database) == migrations.head()
    migrations.upgrade(database)
    database.close()
