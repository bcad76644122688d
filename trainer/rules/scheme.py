"""Certificates: who is eligible, how long one holds, how its number and check word are written."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from trainer.rules.competency import CompetencyState
from trainer.rules.recheck import last_day

WORD_SIGNS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
"""Signs of a check word: digits and capitals without 0, 1, I, L and O, which people mix up."""
WORD_LENGTH = 10
WORD_SPACE = len(WORD_SIGNS) ** WORD_LENGTH
NUMBER_SPACE = 10**8
PREFIX = "GM"

CertificateState = Literal["valid", "suspended", "withdrawn", "expired", "superseded"]
Deed = Literal["grant", "refuse", "suspend", "reinstate", "withdraw", "supersede"]


@dataclass(frozen=True, slots=True)
class Act:
    """One act of the scheme on a certificate."""

    deed: Deed
    at: datetime


@dataclass(frozen=True, slots=True)
class Verdict:
    """What is missing for a certificate on a day, or through which day it would hold."""

    missing: tuple[str, ...]
    ends_on: date | None

    @property
    def is_eligible(self) -> bool:
        """Nothing is missing."""
        return not self.missing


def verdict(
    scope: Sequence[str], states: Mapping[str, CompetencyState], granted_on: date, months: int
) -> Verdict:
    """Is every competency of the scope held on the day, and when would the certificate end?

    Args:
        scope: Competency ids of the certificate.
        states: The candidate's state for each on that day.
        granted_on: The day of the decision.
        months: The certificate's own validity.

    Returns:
        What is missing; else the end: the earlier of the own months and the first lapse.
    """
    missing = tuple(
        f"{competency} is {states[competency].state.value}. {states[competency].reason}"
        for competency in scope
        if not states[competency].is_held
    )
    if missing:
        return Verdict(missing, None)
    ends = (states[competency].until for competency in scope)
    return Verdict((), certificate_ends(granted_on, months, (end for end in ends if end)))


def certificate_ends(granted_on: date, months: int, lapses: Iterable[date]) -> date:
    """The last day of a certificate: the earlier of its own months and the first lapse.

    Example:
        >>> certificate_ends(date(2026, 3, 20), 24, [date(2027, 1, 31)])
        datetime.date(2027, 1, 31)
    """
    return min([last_day(granted_on, months), *lapses])


def certificate_state(acts: Sequence[Act], ends_on: date, today: date) -> CertificateState:
    """The state of a certificate on a day; later acts are left out, and withdrawn is for good."""
    deeds = [act.deed for act in sorted(acts, key=lambda act: act.at) if act.at.date() <= today]
    if "withdraw" in deeds:
        return "withdrawn"
    if "supersede" in deeds:
        return "superseded"
    if today > ends_on:
        return "expired"
    holding = [deed for deed in deeds if deed in {"suspend", "reinstate"}]
    return "suspended" if holding and holding[-1] == "suspend" else "valid"


def number_text(drawn: int) -> str:
    """A certificate number from a whole number below ``NUMBER_SPACE``.

    Example:
        >>> number_text(1182207)
        'GM-0118-2207'
    """
    return f"{PREFIX}-{drawn // 10_000:04d}-{drawn % 10_000:04d}"


def check_word(drawn: int) -> str:
    """A check word of ten signs from a whole number below ``WORD_SPACE``; every word is as likely.

    Example:
        >>> check_word(30)
        '222222222Z'
    """
    signs = []
    for _ in range(WORD_LENGTH):
        drawn, place = divmod(drawn, len(WORD_SIGNS))
        signs.append(WORD_SIGNS[place])
    return "".join(reversed(signs))


def word_as_typed(text: str) -> str:
    """What a person typed as a check word or number, without spaces and hyphens, in capitals.

    Example:
        >>> word_as_typed(" k7m2p-qrstu ")
        'K7M2PQRSTU'
    """
    return "".join(sign for sign in text.upper() if sign.isalnum())[:64]


def word_text(word: str) -> str:
    """A check word as it is printed, in two groups.

    Example:
        >>> word_text("K7M2PQRSTU")
        'K7M2P QRSTU'
    """
    return f"{word[:5]} {word[5:]}"
