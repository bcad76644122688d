"""The people page: who is here, in which roles and teams."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from trainer.actions.house import Actor, House


@dataclass(frozen=True, slots=True)
class PersonRow:
    """One person of the people page."""

    id: int
    number: str
    sign_in_name: str
    full_name: str
    short_name: str
    roles: tuple[str, ...]
    teams: tuple[tuple[int, str], ...]
    created_at: datetime
    disabled_at: datetime | None
    has_password: bool
    last_seen_at: datetime | None


@dataclass(frozen=True, slots=True)
class TeamRow:
    """One team."""

    id: int
    name: str
    site: str
    people: int


@dataclass(frozen=True, slots=True)
class PeopleList:
    """The people page."""

    people: tuple[PersonRow, ...]
    teams: tuple[TeamRow, ...]
    roles: tuple[str, ...]


def people_list(house: House, actor: Actor) -> PeopleList:
    """Everybody, with roles and teams held now."""
    raise NotImplementedError


def person_card(house: House, actor: Actor, *, person_id: int) -> PersonRow:
    """One person."""
    raise NotImplementedError
