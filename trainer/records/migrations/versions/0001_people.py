"""People, roles, teams, sign-ins. Going back drops them with all they hold."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from trainer.records.base import Moment
from trainer.records.migrations import protection

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the tables and what protects them."""
    op.create_table(
        "free_text",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.Column("salt", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_free_text"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "person",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.String(), nullable=False),
        sa.Column("sign_in_name", sa.String(), nullable=False),
        sa.Column("created_at", Moment(), nullable=False),
        sa.Column("disabled_at", Moment(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_person"),
        sa.UniqueConstraint("number", name="uq_person_number"),
        sa.UniqueConstraint("sign_in_name", name="uq_person_sign_in_name"),
    )
    op.create_table(
        "person_name",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("full_name", sa.String(), nullable=False),
        sa.Column("short_name", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_person_name_person_id"),
        sa.PrimaryKeyConstraint("person_id", name="pk_person_name"),
    )
    op.create_table(
        "credential",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("password_hash", sa.String(), nullable=False),
        sa.Column("changed_at", Moment(), nullable=False),
        sa.Column("must_change", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_credential_person_id"),
        sa.PrimaryKeyConstraint("person_id", name="pk_credential"),
    )
    op.create_table(
        "role",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("role", sa.String(), nullable=False),
        sa.Column("since", Moment(), nullable=False),
        sa.Column("until", Moment(), nullable=True),
        sa.CheckConstraint(
            "role in ('trainee', 'technician', 'supervisor', 'trainer', 'second reader', "
            "'scheme administrator', 'decision maker', 'auditor', 'client contact')",
            name=op.f("ck_role_role"),
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_role_person_id"),
        sa.PrimaryKeyConstraint("id", name="pk_role"),
    )
    op.create_index(
        "uq_role_held",
        "role",
        ["person_id", "role"],
        unique=True,
        sqlite_where=sa.text("until is null"),
        postgresql_where=sa.text("until is null"),
    )
    op.create_table(
        "team",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("site", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_team"),
        sa.UniqueConstraint("name", name="uq_team_name"),
    )
    op.create_table(
        "membership",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("team_id", sa.Integer(), nullable=False),
        sa.Column("since", Moment(), nullable=False),
        sa.Column("until", Moment(), nullable=True),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_membership_person_id"),
        sa.ForeignKeyConstraint(["team_id"], ["team.id"], name="fk_membership_team_id"),
        sa.PrimaryKeyConstraint("id", name="pk_membership"),
    )
    op.create_index("ix_membership_team_id", "membership", ["team_id", "until"], unique=False)
    op.create_index(
        "uq_membership_held",
        "membership",
        ["person_id", "team_id"],
        unique=True,
        sqlite_where=sa.text("until is null"),
        postgresql_where=sa.text("until is null"),
    )
    op.create_table(
        "invitation",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.String(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("expires_at", Moment(), nullable=False),
        sa.Column("used_at", Moment(), nullable=True),
        sa.Column("made_by_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["made_by_id"], ["person.id"], name="fk_invitation_made_by_id"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_invitation_person_id"),
        sa.PrimaryKeyConstraint("id", name="pk_invitation"),
        sa.UniqueConstraint("token_hash", name="uq_invitation_token_hash"),
    )
    op.create_index("ix_invitation_person_id", "invitation", ["person_id"], unique=False)
    op.create_table(
        "sign_in",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.String(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("started_at", Moment(), nullable=False),
        sa.Column("seen_at", Moment(), nullable=False),
        sa.Column("confirmed_at", Moment(), nullable=True),
        sa.Column("ended_at", Moment(), nullable=True),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_sign_in_person_id"),
        sa.PrimaryKeyConstraint("id", name="pk_sign_in"),
        sa.UniqueConstraint("token_hash", name="uq_sign_in_token_hash"),
    )
    op.create_index("ix_sign_in_person_id", "sign_in", ["person_id"], unique=False)
    op.create_table(
        "throttle",
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("failures", sa.Integer(), nullable=False),
        sa.Column("until", Moment(), nullable=True),
        sa.PrimaryKeyConstraint("key", name="pk_throttle"),
    )
    protection.prepare()
    protection.erasable("free_text", ["id"])
    protection.pinned("person", ["id", "number", "created_at"])
    protection.keep_rows("person")
    for table, column in (("role", "role"), ("membership", "team_id")):
        final = "old.until is not null"
        protection.pinned(table, ["id", "person_id", column, "since"], final=final)
        protection.keep_rows(table)
    protection.pinned(
        "invitation", ["id", "token_hash", "person_id"], final="old.used_at is not null"
    )
    protection.pinned(
        "sign_in",
        ["id", "token_hash", "person_id", "started_at"],
        final="old.ended_at is not null",
    )


def downgrade() -> None:
    """Drop the tables; their triggers go with them."""
    op.drop_table("throttle")
    op.drop_table("sign_in")
    op.drop_table("invitation")
    op.drop_table("membership")
    op.drop_table("team")
    op.drop_table("role")
    op.drop_table("credential")
    op.drop_table("person_name")
    op.drop_table("person")
    op.drop_table("free_text")
    protection.unprepare()
