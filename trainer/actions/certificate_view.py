"""A certificate as its page prints it, and the public check with one shape for every answer."""

from __future__ import annotations

import hmac
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from trainer import clock
from trainer.actions.house import Actor, House
from trainer.actions.permission import require_sight
from trainer.actions.plain import plain_text
from trainer.errors import NotFoundError, register
from trainer.records import record_log
from trainer.records.certificates import CertificateAct, CertificateGranted
from trainer.records.people import Person, PersonName
from trainer.rules.scheme import Act, certificate_state, word_as_typed, word_text

NO_CERTIFICATE = register(
    "CRT-001",
    "There is no certificate {certificate}.",
    "The holder's page lists the certificates.",
    audience="trainee",
    status=404,
)
_SENTENCES = {
    "valid": "This certificate is valid to {ends}.",
    "suspended": "This certificate is suspended: at present it is worth nothing.",
    "withdrawn": "This certificate was withdrawn: it is worth nothing.",
    "expired": "This certificate ended on {ends}.",
    "superseded": "A newer certificate has taken the place of this one.",
    "not known": "No certificate has this number and check word.",
}


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


def certificate(house: House, actor: Actor, *, certificate_id: int) -> CertificateView:
    """A certificate's page for its holder and for staff.

    Raises:
        NotFoundError: CRT-001.
        RefusedError: PEO-001.
    """
    with house.database.reading() as session:
        row = session.get(CertificateGranted, certificate_id)
        if row is None:
            raise NotFoundError(NO_CERTIFICATE, certificate=certificate_id)
        require_sight(session, actor, row.person_id)
        return _views(house, session, [row])[0]


def certificates_of(house: House, actor: Actor, *, person_id: int) -> tuple[CertificateView, ...]:
    """The certificates of a person, newest first.

    Raises:
        RefusedError: PEO-001.
    """
    with house.database.reading() as session:
        require_sight(session, actor, person_id)
        rows = session.scalars(
            select(CertificateGranted)
            .where(CertificateGranted.person_id == person_id)
            .order_by(CertificateGranted.id.desc())
        ).all()
        return _views(house, session, rows)


def check_certificate(house: House, *, number: str, word: str) -> CertificateCheck:
    """The public check by number and check word; an unknown number does the same work."""
    typed = word_as_typed(number)
    prefix, first, second = typed[:2], typed[2:6], typed[6:]
    asked = f"{prefix}-{first}-{second}"
    with house.database.reading() as session:
        row = session.scalars(
            select(CertificateGranted).where(CertificateGranted.number == asked)
        ).first()
        stored = row.check_word if row is not None else "-" * 10
        is_right = hmac.compare_digest(stored.encode(), word_as_typed(word).encode())
        return _answer(house, session, row if is_right else None, asked=asked)


def check_by_link(house: House, *, token: str) -> CertificateCheck:
    """The public check by the link of the QR code."""
    with house.database.reading() as session:
        row = session.scalars(
            select(CertificateGranted).where(CertificateGranted.link_token == plain_text(token, 64))
        ).first()
        return _answer(house, session, row, asked="")


def states_of(
    session: Session, rows: Sequence[CertificateGranted], today: date
) -> Mapping[int, str]:
    """The state of each of these certificates on a day; one statement."""
    acts = _acts(session, [row.id for row in rows])
    return {row.id: certificate_state(acts[row.id], row.ends_at.date(), today) for row in rows}


def _acts(session: Session, ids: Collection[int]) -> Mapping[int, list[Act]]:
    found: defaultdict[int, list[Act]] = defaultdict(list)
    acts = select(CertificateAct).where(CertificateAct.certificate_id.in_(ids))
    for act in session.scalars(acts.order_by(CertificateAct.id)):
        assert act.certificate_id is not None
        found[act.certificate_id].append(Act(act.act, act.at))  # type: ignore[arg-type]
    return found


def _names(session: Session, ids: Collection[int]) -> Mapping[int, tuple[str, str]]:
    rows = session.execute(
        select(Person.id, Person.number, PersonName.full_name)
        .outerjoin(PersonName, PersonName.person_id == Person.id)
        .where(Person.id.in_(ids))
    )
    return {row.id: (row.number, row.full_name or "") for row in rows}


def _views(
    house: House, session: Session, rows: Sequence[CertificateGranted]
) -> tuple[CertificateView, ...]:
    if not rows:
        return ()
    states = states_of(session, rows, clock.today())
    names = _names(session, {row.person_id for row in rows} | {row.decided_by_id for row in rows})
    size = record_log.size_of(session)
    root = record_log.root(session, size).hex()
    return tuple(_view(house, row, states[row.id], names, (root, size)) for row in rows)


def _view(
    house: House,
    row: CertificateGranted,
    state: str,
    names: Mapping[int, tuple[str, str]],
    log: tuple[str, int],
) -> CertificateView:
    number, holder = names[row.person_id]
    by_number, by_name = names[row.decided_by_id]
    return CertificateView(
        row.id,
        row.number,
        word_text(row.check_word),
        row.link_token,
        row.person_id,
        holder,
        number,
        row.certificate,
        row.scope["title"],
        _scope(row),
        tuple(row.scope["grinder types"]),
        house.number(row.scheme_hash),
        row.scheme_hash,
        row.granted_at.date(),
        row.ends_at.date(),
        by_name or by_number,
        state,
        row.log_index,
        *log,
    )


def _scope(row: CertificateGranted) -> tuple[tuple[str, str], ...]:
    return tuple((competency, title) for competency, title in row.scope["competencies"])


def _answer(
    house: House, session: Session, row: CertificateGranted | None, *, asked: str
) -> CertificateCheck:
    if row is None:
        sentence = _SENTENCES["not known"]
        return CertificateCheck(asked, "not known", sentence, "", "", (), (), None, None, 0)
    state = states_of(session, [row], clock.today())[row.id]
    ends = row.ends_at.date()
    return CertificateCheck(
        row.number,
        state,
        _SENTENCES[state].format(ends=ends),
        _names(session, [row.person_id])[row.person_id][1],
        row.scope["title"],
        _scope(row),
        tuple(row.scope["grinder types"]),
        row.granted_at.date(),
        ends,
        house.number(row.scheme_hash),
    )
