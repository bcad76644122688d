"""Folded rows: dates and facts at the grain that pages show, never a state word, rebuildable."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from trainer.records.base import Base, Json, PlainJson


class StateExercise(Base):
    """All marked attempts of one person at one exercise, folded."""

    __tablename__ = "state_exercise"
    __table_args__ = (Index("ix_state_exercise_person_id_module", "person_id", "module"),)

    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), primary_key=True)
    exercise: Mapped[str] = mapped_column(primary_key=True)
    module: Mapped[str]
    attempts: Mapped[int]
    best_mark: Mapped[int]
    marks: Mapped[int]
    """Of the attempt with the best mark."""
    last_attempt_id: Mapped[int]
    last_at: Mapped[datetime]
    last_outcome: Mapped[str]
    last_slip: Mapped[str]
    done_edition: Mapped[str | None]
    """The latest edition at which the whole was inside on own numbers; empty: never."""
    done_number: Mapped[int | None]
    done_at: Mapped[datetime | None]
    """First time at that edition."""


class StateCompetency(Base):
    """What the records say of one person and one competency; ``rules`` make a state of it."""

    __tablename__ = "state_competency"

    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), primary_key=True)
    competency: Mapped[str] = mapped_column(primary_key=True)
    requested_at: Mapped[datetime | None] = mapped_column(default=None)
    """A request that is neither answered nor withdrawn."""
    open_sheet_id: Mapped[int | None] = mapped_column(default=None)
    open_sheet_at: Mapped[datetime | None] = mapped_column(default=None)
    last_outcome: Mapped[str] = mapped_column(default="")
    """Of the last sheet that ended: competent, not yet competent, refused, stopped for safety."""
    last_outcome_at: Mapped[datetime | None] = mapped_column(default=None)
    signatures: Mapped[Json | None] = mapped_column(PlainJson, default=None)
    """Signed competent since the last other outcome: [[signer, sheet, time] …], oldest first."""
    last_signed_at: Mapped[datetime | None] = mapped_column(default=None)
    signed_off_at: Mapped[datetime | None] = mapped_column(default=None)
    """The last sign-off."""
    signed_off_scheme: Mapped[str | None] = mapped_column(default=None)
    recognised_at: Mapped[datetime | None] = mapped_column(default=None)
    recognised_months: Mapped[int | None] = mapped_column(default=None)
    restrictions: Mapped[Json | None] = mapped_column(PlainJson, default=None)
    """Not released: [[restriction, grinder type, since, until or null] …], oldest first."""
    withdrawn_at: Mapped[datetime | None] = mapped_column(default=None)
