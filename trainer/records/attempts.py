"""Attempts at exercises and their marking; lessons signed as read, cautions acknowledged."""

from __future__ import annotations

from datetime import datetime
from typing import Literal, get_args

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column

from trainer.records.base import Base, Json, PlainJson, one_of

AttemptState = Literal["open", "closed", "void", "lapsed"]
ATTEMPT_STATES: tuple[AttemptState, ...] = get_args(AttemptState)


class Attempt(Base):
    """One go at an exercise. While open only what was saved may change; afterwards nothing.

    A person has at most one open attempt at an exercise, whatever the number of windows.
    """

    __tablename__ = "attempt"
    __table_args__ = (
        one_of("state", ATTEMPT_STATES),
        Index(
            "uq_attempt_open",
            "person_id",
            "exercise",
            unique=True,
            sqlite_where=text("state = 'open'"),
            postgresql_where=text("state = 'open'"),
        ),
        Index("ix_attempt_person_id_exercise", "person_id", "exercise", "id"),
        Index("ix_attempt_exercise_edition_hash", "exercise", "edition_hash", "id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    exercise: Mapped[str]
    module: Mapped[str]
    edition_hash: Mapped[str] = mapped_column(ForeignKey("edition.hash"))
    draw_key: Mapped[bytes]
    open_token: Mapped[str] = mapped_column(unique=True)
    opened_at: Mapped[datetime]
    own_numbers: Mapped[bool] = mapped_column(default=True)
    """False where others saw the figures too: being inside then does not count as done."""
    state: Mapped[str] = mapped_column(default="open")
    saved: Mapped[Json] = mapped_column(PlainJson, default_factory=dict)
    """Answer cell -> text as typed."""
    saved_at: Mapped[datetime | None] = mapped_column(default=None)
    method_notes: Mapped[str] = mapped_column(default="")


class Marked(Base):
    """The answers of a closed attempt and their marking, once and for ever."""

    __tablename__ = "marked"
    __table_args__ = (CheckConstraint("mark between 0 and marks", name="mark_within_marks"),)

    attempt_id: Mapped[int] = mapped_column(ForeignKey("attempt.id"), primary_key=True)
    close_token: Mapped[str] = mapped_column(unique=True)
    answers: Mapped[Json] = mapped_column(PlainJson)
    marking: Mapped[Json] = mapped_column(PlainJson)
    mark: Mapped[int]
    marks: Mapped[int]
    outcome: Mapped[str]
    """The outcome of the whole; 'inside' is what counts as done."""
    slip: Mapped[str] = mapped_column(default="")
    """Name of the first named or unit slip; empty: none."""
    engine_edition: Mapped[int]
    closed_at: Mapped[datetime]
    digest: Mapped[str]


class LessonRead(Base):
    """A lesson signed as read, at one edition. Immutable."""

    __tablename__ = "lesson_read"
    __table_args__ = (UniqueConstraint("person_id", "lesson", "edition_hash"),)

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    lesson: Mapped[str]
    module: Mapped[str]
    edition_hash: Mapped[str] = mapped_column(ForeignKey("edition.hash"))
    at: Mapped[datetime]


class CautionSeen(Base):
    """A caution acknowledged, at one edition. Immutable."""

    __tablename__ = "caution_seen"
    __table_args__ = (UniqueConstraint("person_id", "caution", "module", "edition_hash"),)

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    caution: Mapped[str]
    module: Mapped[str]
    edition_hash: Mapped[str] = mapped_column(ForeignKey("edition.hash"))
    at: Mapped[datetime]
