"""Certificates: grant, refuse, suspend, reinstate, withdraw; each act is signed and recorded."""

from __future__ import annotations

import secrets
from datetime import UTC, date, datetime, time

from sqlalchemy import select
from sqlalchemy.orm import Session

from trainer import clock
from trainer.actions import keys
from trainer.actions.candidacies import (
    SCOPE_OPEN,
    CandidacyRow,
    admit,
    apply,
    ask_for_more,
    desk,
    hold_decision,
    kind_of,
    log_step,
    undecided,
    verdict_on,
)
from trainer.actions.certificate_view import (
    NO_CERTIFICATE,
    CertificateCheck,
    CertificateView,
    certificate,
    certificates_of,
    check_by_link,
    check_certificate,
    states_of,
)
from trainer.actions.evidence_view import Evidence, EvidenceRow, evidence
from trainer.actions.house import Actor, House
from trainer.actions.permission import required_text
from trainer.actions.recording import log
from trainer.actions.sign_ins import require_password
from trainer.actions.standing import read_board
from trainer.errors import NotFoundError, StateError, register
from trainer.records.certificates import Candidacy, CertificateAct, CertificateGranted
from trainer.records.free_text import FreeText
from trainer.rules.scheme import NUMBER_SPACE, WORD_SPACE, Deed, check_word, number_text

__all__ = [
    "CandidacyRow",
    "CertificateCheck",
    "CertificateView",
    "Evidence",
    "EvidenceRow",
    "admit",
    "apply",
    "ask_for_more",
    "certificate",
    "certificates_of",
    "check_by_link",
    "check_certificate",
    "desk",
    "evidence",
    "grant",
    "refuse",
    "reinstate",
    "suspend",
    "withdraw",
]

NOT_NOW = register(
    "CRT-006",
    "Certificate {number} is {state}; it cannot be changed so.",
    "Valid: suspend or withdraw. Suspended: reinstate or withdraw. Anything else stands.",
    audience="trainee",
    status=409,
)
MOVED_ON = register(
    "CRT-007",
    "Another edition of the scheme came in force this moment.",
    "Look at the evidence again.",
    audience="trainee",
    status=409,
)
_FROM: dict[Deed, frozenset[str]] = {
    "suspend": frozenset({"valid"}),
    "reinstate": frozenset({"suspended"}),
    "withdraw": frozenset({"valid", "suspended"}),
}


def grant(house: House, actor: Actor, *, candidacy: int, reason: str, password: str) -> int:
    """Grant the certificate; refused unless the scheme's rule holds today.

    Returns:
        The certificate's id. An older valid one of the same kind is superseded.

    Raises:
        InputError: PEO-012 without a reason.
        NotFoundError: CRT-002, CRT-003.
        RefusedError: SEP-001, SEP-002, SEP-009, SEP-010, PEO-004, PEO-005.
        StateError: CRT-004, CRT-005, CRT-007.
    """
    text = required_text("The reason", reason)
    with house.database.reading() as session:
        row = undecided(session, candidacy)
        hold_decision(session, actor, row.person_id)
        scheme = house.in_force(session)["scheme"]
    require_password(house, actor, password)
    now, link, word = clock.now(), keys.short_token(), check_word(secrets.randbelow(WORD_SPACE))

    def act(session: Session) -> int:
        found = undecided(session, candidacy)
        board = read_board(house, session, {found.person_id})
        if board.scheme.hash != scheme:
            raise StateError(MOVED_ON)
        judged = verdict_on(house, board, found)
        if not judged.is_eligible or judged.ends_on is None:
            raise StateError(SCOPE_OPEN, missing=" ".join(judged.missing))
        kind, number = kind_of(house, found.certificate, board.rows.in_force), _number(session)
        titles = [[one, board.scheme.competencies[one].title] for one in kind.competencies]
        scope = {
            "title": kind.title,
            "competencies": titles,
            "grinder types": list(kind.grinder_types),
        }
        facts = {
            "act": "grant",
            "certificate": number,
            "kind": kind.id,
            "scheme": scheme,
            "scope": scope,
            "ends": judged.ends_on.isoformat(),
        }
        index = log(session, actor, "certificate act", found.person_id, facts)
        certificate_row = CertificateGranted(
            number=number,
            check_word=word,
            link_token=link,
            person_id=found.person_id,
            candidacy_id=candidacy,
            certificate=kind.id,
            scheme_hash=scheme,
            scope=scope,
            granted_at=now,
            ends_at=_end_of(judged.ends_on),
            decided_by_id=actor.person_id,
            log_index=index,
        )
        session.add(certificate_row)
        session.flush()
        session.add(
            _act(
                actor,
                "grant",
                (now, index, text),
                certificate_id=certificate_row.id,
                candidacy_id=candidacy,
            )
        )
        _supersede_older(session, actor, certificate_row, now)
        _decide(session, actor, found, "granted", now)
        return certificate_row.id

    return house.database.write(act)


def refuse(house: House, actor: Actor, *, candidacy: int, reason: str, password: str) -> None:
    """Refuse the certificate with a reason the person will read.

    Raises:
        InputError: PEO-012.
        NotFoundError: CRT-003.
        RefusedError: SEP-001, SEP-002, SEP-009, SEP-010, PEO-004, PEO-005.
        StateError: CRT-004.
    """
    text, now = required_text("The reason", reason), clock.now()
    with house.database.reading() as session:
        hold_decision(session, actor, undecided(session, candidacy).person_id)
    require_password(house, actor, password)

    def act(session: Session) -> None:
        row = undecided(session, candidacy)
        facts = {"act": "refuse", "candidacy": candidacy, "kind": row.certificate}
        index = log(session, actor, "certificate act", row.person_id, facts)
        session.add(_act(actor, "refuse", (now, index, text), candidacy_id=candidacy))
        _decide(session, actor, row, "refused", now)

    house.database.write(act)


def suspend(house: House, actor: Actor, *, certificate_id: int, reason: str, password: str) -> None:
    """Suspend a valid certificate.

    Raises:
        InputError: PEO-012.
        NotFoundError: CRT-001.
        RefusedError: SEP-001, SEP-002, SEP-009, SEP-010, PEO-004, PEO-005.
        StateError: CRT-006.
    """
    _later_act(house, actor, "suspend", certificate_id, reason=reason, password=password)


def reinstate(
    house: House, actor: Actor, *, certificate_id: int, reason: str, password: str
) -> None:
    """Make a suspended certificate valid again; raises as ``suspend`` does."""
    _later_act(house, actor, "reinstate", certificate_id, reason=reason, password=password)


def withdraw(
    house: House, actor: Actor, *, certificate_id: int, reason: str, password: str
) -> None:
    """Withdraw a certificate for good; raises as ``suspend`` does."""
    _later_act(house, actor, "withdraw", certificate_id, reason=reason, password=password)


def _later_act(
    house: House, actor: Actor, deed: Deed, certificate_id: int, *, reason: str, password: str
) -> None:
    text, now = required_text("The reason", reason), clock.now()
    with house.database.reading() as session:
        row = session.get(CertificateGranted, certificate_id)
        if row is None:
            raise NotFoundError(NO_CERTIFICATE, certificate=certificate_id)
        hold_decision(session, actor, row.person_id)
    require_password(house, actor, password)

    def act(session: Session) -> None:
        state = states_of(session, [row], clock.today())[certificate_id]
        if state not in _FROM[deed]:
            raise StateError(NOT_NOW, number=row.number, state=state)
        facts = {"act": deed, "certificate": row.number}
        index = log(session, actor, "certificate act", row.person_id, facts)
        session.add(_act(actor, deed, (now, index, text), certificate_id=certificate_id))

    house.database.write(act)


def _supersede_older(
    session: Session, actor: Actor, newer: CertificateGranted, now: datetime
) -> None:
    older = session.scalars(
        select(CertificateGranted).where(
            CertificateGranted.person_id == newer.person_id,
            CertificateGranted.certificate == newer.certificate,
            CertificateGranted.id != newer.id,
        )
    ).all()
    states = states_of(session, older, clock.today())
    for row in older:
        if states[row.id] in {"valid", "suspended"}:
            facts = {"act": "supersede", "certificate": row.number, "by": newer.number}
            index = log(session, actor, "certificate act", row.person_id, facts)
            text = f"Certificate {newer.number} takes its place."
            session.add(_act(actor, "supersede", (now, index, text), certificate_id=row.id))


def _decide(session: Session, actor: Actor, row: Candidacy, decision: str, now: datetime) -> None:
    row.state, row.decision = "decided", decision
    row.decided_at, row.decided_by_id = now, actor.person_id
    log_step(session, actor, row, decision)


def _act(
    actor: Actor,
    deed: Deed,
    entry: tuple[datetime, int, str],
    *,
    certificate_id: int | None = None,
    candidacy_id: int | None = None,
) -> CertificateAct:
    """An act with its moment, its index in the record log and its reason."""
    now, index, text = entry
    return CertificateAct(
        certificate_id=certificate_id,
        candidacy_id=candidacy_id,
        act=deed,
        at=now,
        by_person_id=actor.person_id,
        log_index=index,
        reason=FreeText(text=text),
    )


def _number(session: Session) -> str:
    """A certificate number that nobody can guess from another one."""
    while True:
        number = number_text(secrets.randbelow(NUMBER_SPACE))
        taken = select(CertificateGranted.id).where(CertificateGranted.number == number)
        if session.scalar(taken) is None:
            return number


def _end_of(day: date) -> datetime:
    """The last moment of a day, to the second."""
    return datetime.combine(day, time(23, 59, 59), UTC)
