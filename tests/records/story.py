"""Rows for tests, put in by hand: a small site with one of everything.

Only tables are used, no rule and no action: a test of the tables depends on nothing else.
"""

from __future__ import annotations

import hashlib
import secrets
from datetime import UTC, datetime, timedelta
from typing import Any, TypeVar

from sqlalchemy.orm import Session

from trainer import clock
from trainer.records import record_log, states
from trainer.records.tables import (
    Attempt,
    Candidacy,
    CautionSeen,
    CertificateAct,
    CertificateGranted,
    CompetencyWithdrawn,
    Edition,
    EditionEvent,
    FreeText,
    InForce,
    LessonRead,
    Marked,
    Membership,
    ObservationMark,
    ObservationRequest,
    ObservationSheet,
    Person,
    PersonName,
    Recognition,
    Restriction,
    RoleHeld,
    Signature,
    Team,
)

START = datetime(2031, 3, 3, 8, 0, tzinfo=UTC)


def hours(count: float) -> datetime:
    """A moment so many hours after the start of every story here."""
    return START + timedelta(hours=count)


T = TypeVar("T")


class Story:
    """Puts rows into one session; every call flushes, so that keys are known."""

    def __init__(self, session: Session) -> None:
        self.session = session

    def put(self, row: T) -> T:
        self.session.add(row)
        self.session.flush()
        return row

    def token(self) -> str:
        return secrets.token_hex(16)

    def log(self, kind: str, person: int | None, at: datetime) -> int:
        with clock.at(at):
            return record_log.append(self.session, kind=kind, person=person, payload={"n": 1})

    def person(self, number: int, name: str = "", role: str = "trainee") -> int:
        row = self.put(
            Person(number=f"P-{number:04d}", sign_in_name=f"sign-in-{number}", created_at=START)
        )
        self.put(PersonName(person_id=row.id, full_name=name or "A Person", short_name="A."))
        self.put(RoleHeld(person_id=row.id, role=role, since=START))
        return int(row.id)

    def team(self, name: str, *people: int) -> int:
        row = self.put(Team(name=name, site="North Yard"))
        for person in people:
            self.put(Membership(person_id=person, team_id=row.id, since=START))
        return int(row.id)

    def edition(self, subject: str, number: int = 1) -> str:
        canonical = f"{subject} {number}".encode()
        row = self.put(
            Edition(
                hash=hashlib.sha256(canonical).hexdigest(),
                kind="scheme" if subject == "scheme" else "module",
                subject=subject,
                number=number,
                canonical=canonical,
                made_at=START,
            )
        )
        self.put(EditionEvent(edition_hash=row.hash, state="in force", at=START))
        return str(row.hash)

    def attempt(
        self, person: int, exercise: str, edition: str, *, own: bool = True, at: float = 1
    ) -> Attempt:
        return self.put(
            Attempt(
                person_id=person,
                exercise=exercise,
                module=exercise.split("-", maxsplit=1)[0],
                edition_hash=edition,
                draw_key=b"k" * 32,
                open_token=self.token(),
                opened_at=hours(at),
                own_numbers=own,
            )
        )

    def mark(
        self,
        attempt: Attempt,
        *,
        mark: int,
        marks: int = 4,
        outcome: str = "outside",
        slip: str = "",
        at: float = 2,
        fold: bool = True,
    ) -> None:
        self.put(
            Marked(
                attempt_id=attempt.id,
                close_token=self.token(),
                answers={"t": "5.19 s"},
                marking={"mark": mark},
                mark=mark,
                marks=marks,
                outcome=outcome,
                slip=slip,
                engine_edition=1,
                closed_at=hours(at),
                digest="0" * 64,
            )
        )
        attempt.state = "closed"
        self.session.flush()
        if fold:
            states.fold_marked(self.session, attempt.id)

    def sheet(
        self, person: int, observer: int, competency: str, scheme: str, at: float
    ) -> ObservationSheet:
        return self.put(
            ObservationSheet(
                person_id=person,
                observer_id=observer,
                competency=competency,
                scheme_hash=scheme,
                machine="QW-83",
                site="Ferry Kiosk Pier 4",
                begun_at=hours(at),
                details=FreeText(text="shaking counter next to a pump"),
            )
        )

    def judge(
        self, sheet: ObservationSheet, criterion: str, value: str, at: float, seq: int = 1
    ) -> ObservationMark:
        return self.put(
            ObservationMark(
                sheet_id=sheet.id,
                criterion=criterion,
                seq=seq,
                value=value,
                at=hours(at),
                note=FreeText(text="seen from the left side"),
            )
        )

    def sign(
        self,
        sheet: ObservationSheet,
        *,
        at: float,
        outcome: str = "competent",
        sign_off: bool = True,
        signer: int | None = None,
        number: int = 1,
    ) -> Signature:
        person = sheet.person_id
        row = self.put(
            Signature(
                sheet_id=sheet.id,
                person_id=person,
                signer_id=sheet.observer_id if signer is None else signer,
                competency=sheet.competency,
                number=number,
                outcome=outcome,
                is_sign_off=sign_off,
                digest="d" * 64,
                signed_at=hours(at),
                log_index=self.log("sign-off", person, hours(at)),
                statement=FreeText(text="what was shown"),
            )
        )
        sheet.state, sheet.ended_at = "signed" if number == 1 else "countersigned", hours(at)
        self.session.flush()
        return row


def people(story: Story) -> dict[str, Any]:
    """A trainee, two supervisors and two editions of the scheme."""
    return {
        "trainee": story.person(1),
        "first": story.person(2, role="supervisor"),
        "second": story.person(3, role="supervisor"),
        "scheme": story.edition("scheme"),
        "newer": story.edition("scheme", 2),
    }


def whole_site(session: Session) -> dict[str, Any]:
    """One of everything; gives the ids that tests need."""
    story = Story(session)
    trainee, supervisor, decider, administrator = (
        story.person(1, "Delphine Marrowick"),
        story.person(2, "Ngozi Thistlewaite-Lund", "supervisor"),
        story.person(3, "Hilde Saltonstone", "decision maker"),
        story.person(4, "Piers Umbrage-Nakata", "scheme administrator"),
    )
    team = story.team("North Yard", trainee, supervisor)
    module, scheme = story.edition("M03"), story.edition("scheme")
    story.put(InForce(subject="M03", edition_hash=module, since=START))
    story.put(
        LessonRead(
            person_id=trainee, lesson="M03-L1", module="M03", edition_hash=module, at=hours(1)
        )
    )
    story.put(
        CautionSeen(
            person_id=trainee, caution="H02", module="M03", edition_hash=module, at=hours(1)
        )
    )
    closed = story.attempt(trainee, "M03-E1", module)
    story.mark(closed, mark=4, outcome="inside")
    still_open = story.attempt(trainee, "M03-E2", module, at=3)
    request = story.put(ObservationRequest(person_id=trainee, competency="C04", at=hours(4)))
    sheet = story.sheet(trainee, supervisor, "C04", scheme, 5)
    request.sheet_id = sheet.id
    judged = story.judge(sheet, "C04-1", "done", 5.1)
    signature = story.sign(sheet, at=6)
    recognition = story.put(
        Recognition(
            person_id=supervisor,
            competency="C04",
            by_person_id=administrator,
            at=hours(0),
            months=24,
            log_index=story.log("recognised", supervisor, hours(0)),
            evidence=FreeText(text="twelve years at the bench"),
        )
    )
    restriction = story.put(
        Restriction(
            person_id=trainee,
            competency="C01",
            by_person_id=supervisor,
            since=hours(7),
            reason=FreeText(text="cover left open"),
        )
    )
    withdrawn = story.put(
        CompetencyWithdrawn(
            person_id=trainee,
            competency="C02",
            by_person_id=administrator,
            at=hours(7),
            log_index=story.log("competency withdrawn", trainee, hours(7)),
        )
    )
    candidacy = story.put(
        Candidacy(person_id=trainee, certificate="counter reading", applied_at=hours(8))
    )
    candidacy.state, candidacy.decision = "decided", "granted"
    candidacy.decided_at, candidacy.decided_by_id = hours(9), decider
    log_index = story.log("certificate granted", trainee, hours(9))
    certificate = story.put(
        CertificateGranted(
            number="GM-0118-2207",
            check_word="K7RWQ3MX2D",
            link_token="l" * 22,
            person_id=trainee,
            candidacy_id=candidacy.id,
            certificate="counter reading",
            scheme_hash=scheme,
            scope={"competencies": [["C04", "Counter reading"]], "grinder types": ["QW-83"]},
            granted_at=hours(9),
            ends_at=hours(9) + timedelta(days=730),
            decided_by_id=decider,
            log_index=log_index,
        )
    )
    act = story.put(
        CertificateAct(
            certificate_id=certificate.id,
            act="grant",
            at=hours(9),
            by_person_id=decider,
            log_index=log_index,
            reason=FreeText(text="complete"),
        )
    )
    for person, competency in ((trainee, "C04"), (supervisor, "C04"), (trainee, "C01")):
        states.fold_competency(session, person, competency)
    states.fold_competency(session, trainee, "C02")
    return {
        "trainee": trainee,
        "supervisor": supervisor,
        "decider": decider,
        "administrator": administrator,
        "team": team,
        "module": module,
        "scheme": scheme,
        "closed": closed.id,
        "open": still_open.id,
        "request": request.id,
        "sheet": sheet.id,
        "judged": judged.id,
        "signature": signature.id,
        "recognition": recognition.id,
        "restriction": restriction.id,
        "withdrawn": withdrawn.id,
        "candidacy": candidacy.id,
        "certificate": certificate.id,
        "act": act.id,
    }
