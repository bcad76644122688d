"""Tables of the record log: the entries, the inner hashes of the tree, and what an entry says.

An entry and the tree never change. What the entry says, about whom, and its salt stand in
``record_detail`` and can be erased: the entry keeps a digest that tells nothing without the salt.
"""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from trainer.records.base import Base


class RecordEntry(Base):
    """One entry of the log; ``index`` counts from 0 without a gap."""

    __tablename__ = "record_log"

    index: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    at: Mapped[datetime]
    kind: Mapped[str]
    payload_digest: Mapped[bytes]
    """SHA-256 of salt and canonical payload."""
    leaf: Mapped[bytes]
    """Leaf hash of the canonical record of index, kind, time and payload digest."""


class RecordDetail(Base):
    """What an entry says: canonical payload and salt. Written once; erased, never changed."""

    __tablename__ = "record_detail"

    index: Mapped[int] = mapped_column(
        ForeignKey("record_log.index"), primary_key=True, autoincrement=False
    )
    person_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"), index=True)
    payload: Mapped[bytes]
    salt: Mapped[bytes]


class RecordNode(Base):
    """The hash over 2^level entries from ``position`` * 2^level on; complete ones only."""

    __tablename__ = "record_node"

    level: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    position: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    hash: Mapped[bytes]
