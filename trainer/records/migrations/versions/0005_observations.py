"""Observation sheets, signatures, restrictions. Going back drops them with all they hold."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from trainer.records.base import Moment, PlainJson
from trainer.records.migrations import protection

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Make the tables and what protects them."""
    op.create_table(
        "observation_sheet",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("observer_id", sa.Integer(), nullable=False),
        sa.Column("competency", sa.String(), nullable=False),
        sa.Column("scheme_hash", sa.String(), nullable=False),
        sa.Column("machine", sa.String(), nullable=False),
        sa.Column("site", sa.String(), nullable=False),
        sa.Column("begun_at", Moment(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("ended_at", Moment(), nullable=True),
        sa.Column("details_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "state in ('open', 'signed', 'countersigned', 'refused', 'stopped for safety')",
            name=op.f("ck_observation_sheet_state"),
        ),
        sa.CheckConstraint(
            "observer_id <> person_id",
            name=op.f("ck_observation_sheet_observer_id_is_not_person_id"),
        ),
        sa.ForeignKeyConstraint(
            ["observer_id"], ["person.id"], name="fk_observation_sheet_observer_id"
        ),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name="fk_observation_sheet_person_id"
        ),
        sa.ForeignKeyConstraint(
            ["scheme_hash"], ["edition.hash"], name="fk_observation_sheet_scheme_hash"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_observation_sheet"),
    )
    op.create_index(
        "ix_observation_sheet_observer_id",
        "observation_sheet",
        ["observer_id", "state"],
        unique=False,
    )
    op.create_index(
        "ix_observation_sheet_person_id_competency",
        "observation_sheet",
        ["person_id", "competency", "id"],
        unique=False,
    )
    op.create_index(
        "uq_observation_sheet_open",
        "observation_sheet",
        ["person_id", "competency", "observer_id"],
        unique=True,
        sqlite_where=sa.text("state = 'open'"),
        postgresql_where=sa.text("state = 'open'"),
    )
    op.create_table(
        "observation_request",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("competency", sa.String(), nullable=False),
        sa.Column("at", Moment(), nullable=False),
        sa.Column("withdrawn_at", Moment(), nullable=True),
        sa.Column("sheet_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name="fk_observation_request_person_id"
        ),
        sa.ForeignKeyConstraint(
            ["sheet_id"], ["observation_sheet.id"], name="fk_observation_request_sheet_id"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_observation_request"),
    )
    op.create_index(
        "uq_observation_request_open",
        "observation_request",
        ["person_id", "competency"],
        unique=True,
        sqlite_where=sa.text("withdrawn_at is null and sheet_id is null"),
        postgresql_where=sa.text("withdrawn_at is null and sheet_id is null"),
    )
    op.create_table(
        "observation_mark",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sheet_id", sa.Integer(), nullable=False),
        sa.Column("criterion", sa.String(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("value", sa.String(), nullable=False),
        sa.Column("at", Moment(), nullable=False),
        sa.Column("note_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "value in ('done', 'not done', 'not seen')", name=op.f("ck_observation_mark_value")
        ),
        sa.ForeignKeyConstraint(
            ["sheet_id"], ["observation_sheet.id"], name="fk_observation_mark_sheet_id"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_observation_mark"),
        sa.UniqueConstraint(
            "sheet_id", "criterion", "seq", name="uq_observation_mark_sheet_id_criterion_seq"
        ),
    )
    op.create_table(
        "signature",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sheet_id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("signer_id", sa.Integer(), nullable=False),
        sa.Column("competency", sa.String(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("outcome", sa.String(), nullable=False),
        sa.Column("is_sign_off", sa.Boolean(), nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.Column("signed_at", Moment(), nullable=False),
        sa.Column("log_index", sa.Integer(), nullable=False),
        sa.Column("statement_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "outcome in ('competent', 'not yet competent')", name=op.f("ck_signature_outcome")
        ),
        sa.CheckConstraint(
            "signer_id <> person_id", name=op.f("ck_signature_signer_id_is_not_person_id")
        ),
        sa.ForeignKeyConstraint(["log_index"], ["record_log.index"], name="fk_signature_log_index"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_signature_person_id"),
        sa.ForeignKeyConstraint(
            ["sheet_id"], ["observation_sheet.id"], name="fk_signature_sheet_id"
        ),
        sa.ForeignKeyConstraint(["signer_id"], ["person.id"], name="fk_signature_signer_id"),
        sa.PrimaryKeyConstraint("id", name="pk_signature"),
        sa.UniqueConstraint("sheet_id", "number", name="uq_signature_sheet_id_number"),
        sa.UniqueConstraint("sheet_id", "signer_id", name="uq_signature_sheet_id_signer_id"),
    )
    op.create_index(
        "ix_signature_person_id_competency",
        "signature",
        ["person_id", "competency", "signed_at"],
        unique=False,
    )
    op.create_index("ix_signature_signer_id", "signature", ["signer_id"], unique=False)
    op.create_table(
        "recognition",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("competency", sa.String(), nullable=False),
        sa.Column("by_person_id", sa.Integer(), nullable=False),
        sa.Column("at", Moment(), nullable=False),
        sa.Column("months", sa.Integer(), nullable=False),
        sa.Column("log_index", sa.Integer(), nullable=False),
        sa.Column("evidence_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "by_person_id <> person_id", name=op.f("ck_recognition_by_person_id_is_not_person_id")
        ),
        sa.ForeignKeyConstraint(
            ["by_person_id"], ["person.id"], name="fk_recognition_by_person_id"
        ),
        sa.ForeignKeyConstraint(
            ["log_index"], ["record_log.index"], name="fk_recognition_log_index"
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_recognition_person_id"),
        sa.PrimaryKeyConstraint("id", name="pk_recognition"),
    )
    op.create_index(
        "ix_recognition_person_id_competency",
        "recognition",
        ["person_id", "competency"],
        unique=False,
    )
    op.create_table(
        "competency_withdrawn",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("competency", sa.String(), nullable=False),
        sa.Column("by_person_id", sa.Integer(), nullable=False),
        sa.Column("at", Moment(), nullable=False),
        sa.Column("log_index", sa.Integer(), nullable=False),
        sa.Column("reason_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "by_person_id <> person_id",
            name=op.f("ck_competency_withdrawn_by_person_id_is_not_person_id"),
        ),
        sa.ForeignKeyConstraint(
            ["by_person_id"], ["person.id"], name="fk_competency_withdrawn_by_person_id"
        ),
        sa.ForeignKeyConstraint(
            ["log_index"], ["record_log.index"], name="fk_competency_withdrawn_log_index"
        ),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name="fk_competency_withdrawn_person_id"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_competency_withdrawn"),
    )
    op.create_index(
        "ix_competency_withdrawn_person_id_competency",
        "competency_withdrawn",
        ["person_id", "competency"],
        unique=False,
    )
    op.create_table(
        "restriction",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("competency", sa.String(), nullable=False),
        sa.Column("grinder_type", sa.String(), nullable=False),
        sa.Column("by_person_id", sa.Integer(), nullable=False),
        sa.Column("since", Moment(), nullable=False),
        sa.Column("until", Moment(), nullable=True),
        sa.Column("released_at", Moment(), nullable=True),
        sa.Column("released_by_id", sa.Integer(), nullable=True),
        sa.Column("reason_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "by_person_id <> person_id", name=op.f("ck_restriction_by_person_id_is_not_person_id")
        ),
        sa.CheckConstraint(
            "released_by_id <> by_person_id",
            name=op.f("ck_restriction_released_by_id_is_not_by_person_id"),
        ),
        sa.CheckConstraint(
            "released_by_id <> person_id",
            name=op.f("ck_restriction_released_by_id_is_not_person_id"),
        ),
        sa.ForeignKeyConstraint(
            ["by_person_id"], ["person.id"], name="fk_restriction_by_person_id"
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_restriction_person_id"),
        sa.ForeignKeyConstraint(
            ["released_by_id"], ["person.id"], name="fk_restriction_released_by_id"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_restriction"),
    )
    op.create_index(
        "ix_restriction_person_id_competency",
        "restriction",
        ["person_id", "competency"],
        unique=False,
    )
    op.create_table(
        "state_competency",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("competency", sa.String(), nullable=False),
        sa.Column("requested_at", Moment(), nullable=True),
        sa.Column("open_sheet_id", sa.Integer(), nullable=True),
        sa.Column("open_sheet_at", Moment(), nullable=True),
        sa.Column("last_outcome", sa.String(), nullable=False),
        sa.Column("last_outcome_at", Moment(), nullable=True),
        sa.Column("signatures", PlainJson(), nullable=True),
        sa.Column("last_signed_at", Moment(), nullable=True),
        sa.Column("signed_off_at", Moment(), nullable=True),
        sa.Column("signed_off_scheme", sa.String(), nullable=True),
        sa.Column("recognised_at", Moment(), nullable=True),
        sa.Column("recognised_months", sa.Integer(), nullable=True),
        sa.Column("restrictions", PlainJson(), nullable=True),
        sa.Column("withdrawn_at", Moment(), nullable=True),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_state_competency_person_id"),
        sa.PrimaryKeyConstraint("person_id", "competency", name="pk_state_competency"),
    )
    protection.pinned(
        "observation_sheet",
        [
            "id",
            "person_id",
            "observer_id",
            "competency",
            "scheme_hash",
            "machine",
            "site",
            "begun_at",
        ],
        final="old.state in ('countersigned', 'refused', 'stopped for safety')",
    )
    protection.pinned(
        "observation_sheet",
        [],
        final="old.state = 'signed' and new.state not in ('countersigned', 'refused')",
        name="signed",
    )
    protection.keep_rows("observation_sheet")
    protection.refuse_replacement("observation_sheet", [["id"]])
    protection.pinned(
        "observation_request",
        ["id", "person_id", "competency", "at"],
        final="old.withdrawn_at is not null or old.sheet_id is not null",
    )
    protection.keep_rows("observation_request")
    protection.append_only("observation_mark", ["id"], ["sheet_id", "criterion", "seq"])
    protection.refuse_where(
        "observation_mark",
        "insert",
        "open",
        found="(select state from observation_sheet where id = new.sheet_id) <> 'open'",
        why="a sheet that has ended takes no judgement",
    )
    protection.append_only("signature", ["id"], ["sheet_id", "signer_id"], ["sheet_id", "number"])
    protection.append_only("recognition", ["id"])
    protection.append_only("competency_withdrawn", ["id"])
    protection.pinned(
        "restriction",
        [
            "id",
            "person_id",
            "competency",
            "grinder_type",
            "by_person_id",
            "since",
            "until",
            "reason_id",
        ],
        final="old.released_at is not null",
    )
    protection.keep_rows("restriction")
    protection.refuse_replacement("restriction", [["id"]])


def downgrade() -> None:
    """Drop the tables; their triggers go with them."""
    op.drop_table("state_competency")
    op.drop_table("restriction")
    op.drop_table("competency_withdrawn")
    op.drop_table("recognition")
    op.drop_table("signature")
    op.drop_table("observation_mark")
    op.drop_table("observation_request")
    op.drop_table("observation_sheet")
    protection.drop_function("observation_mark", "open")
