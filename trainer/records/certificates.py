"""Candidacies, certificates and the acts upon them."""

from __future__ import annotations

from datetime import datetime
from typing import Literal, get_args

from sqlalchemy import CheckConstraint, ForeignKey, Index, text
from sqlalchemy.orm import Mapped, mapped_column, relationship

from trainer.records.base import Base, Json, PlainJson, not_the_same, one_of
from trainer.records.free_text import FreeText

CandidacyState = Literal["applied", "admitted", "under assessment", "decided"]
CANDIDACY_STATES: tuple[CandidacyState, ...] = get_args(CandidacyState)
Decision = Literal["granted", "refused", "more evidence"]
DECISIONS: tuple[Decision, ...] = get_args(Decision)
CertificateDeed = Literal["grant", "refuse", "suspend", "reinstate", "withdraw", "supersede"]
CERTIFICATE_DEEDS: tuple[CertificateDeed, ...] = get_args(CertificateDeed)


class Candidacy(Base):
    """A person's way to one certificate; at most one undecided at a time."""

    __tablename__ = "candidacy"
    __table_args__ = (
        one_of("state", CANDIDACY_STATES),
        one_of("decision", ("", *DECISIONS)),
        not_the_same("decided_by_id", "person_id"),
        Index(
            "uq_candidacy_undecided",
            "person_id",
            "certificate",
            unique=True,
            sqlite_where=text("state <> 'decided'"),
            postgresql_where=text("state <> 'decided'"),
        ),
        Index("ix_candidacy_state", "state", "id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    certificate: Mapped[str]
    """Which certificate of the scheme."""
    applied_at: Mapped[datetime]
    state: Mapped[str] = mapped_column(default="applied")
    decision: Mapped[str] = mapped_column(default="")
    decided_at: Mapped[datetime | None] = mapped_column(default=None)
    decided_by_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"), default=None)


class CertificateGranted(Base):
    """A certificate as granted. Immutable: what happens to it later is an act beside it."""

    __tablename__ = "certificate"
    __table_args__ = (
        not_the_same("decided_by_id", "person_id"),
        Index("ix_certificate_person_id", "person_id", "certificate"),
    )

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    number: Mapped[str] = mapped_column(unique=True)
    check_word: Mapped[str]
    link_token: Mapped[str] = mapped_column(unique=True)
    """128 bits, in the QR code."""
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    candidacy_id: Mapped[int | None] = mapped_column(ForeignKey("candidacy.id"), default=None)
    certificate: Mapped[str]
    scheme_hash: Mapped[str] = mapped_column(ForeignKey("edition.hash"))
    scope: Mapped[Json] = mapped_column(PlainJson)
    granted_at: Mapped[datetime]
    ends_at: Mapped[datetime]
    decided_by_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    log_index: Mapped[int] = mapped_column(ForeignKey("record_log.index"))


class CertificateAct(Base):
    """One act of the scheme on a certificate, or on a candidacy that was refused. Immutable."""

    __tablename__ = "certificate_act"
    __table_args__ = (
        one_of("act", CERTIFICATE_DEEDS),
        CheckConstraint(
            "certificate_id is not null or candidacy_id is not null", name="on_something"
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    certificate_id: Mapped[int | None] = mapped_column(
        ForeignKey("certificate.id"), index=True, default=None
    )
    candidacy_id: Mapped[int | None] = mapped_column(
        ForeignKey("candidacy.id"), index=True, default=None
    )
    act: Mapped[str]
    at: Mapped[datetime]
    by_person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    log_index: Mapped[int] = mapped_column(ForeignKey("record_log.index"))
    reason_id: Mapped[int | None] = mapped_column(init=False)
    reason: Mapped[FreeText | None] = relationship(
        primaryjoin=lambda: CertificateAct.reason_id == FreeText.id,
        foreign_keys=lambda: CertificateAct.reason_id,
        default=None,
    )
