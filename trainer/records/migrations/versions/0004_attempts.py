"""Attempts, marking, lessons read, cautions seen. Going back drops them with all they hold."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from trainer.records.base import Moment, PlainJson
from trainer.records.migrations import protection

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Make the tables and what protects them."""
    op.create_table(
        "attempt",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("exercise", sa.String(), nullable=False),
        sa.Column("module", sa.String(), nullable=False),
        sa.Column("edition_hash", sa.String(), nullable=False),
        sa.Column("draw_key", sa.LargeBinary(), nullable=False),
        sa.Column("open_token", sa.String(), nullable=False),
        sa.Column("opened_at", Moment(), nullable=False),
        sa.Column("own_numbers", sa.Boolean(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("saved", PlainJson(), nullable=False),
        sa.Column("saved_at", Moment(), nullable=True),
        sa.Column("method_notes", sa.String(), nullable=False),
        sa.CheckConstraint(
            "state in ('open', 'closed', 'void', 'lapsed')", name=op.f("ck_attempt_state")
        ),
        sa.ForeignKeyConstraint(["edition_hash"], ["edition.hash"], name="fk_attempt_edition_hash"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_attempt_person_id"),
        sa.PrimaryKeyConstraint("id", name="pk_attempt"),
        sa.UniqueConstraint("open_token", name="uq_attempt_open_token"),
    )
    op.create_index(
        "ix_attempt_exercise_edition_hash",
        "attempt",
        ["exercise", "edition_hash", "id"],
        unique=False,
    )
    op.create_index(
        "ix_attempt_person_id_exercise", "attempt", ["person_id", "exercise", "id"], unique=False
    )
    op.create_index(
        "uq_attempt_open",
        "attempt",
        ["person_id", "exercise"],
        unique=True,
        sqlite_where=sa.text("state = 'open'"),
        postgresql_where=sa.text("state = 'open'"),
    )
    op.create_table(
        "marked",
        sa.Column("attempt_id", sa.Integer(), nullable=False),
        sa.Column("close_token", sa.String(), nullable=False),
        sa.Column("answers", PlainJson(), nullable=False),
        sa.Column("marking", PlainJson(), nullable=False),
        sa.Column("mark", sa.Integer(), nullable=False),
        sa.Column("marks", sa.Integer(), nullable=False),
        sa.Column("outcome", sa.String(), nullable=False),
        sa.Column("slip", sa.String(), nullable=False),
        sa.Column("engine_edition", sa.Integer(), nullable=False),
        sa.Column("closed_at", Moment(), nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.CheckConstraint("mark between 0 and marks", name=op.f("ck_marked_mark_within_marks")),
        sa.ForeignKeyConstraint(["attempt_id"], ["attempt.id"], name="fk_marked_attempt_id"),
        sa.PrimaryKeyConstraint("attempt_id", name="pk_marked"),
        sa.UniqueConstraint("close_token", name="uq_marked_close_token"),
    )
    op.create_table(
        "lesson_read",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("lesson", sa.String(), nullable=False),
        sa.Column("module", sa.String(), nullable=False),
        sa.Column("edition_hash", sa.String(), nullable=False),
        sa.Column("at", Moment(), nullable=False),
        sa.ForeignKeyConstraint(
            ["edition_hash"], ["edition.hash"], name="fk_lesson_read_edition_hash"
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_lesson_read_person_id"),
        sa.PrimaryKeyConstraint("id", name="pk_lesson_read"),
        sa.UniqueConstraint(
            "person_id",
            "lesson",
            "edition_hash",
            name="uq_lesson_read_person_id_lesson_edition_hash",
        ),
    )
    op.create_table(
        "caution_seen",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("caution", sa.String(), nullable=False),
        sa.Column("module", sa.String(), nullable=False),
        sa.Column("edition_hash", sa.String(), nullable=False),
        sa.Column("at", Moment(), nullable=False),
        sa.ForeignKeyConstraint(
            ["edition_hash"], ["edition.hash"], name="fk_caution_seen_edition_hash"
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_caution_seen_person_id"),
        sa.PrimaryKeyConstraint("id", name="pk_caution_seen"),
        sa.UniqueConstraint(
            "person_id",
            "caution",
            "module",
            "edition_hash",
            name="uq_caution_seen_person_id_caution_module_edition_hash",
        ),
    )
    op.create_table(
        "state_exercise",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("exercise", sa.String(), nullable=False),
        sa.Column("module", sa.String(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("best_mark", sa.Integer(), nullable=False),
        sa.Column("marks", sa.Integer(), nullable=False),
        sa.Column("last_attempt_id", sa.Integer(), nullable=False),
        sa.Column("last_at", Moment(), nullable=False),
        sa.Column("last_outcome", sa.String(), nullable=False),
        sa.Column("last_slip", sa.String(), nullable=False),
        sa.Column("done_edition", sa.String(), nullable=True),
        sa.Column("done_number", sa.Integer(), nullable=True),
        sa.Column("done_at", Moment(), nullable=True),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_state_exercise_person_id"),
        sa.PrimaryKeyConstraint("person_id", "exercise", name="pk_state_exercise"),
    )
    op.create_index(
        "ix_state_exercise_person_id_module",
        "state_exercise",
        ["person_id", "module"],
        unique=False,
    )
    protection.pinned(
        "attempt",
        [
            "id",
            "person_id",
            "exercise",
            "module",
            "edition_hash",
            "draw_key",
            "open_token",
            "opened_at",
            "own_numbers",
        ],
        final="old.state <> 'open'",
    )
    protection.keep_rows("attempt")
    protection.refuse_replacement("attempt", [["id"], ["open_token"]])
    protection.append_only("marked", ["attempt_id"], ["close_token"])
    protection.append_only("lesson_read", ["id"])
    protection.append_only("caution_seen", ["id"])


def downgrade() -> None:
    """Drop the tables; their triggers go with them."""
    op.drop_table("state_exercise")
    op.drop_table("caution_seen")
    op.drop_table("lesson_read")
    op.drop_table("marked")
    op.drop_table("attempt")
