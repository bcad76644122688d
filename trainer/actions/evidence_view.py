"""All behind one decision: the scope, its signatures, and what the scheme's rule says of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from trainer.actions.candidacies import (
    DESK_ROLES,
    CandidacyRow,
    any_candidacy,
    candidacy_row,
    hold_decision,
    kind_of,
    names_of,
    verdict_on,
)
from trainer.actions.decision_reasons import reasons_given
from trainer.actions.house import Actor, House
from trainer.actions.observation_facts import sheet_number
from trainer.actions.permission import refuse_own, require
from trainer.actions.standing import Standing, read_board
from trainer.records.certificates import Candidacy, CertificateGranted
from trainer.records.observations import ObservationSheet
from trainer.records.people import PersonName
from trainer.records.signoffs import Recognition, Signature
from trainer.rules.roles import Role


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


def evidence(house: House, actor: Actor, *, candidacy: int) -> Evidence:
    """What a decision rests on; refused to trainers and observers of that person.

    Raises:
        NotFoundError: CRT-002, CRT-003.
        RefusedError: SEP-001, SEP-002, SEP-009, SEP-010.
    """
    require(actor, *DESK_ROLES)
    with house.database.reading() as session:
        row = any_candidacy(session, candidacy)
        if actor.has(Role.DECISION_MAKER):
            hold_decision(session, actor, row.person_id)
        refuse_own(actor, row.person_id)
        board = read_board(house, session, {row.person_id})
        kind = kind_of(house, row.certificate, board.rows.in_force)
        standing, names = board.of(row.person_id), names_of(session, [row])
        signatures = _signatures(session, row.person_id)
        act = _decision_of(session, row)
        head = candidacy_row((house, session, actor), row, board, names)
    found = verdict_on(house, board, row)
    return Evidence(
        head,
        tuple(_evidence_row(standing, one, signatures) for one in kind.competencies),
        kind.grinder_types,
        found.is_eligible,
        found.missing,
        found.ends_on,
        house.number(board.rows.in_force["scheme"]),
        "" if row.state != "decided" else row.decision,
        *act,
    )


def _evidence_row(
    standing: Standing, competency: str, signatures: Mapping[str, list[str]]
) -> EvidenceRow:
    state = standing.state(competency)
    return EvidenceRow(
        competency,
        standing.board.scheme.competencies[competency].title,
        state.state.value,
        state.letter,
        state.reason,
        state.until,
        tuple(signatures[competency]),
    )


def _signatures(session: Session, person_id: int) -> Mapping[str, list[str]]:
    """Competency -> its signatures, safety stops and recognitions in sentences, oldest first."""
    found: list[tuple[datetime, str, str]] = []
    signed = session.execute(
        select(Signature, ObservationSheet, PersonName.short_name)
        .join(ObservationSheet, ObservationSheet.id == Signature.sheet_id)
        .outerjoin(PersonName, PersonName.person_id == Signature.signer_id)
        .where(Signature.person_id == person_id)
    )
    for signature, sheet, name in signed:
        words = (
            f"{signature.outcome}, signed {signature.signed_at.date()} by {name or 'a supervisor'},"
            f" sheet {sheet_number(sheet)}, {sheet.machine} at {sheet.site}"
        )
        found.append((signature.signed_at, signature.competency, words))
    recognised = session.execute(
        select(Recognition, PersonName.short_name)
        .outerjoin(PersonName, PersonName.person_id == Recognition.by_person_id)
        .where(Recognition.person_id == person_id)
    )
    for recognition, name in recognised:
        words = (
            f"recognised on earlier evidence {recognition.at.date()}"
            f" by {name or 'the scheme administrator'}, for {recognition.months} months"
        )
        found.append((recognition.at, recognition.competency, words))
    stopped = select(ObservationSheet).where(
        ObservationSheet.person_id == person_id, ObservationSheet.state == "stopped for safety"
    )
    for sheet in session.scalars(stopped):
        ended = sheet.ended_at or sheet.begun_at
        words = f"stopped for safety {ended.date()}, sheet {sheet_number(sheet)}"
        found.append((ended, sheet.competency, words))
    by_competency: defaultdict[str, list[str]] = defaultdict(list)
    for _, competency, words in sorted(found):
        by_competency[competency].append(words)
    return by_competency


def _decision_of(session: Session, row: Candidacy) -> tuple[str, str]:
    """The reason given last on a candidacy, and the number of the certificate it gave."""
    granted = session.scalars(
        select(CertificateGranted).where(CertificateGranted.candidacy_id == row.id)
    ).first()
    reason = reasons_given(session, [row.id]).get(row.id, "")
    return (reason, granted.number if granted is not None else "")
