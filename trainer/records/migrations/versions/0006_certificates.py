"""Candidacies, certificates, acts upon them. Going back drops them with all they hold."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from trainer.records.base import Moment, PlainJson
from trainer.records.migrations import protection

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    """Make the tables and what protects them."""
    op.create_table(
        "candidacy",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("certificate", sa.String(), nullable=False),
        sa.Column("applied_at", Moment(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("decision", sa.String(), nullable=False),
        sa.Column("decided_at", Moment(), nullable=True),
        sa.Column("decided_by_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "decision in ('', 'granted', 'refused', 'more evidence')",
            name=op.f("ck_candidacy_decision"),
        ),
        sa.CheckConstraint(
            "state in ('applied', 'admitted', 'under assessment', 'decided')",
            name=op.f("ck_candidacy_state"),
        ),
        sa.CheckConstraint(
            "decided_by_id <> person_id", name=op.f("ck_candidacy_decided_by_id_is_not_person_id")
        ),
        sa.ForeignKeyConstraint(
            ["decided_by_id"], ["person.id"], name="fk_candidacy_decided_by_id"
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_candidacy_person_id"),
        sa.PrimaryKeyConstraint("id", name="pk_candidacy"),
    )
    op.create_index("ix_candidacy_state", "candidacy", ["state", "id"], unique=False)
    op.create_index(
        "uq_candidacy_undecided",
        "candidacy",
        ["person_id", "certificate"],
        unique=True,
        sqlite_where=sa.text("state <> 'decided'"),
        postgresql_where=sa.text("state <> 'decided'"),
    )
    op.create_table(
        "certificate",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.String(), nullable=False),
        sa.Column("check_word", sa.String(), nullable=False),
        sa.Column("link_token", sa.String(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("candidacy_id", sa.Integer(), nullable=True),
        sa.Column("certificate", sa.String(), nullable=False),
        sa.Column("scheme_hash", sa.String(), nullable=False),
        sa.Column("scope", PlainJson(), nullable=False),
        sa.Column("granted_at", Moment(), nullable=False),
        sa.Column("ends_at", Moment(), nullable=False),
        sa.Column("decided_by_id", sa.Integer(), nullable=False),
        sa.Column("log_index", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "decided_by_id <> person_id", name=op.f("ck_certificate_decided_by_id_is_not_person_id")
        ),
        sa.ForeignKeyConstraint(
            ["candidacy_id"], ["candidacy.id"], name="fk_certificate_candidacy_id"
        ),
        sa.ForeignKeyConstraint(
            ["decided_by_id"], ["person.id"], name="fk_certificate_decided_by_id"
        ),
        sa.ForeignKeyConstraint(
            ["log_index"], ["record_log.index"], name="fk_certificate_log_index"
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_certificate_person_id"),
        sa.ForeignKeyConstraint(
            ["scheme_hash"], ["edition.hash"], name="fk_certificate_scheme_hash"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_certificate"),
        sa.UniqueConstraint("link_token", name="uq_certificate_link_token"),
        sa.UniqueConstraint("number", name="uq_certificate_number"),
    )
    op.create_index(
        "ix_certificate_person_id", "certificate", ["person_id", "certificate"], unique=False
    )
    op.create_table(
        "certificate_act",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("certificate_id", sa.Integer(), nullable=True),
        sa.Column("candidacy_id", sa.Integer(), nullable=True),
        sa.Column("act", sa.String(), nullable=False),
        sa.Column("at", Moment(), nullable=False),
        sa.Column("by_person_id", sa.Integer(), nullable=False),
        sa.Column("log_index", sa.Integer(), nullable=False),
        sa.Column("reason_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "act in ('grant', 'refuse', 'suspend', 'reinstate', 'withdraw', 'supersede')",
            name=op.f("ck_certificate_act_act"),
        ),
        sa.CheckConstraint(
            "certificate_id is not null or candidacy_id is not null",
            name=op.f("ck_certificate_act_on_something"),
        ),
        sa.ForeignKeyConstraint(
            ["by_person_id"], ["person.id"], name="fk_certificate_act_by_person_id"
        ),
        sa.ForeignKeyConstraint(
            ["candidacy_id"], ["candidacy.id"], name="fk_certificate_act_candidacy_id"
        ),
        sa.ForeignKeyConstraint(
            ["certificate_id"], ["certificate.id"], name="fk_certificate_act_certificate_id"
        ),
        sa.ForeignKeyConstraint(
            ["log_index"], ["record_log.index"], name="fk_certificate_act_log_index"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_certificate_act"),
    )
    op.create_index(
        "ix_certificate_act_candidacy_id", "certificate_act", ["candidacy_id"], unique=False
    )
    op.create_index(
        "ix_certificate_act_certificate_id", "certificate_act", ["certificate_id"], unique=False
    )
    protection.pinned(
        "candidacy",
        ["id", "person_id", "certificate", "applied_at"],
        final="old.state = 'decided'",
    )
    protection.keep_rows("candidacy")
    protection.append_only("certificate", ["id"], ["number"], ["link_token"])
    protection.append_only("certificate_act", ["id"])


def downgrade() -> None:
    """Drop the tables; their triggers go with them."""
    op.drop_table("certificate_act")
    op.drop_table("certificate")
    op.drop_table("candidacy")
