"""The throttle of wrong passwords, kept in the database so that it holds across workers."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.orm import Mapped, mapped_column

from trainer.records.base import Base


class Throttle(Base):
    """How often a key (sign-in name, address) was wrong in a row, and until when it must wait."""

    __tablename__ = "throttle"

    key: Mapped[str] = mapped_column(primary_key=True)
    failures: Mapped[int]
    until: Mapped[datetime | None] = mapped_column(default=None)
