"""The sign-off: the statement that was shown is the statement that is signed."""

from __future__ import annotations

import hmac
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from trainer import clock
from trainer.actions.house import Actor, House
from trainer.actions.observation_facts import (
    SheetFacts,
    job_of,
    jobs_counted,
    read_sheet,
    which_observation,
)
from trainer.actions.observing import require_open
from trainer.actions.permission import hold
from trainer.actions.recording import log
from trainer.actions.sign_ins import needs_password, require_password
from trainer.actions.standing import read_board
from trainer.canonical import canonical_bytes, sha256_hex
from trainer.errors import StateError, register
from trainer.records import states
from trainer.records.free_text import FreeText
from trainer.records.observations import ObservationMark, ObservationSheet
from trainer.records.signoffs import Signature
from trainer.rules.competency import Event, is_sign_off
from trainer.rules.recheck import sheet_open_until
from trainer.rules.separation import another_job, may_be_observed, may_sign

STILL_TO_SEE = register(
    "SGN-001",
    "Sheet {number} cannot be signed: not seen yet: {criteria}.",
    "Watch the rest, or leave the sheet open; it stays open to {until}.",
    audience="trainee",
    status=409,
)
CHANGED = register(
    "SGN-002",
    "Sheet {number} has changed since you opened it.",
    "Read the statement again and sign what it says now.",
    audience="trainee",
    status=409,
)
OTHER_OUTCOME = register(
    "SGN-003",
    "The marks of sheet {number} say {outcome}.",
    "Mark the criterion that decides it; the outcome follows from the marks.",
    audience="trainee",
    status=409,
)
SIGNED_BEFORE = register(
    "SGN-004",
    "Sheet {number} was signed by {signer} on {moment}: {outcome}.",
    "A signature stands. Open a new sheet for another observation.",
    audience="trainee",
    status=409,
)


@dataclass(frozen=True, slots=True)
class Statement:
    """What would be signed: lines for the page, and the digest the form carries back."""

    sheet_id: int
    lines: tuple[str, ...]
    criteria: tuple[tuple[str, str, str, str], ...]  # id, words, value, note
    outcome: str  # 'competent' or 'not yet competent'
    digest: str
    needs_password: bool  # the password was given longer ago than the setting allows


@dataclass(frozen=True, slots=True)
class Signed:
    """A signature that now stands in the records."""

    signature_id: int
    number: str
    outcome: str
    signed_at: datetime
    state: str  # the person's competency state after it
    sentence: str


def statement(house: House, actor: Actor, *, sheet_id: int) -> Statement:
    """The statement of a sheet as it would be signed now.

    Raises:
        NotFoundError: OBS-001.
        RefusedError: SEP-001 to SEP-008.
        StateError: OBS-004, SGN-001 while criteria are not seen, SGN-004 when it was signed.
    """
    with house.database.reading() as session:
        facts = _signable(house, session, actor, sheet_id)
    said = _said(house, facts)
    return Statement(
        sheet_id,
        _lines(said),
        tuple((one["id"], one["text"], one["value"], one["note"]) for one in said["criteria"]),
        said["outcome"],
        sha256_hex(canonical_bytes(said)),
        needs_password(house, actor),
    )


def sign(
    house: House, actor: Actor, *, sheet_id: int, digest: str, password: str, outcome: str
) -> Signed:
    """Sign the statement with this digest: the last needed signature is the sign-off.

    Args:
        house: The open house.
        actor: The observer.
        sheet_id: The sheet.
        digest: Of the statement that was shown.
        password: Given again; may be empty when it was given within the time of the setting.
        outcome: As the person understood it; must be the one the marks give.

    Raises:
        NotFoundError: OBS-001.
        RefusedError: SEP-001 to SEP-008, PEO-004, PEO-005 for the password.
        StateError: OBS-004, SGN-001 to SGN-004.
    """
    with house.database.reading() as session:
        facts = _signable(house, session, actor, sheet_id)
    said = _said(house, facts)
    content = canonical_bytes(said)
    shown = sha256_hex(content)
    if not hmac.compare_digest(shown.encode(), digest.encode("utf-8", "replace")):
        raise StateError(CHANGED, number=facts.number)
    if outcome != facts.verdict.outcome:
        raise StateError(OTHER_OUTCOME, number=facts.number, outcome=facts.verdict.outcome)
    require_password(house, actor, password)
    now = clock.now()

    def act(session: Session) -> tuple[int, str, str]:
        row = session.get_one(ObservationSheet, sheet_id)
        _refuse_signed(session, facts)
        require_open(row)
        newest = select(func.max(ObservationMark.id)).where(ObservationMark.sheet_id == sheet_id)
        if (session.scalar(newest) or 0) != facts.last_mark:
            raise StateError(CHANGED, number=facts.number)
        is_last = outcome == "competent" and _is_last(house, session, facts, now)
        row.state, row.ended_at = "signed", now
        log_index = log(
            session,
            actor,
            "signature",
            row.person_id,
            {
                "sheet": sheet_id,
                "competency": row.competency,
                "scheme": row.scheme_hash,
                "outcome": outcome,
                "sign-off": is_last,
                "statement": shown,
            },
        )
        signature = Signature(
            sheet_id=sheet_id,
            person_id=row.person_id,
            signer_id=actor.person_id,
            competency=row.competency,
            number=1,
            outcome=outcome,
            is_sign_off=is_last,
            digest=shown,
            signed_at=now,
            log_index=log_index,
            statement=FreeText(text=content.decode()),
        )
        session.add(signature)
        session.flush()
        states.fold_competency(session, row.person_id, row.competency)
        after = read_board(house, session, {row.person_id}).of(row.person_id).state(row.competency)
        return signature.id, after.state.value, after.reason

    signature_id, state, sentence = house.database.write(act)
    return Signed(signature_id, f"{facts.number}/1", outcome, now, state, sentence)


def _signable(house: House, session: Session, actor: Actor, sheet_id: int) -> SheetFacts:
    """The sheet, after every rule that stands between it and a signature."""
    facts = read_sheet(house, session, sheet_id, actor.person_id)
    row, now = facts.row, clock.now()
    hold(
        may_sign(
            facts.people[actor.person_id],
            facts.person,
            [row.begun_at, now],
            observer=(row.observer_id, facts.observer.name),
            competency=row.competency,
            own_state=facts.own_state(actor.person_id),
        )
    )
    _refuse_signed(session, facts)
    require_open(row)
    if row.competency in facts.board.scheme.competencies:
        state = facts.standing.state(row.competency)
        hold(may_be_observed(state, competency=row.competency))
        if facts.verdict.outcome == "competent":
            job = job_of(row.site, row.machine, row.begun_at)
            jobs = jobs_counted(session, facts.standing, row.competency)
            hold(another_job(actor.person_id, job, jobs, competency=row.competency))
    if not facts.verdict.outcome:
        criteria = ", ".join(facts.verdict.still_to_see)
        until = sheet_open_until(row.begun_at.date())
        raise StateError(STILL_TO_SEE, number=facts.number, criteria=criteria, until=until)
    return facts


def _refuse_signed(session: Session, facts: SheetFacts) -> None:
    signature = session.scalars(
        select(Signature).where(Signature.sheet_id == facts.row.id).limit(1)
    ).first()
    if signature is not None:
        raise StateError(
            SIGNED_BEFORE,
            number=facts.number,
            signer=facts.observer.name,
            moment=f"{signature.signed_at:%Y-%m-%d %H:%M}",
            outcome=signature.outcome,
        )


def _is_last(house: House, session: Session, facts: SheetFacts, now: datetime) -> bool:
    """Whether this signature is the sign-off, on what is recorded at this very moment."""
    row = facts.row
    board = read_board(house, session, {row.person_id})
    if row.competency not in board.scheme.competencies:
        return facts.competency.observers < 2
    observed = board.of(row.person_id).observed(row.competency)
    return is_sign_off(observed, Event("competent", now, row.observer_id, str(row.id)))


def _said(house: House, facts: SheetFacts) -> dict[str, Any]:
    """The statement as a plain value: every criterion in words, with the edition seen."""
    row, competency = facts.row, facts.competency
    pointers = facts.board.rows.in_force
    return {
        "statement": "observation sheet",
        "sheet": facts.number,
        "salt": facts.salt,
        "person": [facts.person.person, facts.person.name],
        "observer": [facts.observer.person, facts.observer.name],
        "competency": competency.id,
        "title": competency.title,
        "safety critical": competency.safety_critical,
        "scheme": [house.number(row.scheme_hash), row.scheme_hash],
        "modules": [
            [module, house.number(pointers[module]), pointers[module]]
            for module in competency.modules
            if module in pointers
        ],
        "which": which_observation(facts.standing, competency, is_open=True),
        "machine": row.machine,
        "site": row.site,
        "begun": row.begun_at.isoformat(),
        "criteria": [
            {
                "id": one.id,
                "text": one.text,
                "critical": one.critical,
                "value": facts.marks[one.id].value if one.id in facts.marks else "not seen",
                "note": facts.marks[one.id].note if one.id in facts.marks else "",
                "at": facts.marks[one.id].at.isoformat() if one.id in facts.marks else None,
            }
            for one in competency.criteria
        ],
        "outcome": facts.verdict.outcome,
    }


def _lines(said: dict[str, Any]) -> tuple[str, ...]:
    _, person = said["person"]
    _, observer = said["observer"]
    number, scheme = said["scheme"]
    begun = said["begun"][:16].replace("T", " ")
    theory = ", ".join(f"{module} edition {edition}" for module, edition, _ in said["modules"])
    return (
        f"I, {observer}, watched {person} at work and say what I saw.",
        f"Competency: {said['competency']} {said['title']}.",
        f"Criteria as in scheme edition {number} ({scheme[:12]}).",
        f"Theory: {theory or 'none asked for'}.",
        f"Job: {said['machine']}, {said['site']}, begun {begun} UTC.",
        f"Sheet {said['sheet']}, {said['which']}.",
        f"Outcome: {said['outcome']}.",
    )
