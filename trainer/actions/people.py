"""Who comes in: invitations, sign-ins, roles and teams over time."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from trainer.actions.house import Actor, House


@dataclass(frozen=True, slots=True)
class Invitation:
    """A one-time link, shown once: the token is stored only as its hash."""

    person_id: int
    number: str
    token: str
    expires_at: datetime


@dataclass(frozen=True, slots=True)
class InvitationSeen:
    """What the page behind a one-time link shows before anything is done; ``problem`` empty: it works."""

    sign_in_name: str
    full_name: str
    has_password: bool
    problem: str = ""


@dataclass(frozen=True, slots=True)
class SignedIn:
    """A fresh sign-in: the token goes into the cookie and is stored only as its hash."""

    token: str
    person_id: int


@dataclass(frozen=True, slots=True)
class NotSignedIn:
    """A refused sign-in: one sentence, the same for every cause, and how long to wait (0: try again now)."""

    sentence: str
    wait_seconds: int = 0


def invite(
    house: House,
    actor: Actor,
    *,
    full_name: str,
    short_name: str,
    sign_in_name: str,
    roles: Collection[str],
    team_id: int | None = None,
) -> Invitation:
    """Take a person in and make the one-time link with which the password is set."""
    raise NotImplementedError


def new_link(house: House, actor: Actor, *, person_id: int) -> Invitation:
    """A fresh one-time link for a person already taken in (lost link, forgotten password)."""
    raise NotImplementedError


def look_at_invitation(house: House, token: str) -> InvitationSeen:
    """What the page of a one-time link shows; changes nothing."""
    raise NotImplementedError


def accept_invitation(house: House, *, token: str, password: str) -> SignedIn:
    """Set the password with a one-time link and sign in; every older sign-in of the person ends."""
    raise NotImplementedError


def enter_by_link(house: House, *, token: str) -> SignedIn:
    """Sign in with a one-time link that was made for a person who already has a password."""
    raise NotImplementedError


def sign_in(
    house: House, *, sign_in_name: str, password: str, address: str
) -> SignedIn | NotSignedIn:
    """Check name and password and open a sign-in; ``address`` is the client's, for the throttle."""
    raise NotImplementedError


def actor_of(house: House, token: str) -> Actor | None:
    """Who holds this sign-in token now; None when it is unknown, ended, idle too long or disabled."""
    raise NotImplementedError


def sign_out(house: House, *, token: str) -> None:
    """End this sign-in."""
    raise NotImplementedError


def confirm_password(house: House, actor: Actor, *, token: str, password: str) -> bool:
    """Give the password again in a running sign-in; True moves ``confirmed_at`` to now."""
    raise NotImplementedError


def change_password(house: House, actor: Actor, *, token: str, old: str, new: str) -> None:
    """Set a new password; every other sign-in of the person ends."""
    raise NotImplementedError


def set_role(house: House, actor: Actor, *, person_id: int, role: str, held: bool) -> None:
    """Give a role or take it away, from now on."""
    raise NotImplementedError


def add_team(house: House, actor: Actor, *, name: str, site: str) -> int:
    """Make a team and return its id."""
    raise NotImplementedError


def set_team(house: House, actor: Actor, *, person_id: int, team_id: int, held: bool) -> None:
    """Let a person join or leave a team, from now on."""
    raise NotImplementedError


def disable(house: House, actor: Actor, *, person_id: int, reason: str) -> None:
    """Close a person's account: every sign-in ends, nothing recorded is lost."""
    raise NotImplementedError


def enable(house: House, actor: Actor, *, person_id: int, reason: str) -> None:
    """Open a closed account again."""
    raise NotImplementedError


def recognise(
    house: House, actor: Actor, *, person_id: int, competency: str, evidence: str, months: int = 0
) -> int:
    """Recognise a competency on earlier evidence (months 0: the competency's own); returns its id."""
    raise NotImplementedError
