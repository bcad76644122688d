"""The open house: settings, database, secrets and the editions in force, handed to every act."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from trainer.library.catalogue import Module, Scheme
    from trainer.settings import Settings


@dataclass(frozen=True, slots=True)
class Actor:
    """Who acts: a person as he stands at this request, with the roles and teams held now."""

    person_id: int
    number: str  # 'P-0007'
    name: str
    short_name: str
    roles: frozenset[str]
    team_ids: frozenset[int]
    confirmed_at: datetime | None  # when the password was last given in this sign-in
    sign_in_id: int = 0

    def has(self, *roles: str) -> bool:
        """Whether at least one of these roles is held."""
        return not self.roles.isdisjoint(roles)


@dataclass(frozen=True)
class House:
    """Everything an act needs; one a process."""

    settings: Settings
    first_words: tuple[str, ...] = ()  # what opening has to tell the operator, a sentence a line

    @property
    def secret_key(self) -> bytes:
        """Signs form tokens; from the setting or from the instance folder."""
        raise NotImplementedError

    def close(self) -> None:
        """Give the database connections back."""
        raise NotImplementedError

    def in_force(self) -> Mapping[str, str]:
        """Subject (module id or 'scheme') -> hash of the edition in force, read now (one statement)."""
        raise NotImplementedError

    def module_in_force(self, module_id: str) -> Module:
        """The module's edition in force; NotFoundError when there is none."""
        raise NotImplementedError

    def module(self, edition_hash: str) -> Module:
        """Any stored edition of a module, from the cache or the database."""
        raise NotImplementedError

    def modules(self) -> tuple[Module, ...]:
        """The modules in force in programme order: what a module needs stands before it."""
        raise NotImplementedError

    def scheme(self) -> Scheme:
        """The scheme edition in force."""
        raise NotImplementedError


def operator() -> Actor:
    """The one who runs the server's commands: acts as scheme administrator, recorded as nobody's person."""
    raise NotImplementedError


def open_house(settings: Settings) -> House:
    """Open the instance: make folder, secrets and tables where missing, and first put the content in force."""
    raise NotImplementedError
