"""Proof runs kept by what was proved: an unchanged exercise is proved once an engine edition."""

from __future__ import annotations

from sqlalchemy.orm import Mapped, mapped_column

from trainer.records.base import Base, Json, PlainJson


class ProofRun(Base):
    """The result of proving one exercise, by the exercise's hash and the engine edition."""

    __tablename__ = "proof"

    hash: Mapped[str] = mapped_column(primary_key=True)
    engine_edition: Mapped[int] = mapped_column(primary_key=True)
    result: Mapped[Json] = mapped_column(PlainJson)
