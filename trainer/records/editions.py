"""Editions of modules and of the scheme: stored whole under their hash, never changed."""

from __future__ import annotations

from datetime import datetime
from typing import Literal, get_args

from sqlalchemy import ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from trainer.records.base import Base, one_of

EditionState = Literal["draft", "in review", "reviewed", "in force", "superseded", "withdrawn"]
EDITION_STATES: tuple[EditionState, ...] = get_args(EditionState)


class Edition(Base):
    """One edition: the canonical bytes whose SHA-256 is the key. Immutable."""

    __tablename__ = "edition"
    __table_args__ = (UniqueConstraint("subject", "number"), one_of("kind", ("module", "scheme")))

    hash: Mapped[str] = mapped_column(primary_key=True)
    kind: Mapped[str]
    subject: Mapped[str]
    """The module id, such as 'M03', or 'scheme'."""
    number: Mapped[int]
    """Counts from 1 for each subject."""
    canonical: Mapped[bytes]
    made_at: Mapped[datetime]
    made_by_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"), default=None)
    note: Mapped[str] = mapped_column(default="")


class EditionPages(Base):
    """Rendered pages of an edition, made again when the renderer changes; no part of the record."""

    __tablename__ = "edition_pages"

    edition_hash: Mapped[str] = mapped_column(ForeignKey("edition.hash"), primary_key=True)
    pages: Mapped[bytes]


class EditionEvent(Base):
    """One step in the life of an edition, appended and never changed; the last one is its state."""

    __tablename__ = "edition_event"
    __table_args__ = (one_of("state", EDITION_STATES),)

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    edition_hash: Mapped[str] = mapped_column(ForeignKey("edition.hash"), index=True)
    state: Mapped[str]
    at: Mapped[datetime]
    by_person_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"), default=None)
    reason: Mapped[str] = mapped_column(default="")


class InForce(Base):
    """The pointer: which edition of a subject is served now."""

    __tablename__ = "in_force"

    subject: Mapped[str] = mapped_column(primary_key=True)
    edition_hash: Mapped[str] = mapped_column(ForeignKey("edition.hash"))
    since: Mapped[datetime]
