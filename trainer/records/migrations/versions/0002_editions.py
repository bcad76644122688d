"""Editions of modules and the scheme, proof runs. Going back drops them with all they hold."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from trainer.records.base import Moment, PlainJson
from trainer.records.migrations import protection

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Make the tables and what protects them."""
    op.create_table(
        "edition",
        sa.Column("hash", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("subject", sa.String(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("canonical", sa.LargeBinary(), nullable=False),
        sa.Column("made_at", Moment(), nullable=False),
        sa.Column("made_by_id", sa.Integer(), nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.CheckConstraint("kind in ('module', 'scheme')", name=op.f("ck_edition_kind")),
        sa.ForeignKeyConstraint(["made_by_id"], ["person.id"], name="fk_edition_made_by_id"),
        sa.PrimaryKeyConstraint("hash", name="pk_edition"),
        sa.UniqueConstraint("subject", "number", name="uq_edition_subject_number"),
    )
    op.create_table(
        "edition_pages",
        sa.Column("edition_hash", sa.String(), nullable=False),
        sa.Column("pages", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(
            ["edition_hash"], ["edition.hash"], name="fk_edition_pages_edition_hash"
        ),
        sa.PrimaryKeyConstraint("edition_hash", name="pk_edition_pages"),
    )
    op.create_table(
        "edition_event",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("edition_hash", sa.String(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("at", Moment(), nullable=False),
        sa.Column("by_person_id", sa.Integer(), nullable=True),
        sa.Column("reason", sa.String(), nullable=False),
        sa.CheckConstraint(
            "state in ('draft', 'in review', 'reviewed', 'in force', 'superseded', 'withdrawn')",
            name=op.f("ck_edition_event_state"),
        ),
        sa.ForeignKeyConstraint(
            ["by_person_id"], ["person.id"], name="fk_edition_event_by_person_id"
        ),
        sa.ForeignKeyConstraint(
            ["edition_hash"], ["edition.hash"], name="fk_edition_event_edition_hash"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_edition_event"),
    )
    op.create_index(
        "ix_edition_event_edition_hash", "edition_event", ["edition_hash"], unique=False
    )
    op.create_table(
        "in_force",
        sa.Column("subject", sa.String(), nullable=False),
        sa.Column("edition_hash", sa.String(), nullable=False),
        sa.Column("since", Moment(), nullable=False),
        sa.ForeignKeyConstraint(
            ["edition_hash"], ["edition.hash"], name="fk_in_force_edition_hash"
        ),
        sa.PrimaryKeyConstraint("subject", name="pk_in_force"),
    )
    op.create_table(
        "proof",
        sa.Column("hash", sa.String(), nullable=False),
        sa.Column("engine_edition", sa.Integer(), nullable=False),
        sa.Column("result", PlainJson(), nullable=False),
        sa.PrimaryKeyConstraint("hash", "engine_edition", name="pk_proof"),
    )
    protection.append_only("edition", ["hash"], ["subject", "number"])
    protection.append_only("edition_event", ["id"])


def downgrade() -> None:
    """Drop the tables; their triggers go with them."""
    op.drop_table("proof")
    op.drop_table("in_force")
    op.drop_table("edition_event")
    op.drop_table("edition_pages")
    op.drop_table("edition")
