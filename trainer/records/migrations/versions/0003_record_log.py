"""The record log. Going back drops them with all they hold."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from trainer.records.base import Moment
from trainer.records.migrations import protection

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Make the tables and what protects them."""
    op.create_table(
        "record_log",
        sa.Column("index", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("at", Moment(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("payload_digest", sa.LargeBinary(), nullable=False),
        sa.Column("leaf", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("index", name="pk_record_log"),
    )
    op.create_table(
        "record_detail",
        sa.Column("index", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("payload", sa.LargeBinary(), nullable=False),
        sa.Column("salt", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["index"], ["record_log.index"], name="fk_record_detail_index"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_record_detail_person_id"),
        sa.PrimaryKeyConstraint("index", name="pk_record_detail"),
    )
    op.create_index("ix_record_detail_person_id", "record_detail", ["person_id"], unique=False)
    op.create_table(
        "record_node",
        sa.Column("level", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("hash", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("level", "position", name="pk_record_node"),
    )
    protection.append_only("record_log", ["index"])
    protection.refuse_where(
        "record_log",
        "insert",
        "gapless",
        found='new."index" <> (select coalesce(max("index") + 1, 0) from record_log)',
        why="entries follow one another without a gap",
    )
    protection.erasable("record_detail", ["index"])
    protection.append_only("record_node", ["level", "position"])


def downgrade() -> None:
    """Drop the tables; their triggers go with them."""
    op.drop_table("record_node")
    op.drop_table("record_detail")
    op.drop_table("record_log")
    protection.drop_function("record_log", "gapless")
