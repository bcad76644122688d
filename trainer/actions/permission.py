"""Which roles an act asks for, and whose record an actor may see."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from trainer.actions.actor import Actor
from trainer.actions.plain import plain_text
from trainer.errors import InputError, RefusedError, register
from trainer.records.people import Membership
from trainer.rules.roles import Role
from trainer.rules.separation import NOT_THE_ROLE, OWN_RECORD, Refusal

NOT_YOURS = register(
    "PEO-001",
    "This record is not yours to see.",
    "Ask a supervisor of the person's team.",
    audience="trainee",
    status=403,
)
NO_REASON = register(
    "PEO-012",
    "{what} is missing.",
    "Write it in a sentence that will be understood in three years.",
    audience="operator",
)
NEEDS_PERSON = register(
    "PEO-013",
    "This act is signed by a person; the server's commands cannot do it.",
    "Sign in as somebody who holds the role, or use --as.",
    audience="operator",
    status=403,
)
_LOOK_ONLY = frozenset({Role.AUDITOR, Role.CLIENT_CONTACT})
SEES_ALL = frozenset({Role.TRAINER, Role.SCHEME_ADMINISTRATOR, Role.DECISION_MAKER, Role.AUDITOR})
"""Roles that read every person's record."""


def require(actor: Actor, *roles: Role) -> None:
    """Refuse an actor who holds none of these roles.

    Raises:
        RefusedError: SEP-002.
    """
    if not actor.has(*roles):
        raise RefusedError(NOT_THE_ROLE, role=" or ".join(role.value for role in roles))


def hold(refusal: Refusal | None) -> None:
    """Turn a rule's refusal into the error that ends the act."""
    if refusal is not None:
        raise RefusedError(refusal.code, **refusal.fields)


def refuse_own(actor: Actor, person_id: int) -> None:
    """Nobody acts on the own record.

    Raises:
        RefusedError: SEP-001.
    """
    if actor.person_id == person_id:
        raise RefusedError(OWN_RECORD)


def require_worker(actor: Actor) -> None:
    """Refuse people who only look: auditors and client contacts work no sheets.

    Raises:
        RefusedError: SEP-002.
    """
    require(actor, *(role for role in Role if role not in _LOOK_ONLY))


def refuse_other(actor: Actor, person_id: int) -> None:
    """Only the person himself does this.

    Raises:
        RefusedError: PEO-001.
    """
    if actor.person_id != person_id:
        raise RefusedError(NOT_YOURS)


def may_see(session: Session, actor: Actor, person_id: int) -> bool:
    """Whether the actor may read this person's record: the own, the own team's, or by office."""
    if actor.person_id == person_id or actor.has(*SEES_ALL):
        return True
    if not actor.has(Role.SUPERVISOR) or not actor.team_ids:
        return False
    shared = select(Membership.id).where(
        Membership.person_id == person_id,
        Membership.team_id.in_(actor.team_ids),
        Membership.until.is_(None),
    )
    return session.execute(shared.limit(1)).first() is not None


def require_sight(session: Session, actor: Actor, person_id: int) -> None:
    """Refuse an actor who may not read this person's record.

    Raises:
        RefusedError: PEO-001, the same whether or not there is such a person.
    """
    if not may_see(session, actor, person_id):
        raise RefusedError(NOT_YOURS)


def require_person(actor: Actor) -> int:
    """The actor's person id, for acts that only a person can do.

    Raises:
        RefusedError: PEO-013 for the operator.
    """
    if actor.recorded_id is None:
        raise RefusedError(NEEDS_PERSON)
    return actor.recorded_id


def required_text(what: str, text: str, most: int = 4000) -> str:
    """Free text that an act cannot do without.

    Raises:
        InputError: PEO-012.
    """
    found = plain_text(text, most).strip()
    if not found:
        raise InputError(NO_REASON, what=what)
    return found
