"""Certificates: who applies, who decides, what the public sees."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date

import pytest
from sqlalchemy import select

from tests.actions import steps
from tests.actions.conftest import Time
from tests.actions.sample import PASSWORD, Crew
from trainer.actions import certifying, observing, people, viewing
from trainer.actions.house import House
from trainer.actions.restricting import withdraw_competency
from trainer.errors import InputError, NotFoundError, RefusedError, StateError
from trainer.records import log_check
from trainer.records.certificates import CertificateGranted
from trainer.records.log_tables import RecordEntry

KIND = "counter-reading"


@pytest.fixture
def ready(house: House, crew: Crew) -> Crew:
    """Delphine is competent in C04; Hilde decides."""
    steps.recognised(house, crew, "ngozi", "C04")
    crew.come("hilde", "decision maker")
    steps.learn(house, crew, "delphine", "M03")
    steps.observed(house, crew, "ngozi", "delphine", "C04")
    return crew


def granted(house: House, crew: Crew) -> int:
    candidacy = certifying.apply(house, crew.who("delphine"), certificate=KIND)
    return certifying.grant(
        house,
        crew.who("hilde"),
        candidacy=candidacy,
        reason="rule met, one whole sheet",
        password=PASSWORD.format("hilde"),
    )


def test_applying_once(house: House, ready: Crew) -> None:
    delphine = ready.who("delphine")
    first = certifying.apply(house, delphine, certificate=KIND)
    assert certifying.apply(house, delphine, certificate=KIND) == first
    with pytest.raises(NotFoundError, match="no certificate gold"):
        certifying.apply(house, delphine, certificate="gold")


def test_admission_needs_the_whole_scope(house: House, ready: Crew) -> None:
    ready.come("samira", "trainee", team="North Yard")
    early = certifying.apply(house, ready.who("samira"), certificate=KIND)
    with pytest.raises(StateError, match="C04 is not started"):
        certifying.admit(house, ready.who("piers"), candidacy=early)
    candidacy = certifying.apply(house, ready.who("delphine"), certificate=KIND)
    with pytest.raises(RefusedError, match="scheme administrator"):
        certifying.admit(house, ready.who("hilde"), candidacy=candidacy)
    for _ in range(2):
        certifying.admit(house, ready.who("piers"), candidacy=candidacy)
    states = {row.id: row.state for row in certifying.desk(house, ready.who("hilde"))}
    assert states == {early: "applied", candidacy: "admitted"}


def test_granted_on_the_evidence(house: House, ready: Crew, time: Time) -> None:
    candidacy = certifying.apply(house, ready.who("delphine"), certificate=KIND)
    seen = certifying.evidence(house, ready.who("hilde"), candidacy=candidacy)
    assert (seen.eligible, seen.missing, seen.would_end) == (True, (), date(2033, 3, 3))
    assert seen.scope[0].signatures == (
        "competent, signed 2031-03-03 by Ngozi, sheet C04-0001, N-01 at Canteen North Station",
    )
    assert (seen.candidacy.held, seen.candidacy.needed, seen.candidacy.refusal) == (1, 1, "")
    time.on(days=10)
    certificate_id = granted(house, ready)
    view = certifying.certificate(house, ready.who("delphine"), certificate_id=certificate_id)
    # own 24 months would run to 2033-03-13; the sign-off lapses first
    assert (view.granted_on, view.ends_on) == (date(2031, 3, 13), date(2033, 3, 3))
    assert (view.state, view.holder, view.decided_by) == (
        "valid",
        "Delphine Tester",
        "Hilde Tester",
    )
    assert view.scope == (("C04", "Read and record counters"),)
    assert view.grinder_types == ("QT-64",)
    assert view.log_size > view.log_index
    decided = certifying.evidence(house, ready.who("hilde"), candidacy=candidacy)
    assert (decided.decision, decided.decision_reason, decided.certificate_number) == (
        "granted",
        "rule met, one whole sheet",
        view.number,
    )
    assert certifying.desk(house, ready.who("hilde")) == ()
    card = viewing.job_card(house, ready.who("delphine"))
    assert [line[1:4] for line in card.certificates] == [
        (view.number, "Counter reading on commercial grinders", "valid")
    ]
    with house.database.reading() as session:
        kinds = session.scalars(select(RecordEntry.kind).order_by(RecordEntry.index)).all()
        assert kinds[view.log_index] == "certificate act"
        assert log_check.check(session) is None


def test_decided_is_decided(house: House, ready: Crew) -> None:
    candidacy = certifying.apply(house, ready.who("delphine"), certificate=KIND)
    granted(house, ready)
    hilde, given = ready.who("hilde"), {"candidacy": candidacy, "reason": "x"}
    for act in (certifying.grant, certifying.refuse):
        with pytest.raises(StateError, match="was decided on 2031-03-03: granted"):
            act(house, hilde, password=PASSWORD.format("hilde"), **given)  # type: ignore[arg-type]
    with pytest.raises(StateError):
        certifying.ask_for_more(house, hilde, **given)  # type: ignore[arg-type]
    with pytest.raises(StateError):
        certifying.admit(house, ready.who("piers"), candidacy=candidacy)
    with pytest.raises(NotFoundError, match="no candidacy 77"):
        certifying.evidence(house, hilde, candidacy=77)


def test_refused_with_a_reason_and_applied_anew(house: House, ready: Crew) -> None:
    hilde, delphine = ready.who("hilde"), ready.who("delphine")
    candidacy = certifying.apply(house, delphine, certificate=KIND)
    certifying.ask_for_more(house, hilde, candidacy=candidacy, reason="the second site")
    back = viewing.job_card(house, delphine).back_to_you
    assert [one.sentence for one in back] == [
        "Counter reading on commercial grinders waits: more evidence is asked for. the second site"
    ]
    assert certifying.evidence(house, hilde, candidacy=candidacy).decision_reason == (
        "the second site"
    )
    assert certifying.desk(house, hilde)[0].state == "under assessment"
    with pytest.raises(InputError, match="reason"):
        certifying.refuse(
            house, hilde, candidacy=candidacy, reason=" ", password=PASSWORD.format("hilde")
        )
    with pytest.raises(RefusedError, match="not your password"):
        certifying.refuse(house, hilde, candidacy=candidacy, reason="no", password="wrong")
    certifying.refuse(
        house,
        hilde,
        candidacy=candidacy,
        reason="one site only",
        password=PASSWORD.format("hilde"),
    )
    back = viewing.job_card(house, delphine).back_to_you
    assert [(one.kind, one.target) for one in back] == [("decision", KIND)]
    assert back[0].sentence.endswith("was refused on 2031-03-03. one site only")
    assert certifying.apply(house, delphine, certificate=KIND) != candidacy


def test_nothing_is_granted_without_the_scope(house: House, ready: Crew, time: Time) -> None:
    candidacy = certifying.apply(house, ready.who("delphine"), certificate=KIND)
    observing.restrict(
        house,
        ready.who("ngozi"),
        person_id=ready.ids["delphine"],
        competency="C04",
        reason="incident",
    )
    with pytest.raises(StateError, match="C04 is restricted"):
        certifying.grant(
            house,
            ready.who("hilde"),
            candidacy=candidacy,
            reason="x",
            password=PASSWORD.format("hilde"),
        )


@pytest.mark.parametrize(
    ("who", "words"),
    [
        ("ngozi", "You observed or recognised"),
        ("piers", "This is for a decision maker"),
        ("delphine", "own record"),
        ("ottoline", "You were a trainer of this person's team"),
    ],
)
def test_whoever_was_involved_does_not_decide(
    house: House, ready: Crew, time: Time, who: str, words: str
) -> None:
    ready.come("ottoline", "trainer", "decision maker", team="North Yard")
    piers = ready.who("piers")
    for name in ("ngozi", "delphine"):
        people.set_role(house, piers, person_id=ready.ids[name], role="decision maker", held=True)
    time.on(minutes=1)
    candidacy = certifying.apply(house, ready.who("delphine"), certificate=KIND)
    actor = ready.who(who)
    with pytest.raises(RefusedError, match=words):
        certifying.grant(
            house, actor, candidacy=candidacy, reason="x", password=PASSWORD.format(who)
        )
    if who != "piers":
        with pytest.raises(RefusedError, match=words):
            certifying.evidence(house, actor, candidacy=candidacy)
        assert words in certifying.desk(house, actor)[0].refusal


def test_later_acts_follow_the_state(house: House, ready: Crew, time: Time) -> None:
    certificate_id, hilde = granted(house, ready), ready.who("hilde")

    def act(what: str) -> str:
        time.on(days=1)
        getattr(certifying, what)(
            house,
            hilde,
            certificate_id=certificate_id,
            reason="an incident at the ferry",
            password=PASSWORD.format("hilde"),
        )
        return certifying.certificate(house, hilde, certificate_id=certificate_id).state

    with pytest.raises(StateError, match="is valid; it cannot"):
        act("reinstate")
    assert act("suspend") == "suspended"
    with pytest.raises(StateError, match="is suspended"):
        act("suspend")
    assert act("reinstate") == "valid"
    assert act("withdraw") == "withdrawn"
    for what in ("suspend", "reinstate", "withdraw"):
        with pytest.raises(StateError, match="is withdrawn"):
            act(what)
    with pytest.raises(RefusedError, match="decision maker"):
        certifying.suspend(
            house,
            ready.who("piers"),
            certificate_id=certificate_id,
            reason="x",
            password=PASSWORD.format("piers"),
        )
    with pytest.raises(NotFoundError, match="no certificate 77"):
        certifying.suspend(house, hilde, certificate_id=77, reason="x", password="x")


def test_a_newer_one_takes_the_place(house: House, ready: Crew, time: Time) -> None:
    first = granted(house, ready)
    time.on(days=700)
    steps.recognised(house, ready, "ngozi", "C04")
    steps.observed(house, ready, "ngozi", "delphine", "C04")
    second = granted(house, ready)
    views = certifying.certificates_of(
        house, ready.who("delphine"), person_id=ready.ids["delphine"]
    )
    assert [(one.id, one.state) for one in views] == [(second, "valid"), (first, "superseded")]
    assert views[0].number != views[1].number


def test_the_public_check_has_one_shape(house: House, ready: Crew, time: Time) -> None:
    view = certifying.certificate(
        house, ready.who("delphine"), certificate_id=granted(house, ready)
    )
    typed = f" {view.number.lower()} ".replace("-", " ")
    right = certifying.check_certificate(house, number=typed, word=view.check_word.lower())
    assert (right.state, right.holder, right.number) == ("valid", "Delphine Tester", view.number)
    by_link = certifying.check_by_link(house, token=view.link_token)
    assert by_link == right
    wrong = certifying.check_certificate(house, number=view.number, word="AAAAAAAAAA")
    unknown = certifying.check_certificate(house, number="GM-0000-0000", word=view.check_word)
    assert wrong.state == unknown.state == "not known"
    assert wrong.sentence == unknown.sentence
    blank = {
        "holder": "",
        "title": "",
        "scope": (),
        "grinder_types": (),
        "granted_on": None,
        "ends_on": None,
        "scheme_number": 0,
    }
    for answer in (wrong, unknown, certifying.check_by_link(house, token="x" * 22)):
        assert {key: asdict(answer)[key] for key in blank} == blank
        assert set(asdict(answer)) == set(asdict(right))
    for text in ("", "x" * 10_000, "\ud800", "GM-1"):
        assert certifying.check_certificate(house, number=text, word=text).state == "not known"
        assert certifying.check_by_link(house, token=text).state == "not known"
    time.on(days=800)
    assert certifying.check_by_link(house, token=view.link_token).state == "expired"


def test_numbers_and_words_cannot_be_guessed(house: House, ready: Crew) -> None:
    granted(house, ready)
    with house.database.reading() as session:
        row = session.scalars(select(CertificateGranted)).one()
    assert len(row.check_word) == 10
    assert len(row.link_token) >= 22
    assert row.number.startswith("GM-")


def test_others_do_not_see_the_certificate(house: House, ready: Crew) -> None:
    certificate_id = granted(house, ready)
    ready.come("samira", "trainee", team="North Yard")
    with pytest.raises(RefusedError):
        certifying.certificate(house, ready.who("samira"), certificate_id=certificate_id)
    with pytest.raises(RefusedError):
        certifying.certificates_of(house, ready.who("samira"), person_id=ready.ids["delphine"])
    with pytest.raises(NotFoundError):
        certifying.certificate(house, ready.who("hilde"), certificate_id=77)


def test_a_competency_ended_by_the_scheme(house: House, ready: Crew) -> None:
    given = {"person_id": ready.ids["delphine"], "competency": "C04"}
    with pytest.raises(RefusedError):
        withdraw_competency(house, ready.who("ngozi"), reason="x", **given)  # type: ignore[arg-type]
    withdraw_competency(
        house,
        ready.who("hilde"),
        reason="signed for a friend",
        **given,  # type: ignore[arg-type]
    )
    lines = viewing.job_card(house, ready.who("delphine")).not_yet
    assert next(line.letter for line in lines if line.id == "C04") == "W"
    with pytest.raises(RefusedError, match="C04 is withdrawn"):
        observing.ask_to_be_observed(house, ready.who("delphine"), competency="C04")
