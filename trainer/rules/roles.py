"""The roles a person may hold; one person may hold several at a time."""

from __future__ import annotations

from enum import StrEnum


class Role(StrEnum):
    """A role as it is stored and as it is printed."""

    TRAINEE = "trainee"
    TECHNICIAN = "technician"
    SUPERVISOR = "supervisor"
    TRAINER = "trainer"
    SECOND_READER = "second reader"
    SCHEME_ADMINISTRATOR = "scheme administrator"
    DECISION_MAKER = "decision maker"
    AUDITOR = "auditor"
    CLIENT_CONTACT = "client contact"


ALL: tuple[str, ...] = tuple(role.value for role in Role)
LEARNERS: frozenset[str] = frozenset({Role.TRAINEE, Role.TECHNICIAN})
