"""People, what they are called, what they may do, and where they belong.

A person is a number for ever; the name and the password stand in rows of their own that can be
erased. Roles and memberships are spans of time: it stays known who held which role when.
"""

from __future__ import annotations

from datetime import datetime
from typing import Literal, get_args

from sqlalchemy import ForeignKey, Index, text
from sqlalchemy.orm import Mapped, mapped_column

from trainer.records.base import Base, one_of

Role = Literal[
    "trainee",
    "technician",
    "supervisor",
    "trainer",
    "second reader",
    "scheme administrator",
    "decision maker",
    "auditor",
    "client contact",
]
ROLES: tuple[Role, ...] = get_args(Role)


class Person(Base):
    """One person: the number 'P-0007' that immutable records name, and the name used to sign in."""

    __tablename__ = "person"

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    number: Mapped[str] = mapped_column(unique=True)
    sign_in_name: Mapped[str] = mapped_column(unique=True)
    created_at: Mapped[datetime]
    disabled_at: Mapped[datetime | None] = mapped_column(default=None)


class PersonName(Base):
    """What a person is called; erased without touching any record."""

    __tablename__ = "person_name"

    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), primary_key=True)
    full_name: Mapped[str]
    short_name: Mapped[str]


class Credential(Base):
    """The password hash of a person; no row until the invitation is accepted."""

    __tablename__ = "credential"

    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), primary_key=True)
    password_hash: Mapped[str]
    changed_at: Mapped[datetime]
    must_change: Mapped[bool] = mapped_column(default=False)


class RoleHeld(Base):
    """A role a person holds from ``since`` to ``until`` (open: none)."""

    __tablename__ = "role"
    __table_args__ = (
        one_of("role", ROLES),
        Index(
            "uq_role_held",
            "person_id",
            "role",
            unique=True,
            sqlite_where=text("until is null"),
            postgresql_where=text("until is null"),
        ),
    )

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    role: Mapped[str]
    since: Mapped[datetime]
    until: Mapped[datetime | None] = mapped_column(default=None)


class Team(Base):
    """A team of one site; supervisors sign for their own team."""

    __tablename__ = "team"

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    name: Mapped[str] = mapped_column(unique=True)
    site: Mapped[str] = mapped_column(default="")


class Membership(Base):
    """A person in a team from ``since`` to ``until`` (open: none)."""

    __tablename__ = "membership"
    __table_args__ = (
        Index(
            "uq_membership_held",
            "person_id",
            "team_id",
            unique=True,
            sqlite_where=text("until is null"),
            postgresql_where=text("until is null"),
        ),
        Index("ix_membership_team_id", "team_id", "until"),
    )

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    team_id: Mapped[int] = mapped_column(ForeignKey("team.id"))
    since: Mapped[datetime]
    until: Mapped[datetime | None] = mapped_column(default=None)


class Invitation(Base):
    """A one-time link to set the first password, or a new one; only its hash is kept."""

    __tablename__ = "invitation"

    id: Mapped[int] = mapped_column(primary_key=True, init=False)
    token_hash: Mapped[str] = mapped_column(unique=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), index=True)
    expires_at: Mapped[datetime]
    used_at: Mapped[datetime | None] = mapped_column(default=None)
    made_by_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"), default=None)
