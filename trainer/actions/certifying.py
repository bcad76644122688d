"""Certificates: application, evidence, decision, later acts, and the public check."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from trainer.actions.house import Actor, House


@dataclass(frozen=True, slots=True)
class CandidacyRow:
    """One line of the decision desk."""

    id: int
    person_id: int
    number: str
    name: str
    certificate: str
    title: str
    state: str  # applied, admitted, under assessment, decided
    applied_at: datetime
    held: int
    needed: int
    refusal: str  # '' or why this actor may not decide on this person


@dataclass(frozen=True, slots=True)
class EvidenceRow:
    """The evidence for one competency of the scope."""

    competency: str
    title: str
    state: str
    letter: str
    sentence: str
    until: date | None
    signatures: tuple[
        str, ...
    ]  # 'competent, signed 2026-03-13 by N. Thistlewaite-Lund, sheet C04-0012'


@dataclass(frozen=True, slots=True)
class Evidence:
    """All behind one decision, and the rule's verdict."""

    candidacy: CandidacyRow
    scope: tuple[EvidenceRow, ...]
    grinder_types: tuple[str, ...]
    eligible: bool
    missing: tuple[str, ...]
    would_end: date | None
    scheme_number: int
    decision: str  # '' while open, 'granted' or 'refused'
    decision_reason: str
    certificate_number: str


@dataclass(frozen=True, slots=True)
class CertificateView:
    """A certificate as its page prints it (for its holder, staff and the link of its QR code)."""

    id: int
    number: str
    check_word: str
    link_token: str
    person_id: int
    holder: str
    holder_number: str
    kind: str
    title: str
    scope: tuple[tuple[str, str], ...]  # competency id, title
    grinder_types: tuple[str, ...]
    scheme_number: int
    scheme_hash: str
    granted_on: date
    ends_on: date
    decided_by: str
    state: str  # valid, suspended, withdrawn, expired, superseded
    log_index: int
    log_root: str  # of the record log at its size now, hexadecimal
    log_size: int


@dataclass(frozen=True, slots=True)
class CertificateCheck:
    """The answer of the public check: the same shape whatever is asked."""

    number: str
    state: str  # valid, suspended, withdrawn, expired, superseded, not known
    sentence: str
    holder: str
    title: str
    scope: tuple[tuple[str, str], ...]
    grinder_types: tuple[str, ...]
    granted_on: date | None
    ends_on: date | None
    scheme_number: int


def apply(house: House, actor: Actor, *, certificate: str) -> int:
    """A person asks for a certificate; returns the candidacy, the open one if there is one."""
    raise NotImplementedError


def admit(house: House, actor: Actor, *, candidacy: int) -> None:
    """The scheme administrator admits a candidate whose scope is complete."""
    raise NotImplementedError


def desk(house: House, actor: Actor) -> tuple[CandidacyRow, ...]:
    """The decision desk: every open candidacy, oldest first, with why this actor may not decide."""
    raise NotImplementedError


def evidence(house: House, actor: Actor, *, candidacy: int) -> Evidence:
    """What a decision rests on; refused to trainers and observers of that person."""
    raise NotImplementedError


def grant(house: House, actor: Actor, *, candidacy: int, reason: str, password: str) -> int:
    """Grant the certificate and return its id; refused unless the scheme's rule holds today."""
    raise NotImplementedError


def refuse(house: House, actor: Actor, *, candidacy: int, reason: str, password: str) -> None:
    """Refuse the certificate with a reason the person will read."""
    raise NotImplementedError


def ask_for_more(house: House, actor: Actor, *, candidacy: int, reason: str) -> None:
    """Leave the candidacy open and say what evidence is wanted."""
    raise NotImplementedError


def suspend(house: House, actor: Actor, *, certificate_id: int, reason: str, password: str) -> None:
    """Suspend a valid certificate."""
    raise NotImplementedError


def reinstate(
    house: House, actor: Actor, *, certificate_id: int, reason: str, password: str
) -> None:
    """Make a suspended certificate valid again."""
    raise NotImplementedError


def withdraw(
    house: House, actor: Actor, *, certificate_id: int, reason: str, password: str
) -> None:
    """Withdraw a certificate for good."""
    raise NotImplementedError


def certificate(house: House, actor: Actor, *, certificate_id: int) -> CertificateView:
    """A certificate's page for its holder and for staff."""
    raise NotImplementedError


def certificates_of(house: House, actor: Actor, *, person_id: int) -> tuple[CertificateView, ...]:
    """The certificates of a person, newest first."""
    raise NotImplementedError


def check_certificate(house: House, *, number: str, word: str) -> CertificateCheck:
    """The public check by number and check word."""
    raise NotImplementedError


def check_by_link(house: House, *, token: str) -> CertificateCheck:
    """The public check by the link of the QR code."""
    raise NotImplementedError
