"""Who acts: a person as he stands at this request."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from trainer.rules.roles import Role


@dataclass(frozen=True, slots=True)
class Actor:
    """A person as he stands at this request, with the roles and teams held now."""

    person_id: int
    number: str  # 'P-0007'
    name: str
    short_name: str
    roles: frozenset[str]
    team_ids: frozenset[int]
    confirmed_at: datetime | None = None  # when the password was last given in this sign-in
    sign_in_id: int = 0

    def has(self, *roles: str) -> bool:
        """Whether at least one of these roles is held."""
        return not self.roles.isdisjoint(roles)

    @property
    def recorded_id(self) -> int | None:
        """The person in the records; None for the operator of the server's commands."""
        return self.person_id or None


def operator() -> Actor:
    """Who runs the server's commands: acts as scheme administrator, in the records nobody."""
    return Actor(0, "", "operator", "operator", frozenset({Role.SCHEME_ADMINISTRATOR}), frozenset())
