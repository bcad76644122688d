"""What a job card prints beside the standing: name, roles, teams, certificates, decisions."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import Integer, bindparam, literal, select, union_all
from sqlalchemy.orm import Session

from trainer.records.certificates import Candidacy, CertificateAct, CertificateGranted
from trainer.records.people import Membership, Person, PersonName, RoleHeld, Team
from trainer.rules.scheme import Act, certificate_state

if TYPE_CHECKING:
    from trainer.actions.standing import Board

CertificateLine = tuple[int, str, str, str, date]
_DECIDED = {
    "refused": "was refused on {day}.",
    "more evidence": "waits: more evidence is asked for.",
}


@dataclass(slots=True)
class CardRows:
    """The rows of one person's card."""

    number: str = ""
    name: str = ""
    roles: list[tuple[str, datetime]] = field(default_factory=list)
    teams: tuple[str, ...] = ()
    granted: dict[int, tuple[str, str, datetime]] = field(default_factory=dict)
    acts: defaultdict[int, list[Act]] = field(default_factory=lambda: defaultdict(list))
    candidacies: list[tuple[int, str, str, datetime]] = field(default_factory=list)

    def certificates(self, board: Board) -> tuple[CertificateLine, ...]:
        """The person's certificates with their state on the day, newest first."""
        known = board.scheme.certificates
        lines = []
        for key, (number, kind, ends_at) in sorted(self.granted.items(), reverse=True):
            title = known[kind].title if kind in known else kind
            state = certificate_state(self.acts[key], ends_at.date(), board.today)
            lines.append((key, number, title, state, ends_at.date()))
        return tuple(lines)

    def came_back(self) -> list[tuple[int, str, str, datetime]]:
        """The last candidacy for each certificate that was refused or waits for more evidence."""
        last = {row[1]: row for row in sorted(self.candidacies)}
        return [row for row in last.values() if row[2].partition(" / ")[2] in _DECIDED]

    def decisions(self, board: Board, reasons: Mapping[int, str]) -> list[tuple[str, str]]:
        """Certificate -> what came back on the last candidacy for it, with the reason given."""
        known, found = board.scheme.certificates, []
        for candidacy, kind, words, at in self.came_back():
            title = known[kind].title if kind in known else kind
            sentence = _DECIDED[words.partition(" / ")[2]].format(day=at.date())
            found.append((kind, f"{title} {sentence} {reasons.get(candidacy, '')}".strip()))
        return found

    def holds(self, kind: str, board: Board) -> bool:
        """Whether a certificate of this kind is valid or suspended on the day."""
        return any(
            one == kind
            and certificate_state(self.acts[key], ends_at.date(), board.today)
            in {"valid", "suspended"}
            for key, (_, one, ends_at) in self.granted.items()
        )

    def asks_for(self, kind: str) -> bool:
        """Whether a candidacy for this certificate is open."""
        return any(
            one == kind and not words.startswith("decided") for _, one, words, _ in self.candidacies
        )


def read_card_rows(session: Session, person: int) -> CardRows:
    """Read them all in one statement."""
    card, teams = CardRows(), []
    for what, key, one, other, at in session.execute(_ROWS, {"person": person}):
        if what == "person":
            card.number, card.name = one, other or one
        elif what == "role":
            card.roles.append((one, at))
        elif what == "team":
            teams.append(one)
        elif what == "certificate":
            card.granted[key] = (one, other, at)
        elif what == "act":
            card.acts[key].append(Act(one, at))
        else:
            card.candidacies.append((key, one, other, at))
    card.teams = tuple(sorted(teams))
    return card


def _rows() -> Any:  # noqa: ANN401 - a compound select
    person = bindparam("person", type_=Integer)
    granted, act, candidacy = CertificateGranted, CertificateAct, Candidacy
    return union_all(
        select(
            literal("person").label("what"),
            Person.id.label("key"),
            Person.number.label("one"),
            PersonName.full_name.label("other"),
            Person.created_at.label("at"),
        )
        .outerjoin(PersonName, PersonName.person_id == Person.id)
        .where(Person.id == person),
        select(literal("role"), RoleHeld.id, RoleHeld.role, literal(""), RoleHeld.since).where(
            RoleHeld.person_id == person, RoleHeld.until.is_(None)
        ),
        select(literal("team"), Team.id, Team.name, literal(""), Membership.since)
        .join(Team, Team.id == Membership.team_id)
        .where(Membership.person_id == person, Membership.until.is_(None)),
        select(
            literal("certificate"), granted.id, granted.number, granted.certificate, granted.ends_at
        ).where(granted.person_id == person),
        select(literal("act"), granted.id, act.act, literal(""), act.at)
        .join(granted, granted.id == act.certificate_id)
        .where(granted.person_id == person),
        select(
            literal("candidacy"),
            candidacy.id,
            candidacy.certificate,
            candidacy.state + " / " + candidacy.decision,
            candidacy.applied_at,
        ).where(candidacy.person_id == person),
    )


_ROWS = _rows()  # made once: putting it together costs more than running it
