"""Sign-ins, a row each on the server; the browser holds a token of which only the hash is kept."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from trainer.records.base import Base


class SignIn(Base):
    """One sign-in: when it began, was last used, last confirmed by password, and ended."""

    __tablename__ = "sign_in"

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    token_hash: Mapped[str] = mapped_column(unique=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), index=True)
    started_at: Mapped[datetime]
    seen_at: Mapped[datetime]
    confirmed_at: Mapped[datetime | None] = mapped_column(default=None)
    ended_at: Mapped[datetime | None] = mapped_column(default=None)
