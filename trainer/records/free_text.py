"""Free text and salts that stand beside an immutable row and can be erased without touching it."""

from __future__ import annotations

import secrets

from sqlalchemy.orm import Mapped, mapped_column

from trainer.records.base import Base


class FreeText(Base):
    """What a person wrote into a record that itself never changes.

    The record holds only this row's number. Erasing the text is deleting the row; numbers are never
    used again, so the record then points at nothing. The salt enters any digest over the text.
    """

    __tablename__ = "free_text"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012 - SQLAlchemy reads it as it stands

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    text: Mapped[str]
    salt: Mapped[bytes] = mapped_column(default_factory=lambda: secrets.token_bytes(32))
