"""Observation: a person asks, an observer fills in a sheet criterion by criterion on one job."""

from __future__ import annotations

from datetime import datetime
from typing import Literal, get_args

from sqlalchemy import ForeignKey, Index, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column, relationship

from trainer.records.base import Base, not_the_same, one_of
from trainer.records.free_text import FreeText

SheetState = Literal["open", "signed", "countersigned", "refused", "stopped for safety"]
SHEET_STATES: tuple[SheetState, ...] = get_args(SheetState)
CriterionValue = Literal["done", "not done", "not seen"]
CRITERION_VALUES: tuple[CriterionValue, ...] = get_args(CriterionValue)


class ObservationRequest(Base):
    """A person asks to be observed; answered by a sheet, or withdrawn."""

    __tablename__ = "observation_request"
    __table_args__ = (
        Index(
            "uq_observation_request_open",
            "person_id",
            "competency",
            unique=True,
            sqlite_where=text("withdrawn_at is null and sheet_id is null"),
            postgresql_where=text("withdrawn_at is null and sheet_id is null"),
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    competency: Mapped[str]
    at: Mapped[datetime]
    withdrawn_at: Mapped[datetime | None] = mapped_column(default=None)
    sheet_id: Mapped[int | None] = mapped_column(ForeignKey("observation_sheet.id"), default=None)


class ObservationSheet(Base):
    """The sheet of one competency on one job; once it has ended only a countersignature moves it.

    ``details`` holds what the observer wrote (also what happened, when it was stopped for safety)
    and the salt that the signed statement carries.
    """

    __tablename__ = "observation_sheet"
    __table_args__ = (
        one_of("state", SHEET_STATES),
        not_the_same("observer_id", "person_id"),
        Index(
            "uq_observation_sheet_open",
            "person_id",
            "competency",
            "observer_id",
            unique=True,
            sqlite_where=text("state = 'open'"),
            postgresql_where=text("state = 'open'"),
        ),
        Index("ix_observation_sheet_person_id_competency", "person_id", "competency", "id"),
        Index("ix_observation_sheet_observer_id", "observer_id", "state"),
    )

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    observer_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    competency: Mapped[str]
    scheme_hash: Mapped[str] = mapped_column(ForeignKey("edition.hash"))
    machine: Mapped[str]
    site: Mapped[str]
    begun_at: Mapped[datetime]
    state: Mapped[str] = mapped_column(default="open")
    ended_at: Mapped[datetime | None] = mapped_column(default=None)
    details_id: Mapped[int | None] = mapped_column(init=False)
    details: Mapped[FreeText | None] = relationship(
        primaryjoin=lambda: ObservationSheet.details_id == FreeText.id,
        foreign_keys=lambda: ObservationSheet.details_id,
        default=None,
    )


class ObservationMark(Base):
    """One judgement of one criterion, appended, never changed; the highest ``seq`` holds."""

    __tablename__ = "observation_mark"
    __table_args__ = (
        UniqueConstraint("sheet_id", "criterion", "seq"),
        one_of("value", CRITERION_VALUES),
    )

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    sheet_id: Mapped[int] = mapped_column(ForeignKey("observation_sheet.id"))
    criterion: Mapped[str]
    seq: Mapped[int]
    """Counts from 1 for each criterion of a sheet."""
    value: Mapped[str]
    at: Mapped[datetime]
    note_id: Mapped[int | None] = mapped_column(init=False)
    note: Mapped[FreeText | None] = relationship(
        primaryjoin=lambda: ObservationMark.note_id == FreeText.id,
        foreign_keys=lambda: ObservationMark.note_id,
        default=None,
    )
