"""Signatures on observation sheets, recognition of earlier evidence, and restrictions."""

from __future__ import annotations

from datetime import datetime
from typing import Literal, get_args

from sqlalchemy import ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from trainer.records.base import Base, not_the_same, one_of
from trainer.records.free_text import FreeText

SignedOutcome = Literal["competent", "not yet competent"]
SIGNED_OUTCOMES: tuple[SignedOutcome, ...] = get_args(SignedOutcome)


class Signature(Base):
    """A named person's signature under one sheet. Immutable; one for each sheet and signer.

    ``digest`` is of what was shown and signed; the statement holds names and stands beside the row.
    """

    __tablename__ = "signature"
    __table_args__ = (
        UniqueConstraint("sheet_id", "signer_id"),
        UniqueConstraint("sheet_id", "number"),
        one_of("outcome", SIGNED_OUTCOMES),
        not_the_same("signer_id", "person_id"),
        Index("ix_signature_person_id_competency", "person_id", "competency", "signed_at"),
    )

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    sheet_id: Mapped[int] = mapped_column(ForeignKey("observation_sheet.id"))
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    """The person who was observed."""
    signer_id: Mapped[int] = mapped_column(ForeignKey("person.id"), index=True)
    competency: Mapped[str]
    number: Mapped[int]
    """First, second … signature on this sheet, from 1."""
    outcome: Mapped[str]
    is_sign_off: Mapped[bool]
    """Whether this was the last needed signature under the scheme edition of the sheet."""
    digest: Mapped[str]
    signed_at: Mapped[datetime]
    log_index: Mapped[int] = mapped_column(ForeignKey("record_log.index"))
    statement_id: Mapped[int | None] = mapped_column(init=False)
    statement: Mapped[FreeText | None] = relationship(
        primaryjoin=lambda: Signature.statement_id == FreeText.id,
        foreign_keys=lambda: Signature.statement_id,
        default=None,
    )


class Recognition(Base):
    """A competency recognised on earlier evidence by the scheme administrator. Immutable."""

    __tablename__ = "recognition"
    __table_args__ = (
        not_the_same("by_person_id", "person_id"),
        Index("ix_recognition_person_id_competency", "person_id", "competency"),
    )

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    competency: Mapped[str]
    by_person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    at: Mapped[datetime]
    months: Mapped[int]
    log_index: Mapped[int] = mapped_column(ForeignKey("record_log.index"))
    evidence_id: Mapped[int | None] = mapped_column(init=False)
    evidence: Mapped[FreeText | None] = relationship(
        primaryjoin=lambda: Recognition.evidence_id == FreeText.id,
        foreign_keys=lambda: Recognition.evidence_id,
        default=None,
    )


class CompetencyWithdrawn(Base):
    """A competency ended by the scheme: only a new start leads back. Immutable."""

    __tablename__ = "competency_withdrawn"
    __table_args__ = (
        not_the_same("by_person_id", "person_id"),
        Index("ix_competency_withdrawn_person_id_competency", "person_id", "competency"),
    )

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    competency: Mapped[str]
    by_person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    at: Mapped[datetime]
    log_index: Mapped[int] = mapped_column(ForeignKey("record_log.index"))
    reason_id: Mapped[int | None] = mapped_column(init=False)
    reason: Mapped[FreeText | None] = relationship(
        primaryjoin=lambda: CompetencyWithdrawn.reason_id == FreeText.id,
        foreign_keys=lambda: CompetencyWithdrawn.reason_id,
        default=None,
    )


class Restriction(Base):
    """Part of a scope taken away for a time; only its release may be added, by another person."""

    __tablename__ = "restriction"
    __table_args__ = (
        not_the_same("by_person_id", "person_id"),
        not_the_same("released_by_id", "person_id"),
        not_the_same("released_by_id", "by_person_id"),
        Index("ix_restriction_person_id_competency", "person_id", "competency"),
    )

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    competency: Mapped[str]
    grinder_type: Mapped[str] = mapped_column(default="")
    """Empty: every grinder type."""
    by_person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    since: Mapped[datetime]
    until: Mapped[datetime | None] = mapped_column(default=None)
    """Empty: until it is released."""
    released_at: Mapped[datetime | None] = mapped_column(default=None)
    released_by_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"), default=None)
    reason_id: Mapped[int | None] = mapped_column(init=False)
    reason: Mapped[FreeText | None] = relationship(
        primaryjoin=lambda: Restriction.reason_id == FreeText.id,
        foreign_keys=lambda: Restriction.reason_id,
        default=None,
    )
