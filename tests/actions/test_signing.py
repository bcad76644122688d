"""The sign-off: what was shown is signed, once, by the right person, and nothing overwrites it."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from dataclasses import replace
from threading import Barrier

import pytest
from sqlalchemy import func, select, text
from sqlalchemy.exc import DatabaseError

from tests.actions import sample, steps
from tests.actions.conftest import Time
from tests.actions.sample import PASSWORD, Crew
from trainer import clock
from trainer.actions import observing, people, sign_ins, signing, viewing
from trainer.actions.house import House
from trainer.canonical import sha256_hex
from trainer.errors import RefusedError, StateError, TrainerError
from trainer.records import log_check, states
from trainer.records.free_text import FreeText
from trainer.records.log_tables import RecordEntry
from trainer.records.signoffs import Signature
from trainer.records.state_tables import StateCompetency


@pytest.fixture
def ready(house: House, crew: Crew) -> Crew:
    """Delphine is ready for both competencies; Ngozi and Edda may observe them."""
    crew.come("edda", "supervisor", team="North Yard")
    for name in ("ngozi", "edda"):
        steps.recognised(house, crew, name, "C04", "C01")
    steps.learn(house, crew, "delphine", "M03")
    steps.learn(house, crew, "delphine", "M01")
    return crew


def line(house: House, crew: Crew, competency: str) -> str:
    card = viewing.job_card(house, crew.who("delphine"))
    lines = (*card.alone, *card.with_someone, *card.not_yet)
    return next(f"{one.letter} {one.sentence}" for one in lines if one.id == competency)


def test_one_observer_signs_off(house: House, ready: Crew) -> None:
    signed = steps.observed(house, ready, "ngozi", "delphine", "C04")
    assert (signed.outcome, signed.state, signed.number) == (
        "competent",
        "competent",
        "C04-0001/1",
    )
    assert signed.sentence == "Signed off on 2031-03-03, in date to 2033-03-03."
    assert line(house, ready, "C04") == f"C {signed.sentence}"
    view = observing.sheet(house, ready.who("delphine"), sheet_id=1)
    assert (view.state, view.outcome, view.signed_by) == ("signed", "competent", "Ngozi")
    with house.database.reading() as session:
        row = session.scalars(select(Signature)).one()
        assert row.is_sign_off
        said = session.get_one(FreeText, row.statement_id).text
        assert sha256_hex(said.encode()) == row.digest
        assert session.scalars(select(RecordEntry.kind)).all()[row.log_index] == "signature"
        assert log_check.check(session) is None
    statement = json.loads(said)
    assert [one["text"] for one in statement["criteria"]] == [
        "Opens the right counter page.",
        "Writes value, unit and date down.",
    ]
    assert statement["scheme"] == [1, house.scheme().hash]
    assert statement["modules"] == [["M03", 1, house.in_force()["M03"]]]
    assert len(statement["salt"]) == 64


def test_the_statement_says_everything_that_is_signed(house: House, ready: Crew) -> None:
    sheet = steps.begin(house, ready, "ngozi", "delphine", "C04")
    steps.fill(house, ready, "ngozi", sheet)
    observing.tick(
        house, ready.who("ngozi"), sheet_id=sheet, criterion="C04.2", value="done", note="in ink"
    )
    said = signing.statement(house, ready.who("ngozi"), sheet_id=sheet)
    assert said.criteria[1] == ("C04.2", "Writes value, unit and date down.", "done", "in ink")
    assert said.lines[0] == "I, Ngozi, watched Delphine at work and say what I saw."
    assert "Outcome: competent." in said.lines
    assert said.needs_password
    lately = replace(ready.who("ngozi"), confirmed_at=clock.now())
    assert not signing.statement(house, lately, sheet_id=sheet).needs_password


def test_not_seen_leaves_the_sheet_open(house: House, ready: Crew) -> None:
    sheet = steps.begin(house, ready, "ngozi", "delphine", "C04")
    steps.fill(house, ready, "ngozi", sheet, c2="not seen")
    with pytest.raises(StateError, match=r"not seen yet: C04\.2"):
        signing.statement(house, ready.who("ngozi"), sheet_id=sheet)


def test_one_criterion_not_done_decides(house: House, ready: Crew, time: Time) -> None:
    sheet = steps.begin(house, ready, "ngozi", "delphine", "C04")
    steps.fill(house, ready, "ngozi", sheet, c1="not done", c2="not seen")
    said = signing.statement(house, ready.who("ngozi"), sheet_id=sheet)
    assert said.outcome == "not yet competent"
    with pytest.raises(StateError, match="say not yet competent"):
        signing.sign(
            house,
            ready.who("ngozi"),
            sheet_id=sheet,
            digest=said.digest,
            password=PASSWORD.format("ngozi"),
            outcome="competent",
        )
    signed = steps.sign(house, ready, "ngozi", sheet)
    assert signed.state == "not yet competent"
    assert line(house, ready, "C04") == "N The last sheet was not yet competent on 2031-03-03."
    time.on(days=4)
    assert steps.observed(house, ready, "ngozi", "delphine", "C04").state == "competent"


def test_what_changed_meanwhile_is_not_signed(house: House, ready: Crew, time: Time) -> None:
    sheet, ngozi = steps.begin(house, ready, "ngozi", "delphine", "C04"), ready.who("ngozi")
    steps.fill(house, ready, "ngozi", sheet)

    def sign(digest: str) -> None:
        signing.sign(
            house,
            ngozi,
            sheet_id=sheet,
            digest=digest,
            password=PASSWORD.format("ngozi"),
            outcome="competent",
        )

    said = signing.statement(house, ngozi, sheet_id=sheet)
    observing.tick(
        house, ngozi, sheet_id=sheet, criterion="C04.1", value="done", note="a later word"
    )
    with pytest.raises(StateError, match="has changed since you opened it"):
        sign(said.digest)
    said = signing.statement(house, ngozi, sheet_id=sheet)
    sample.put(house, sample.module_m03(stamp="a new edition between view and sign"))
    with pytest.raises(StateError, match="has changed since you opened it"):
        sign(said.digest)
    for digest in ("", "0" * 64, "nonsense\ud800"):
        with pytest.raises(StateError, match="has changed"):
            sign(digest)
    sign(signing.statement(house, ngozi, sheet_id=sheet).digest)


def test_a_mark_between_reading_and_writing_stops_the_signature(house: House, ready: Crew) -> None:
    """The observer's other window ticks after everything was computed and before the write."""
    sheet, ngozi = steps.begin(house, ready, "ngozi", "delphine", "C04"), ready.who("ngozi")
    steps.fill(house, ready, "ngozi", sheet)
    said = signing.statement(house, ngozi, sheet_id=sheet)
    original = sign_ins.require_password

    def meanwhile(*given: object) -> None:
        original(*given)  # type: ignore[arg-type]
        observing.tick(house, ngozi, sheet_id=sheet, criterion="C04.2", value="not done")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(signing, "require_password", meanwhile)
        with pytest.raises(StateError, match="has changed"):
            signing.sign(
                house,
                ngozi,
                sheet_id=sheet,
                digest=said.digest,
                password=PASSWORD.format("ngozi"),
                outcome="competent",
            )
    with house.database.reading() as session:
        assert session.scalar(select(func.count()).select_from(Signature)) == 0


@pytest.mark.parametrize("password", ["", "wrong but long enough"])
def test_the_password_is_asked_again(house: House, ready: Crew, password: str) -> None:
    sheet, ngozi = steps.begin(house, ready, "ngozi", "delphine", "C04"), ready.who("ngozi")
    steps.fill(house, ready, "ngozi", sheet)
    digest = signing.statement(house, ngozi, sheet_id=sheet).digest
    with pytest.raises(RefusedError, match="not your password"):
        signing.sign(
            house,
            ngozi,
            sheet_id=sheet,
            digest=digest,
            password=password,
            outcome="competent",
        )


def test_given_lately_it_may_stay_empty_but_not_be_wrong(
    house: House, ready: Crew, time: Time
) -> None:
    sheet = steps.begin(house, ready, "ngozi", "delphine", "C04")
    steps.fill(house, ready, "ngozi", sheet)
    lately = replace(ready.who("ngozi"), confirmed_at=clock.now())
    digest = signing.statement(house, lately, sheet_id=sheet).digest
    given = {"sheet_id": sheet, "digest": digest, "outcome": "competent"}
    with pytest.raises(RefusedError, match="not your password"):
        signing.sign(house, lately, password="wrong", **given)  # type: ignore[arg-type]
    time.on(minutes=5, seconds=1)
    with pytest.raises(RefusedError, match="not your password"):
        signing.sign(house, lately, password="", **given)  # type: ignore[arg-type]
    time.on(minutes=-5)
    signing.sign(house, lately, password="", **given)  # type: ignore[arg-type]


def test_guessing_at_the_signature_is_slowed(house: House, ready: Crew) -> None:
    sheet, ngozi = steps.begin(house, ready, "ngozi", "delphine", "C04"), ready.who("ngozi")
    steps.fill(house, ready, "ngozi", sheet)
    digest = signing.statement(house, ngozi, sheet_id=sheet).digest
    found = []
    for _ in range(7):
        with pytest.raises(RefusedError) as refused:
            signing.sign(
                house,
                ngozi,
                sheet_id=sheet,
                digest=digest,
                password="guess",
                outcome="competent",
            )
        found.append(refused.value.code)
    assert found == ["PEO-004"] * 5 + ["PEO-005"] * 2


def test_a_signature_is_never_overwritten(house: House, ready: Crew, time: Time) -> None:
    steps.observed(house, ready, "ngozi", "delphine", "C04")
    time.on(hours=1)
    with pytest.raises(StateError, match=r"signed by Ngozi on 2031-03-03 08:00: competent"):
        steps.sign(house, ready, "ngozi", 1)
    with pytest.raises(RefusedError, match="Only Ngozi"):
        steps.sign(house, ready, "edda", 1)
    for statement in ("update signature set outcome = 'x'", "delete from signature"):
        with pytest.raises(DatabaseError, match="records are kept"):
            house.database.write(lambda session, s=statement: session.execute(text(s)))  # type: ignore[misc]


def test_two_observers_on_two_jobs(house: House, ready: Crew, time: Time) -> None:
    first = steps.observed(house, ready, "ngozi", "delphine", "C01", machine="N-01")
    assert first.state == "first observation done"
    with pytest.raises(RefusedError, match="You signed the first observation"):
        steps.begin(house, ready, "ngozi", "delphine", "C01", machine="N-02")
    with pytest.raises(RefusedError, match="was on this job"):
        steps.begin(house, ready, "edda", "delphine", "C01", machine="n-01")
    time.on(days=1)
    sheet = steps.begin(house, ready, "edda", "delphine", "C01", machine="N-01")  # another day
    assert observing.sheet(house, ready.who("edda"), sheet_id=sheet).which == "second of 2"
    steps.fill(house, ready, "edda", sheet)
    second = steps.sign(house, ready, "edda", sheet)
    assert second.sentence == "Signed off on 2031-03-04, in date to 2032-03-04."
    time.on(days=200)
    sheet = steps.begin(house, ready, "ngozi", "delphine", "C01")
    assert observing.sheet(house, ready.who("ngozi"), sheet_id=sheet).which == "re-check"


def test_two_supervisors_sign_two_sheets_at_once(house: House, ready: Crew) -> None:
    """Both saw a first observation; together they make the sign-off, whoever writes first."""
    one = steps.begin(house, ready, "ngozi", "delphine", "C01", machine="N-01")
    two = steps.begin(house, ready, "edda", "delphine", "C01", machine="N-02")
    said = {}
    for name, sheet in (("ngozi", one), ("edda", two)):
        steps.fill(house, ready, name, sheet)
        said[name] = signing.statement(house, ready.who(name), sheet_id=sheet)
    actors, meet = {name: ready.who(name) for name in said}, Barrier(2)

    def call(name: str) -> str:
        meet.wait(10)
        return signing.sign(
            house,
            actors[name],
            sheet_id=said[name].sheet_id,
            digest=said[name].digest,
            password=PASSWORD.format(name),
            outcome="competent",
        ).state

    with ThreadPoolExecutor(2) as pool:
        waiting = [pool.submit(copy_context().run, call, name) for name in said]
        found = sorted(_result(one) for one in waiting)
    # Where one was whole before the other looked, the other is told that its statement changed.
    if found[0].startswith("Sheet"):
        assert "has changed" in found[0]
        assert found[1] == "first observation done"
        name = (
            "ngozi"
            if observing.sheet(house, ready.who("ngozi"), sheet_id=one).state == "open"
            else "edda"
        )
        assert steps.sign(house, ready, name, said[name].sheet_id).state == "competent"
    else:
        assert found == ["competent", "first observation done"]
    assert line(house, ready, "C01").startswith("C Signed off on 2031-03-03")
    with house.database.reading() as session:
        rows = session.scalars(select(Signature)).all()
        assert sorted(row.is_sign_off for row in rows) == [False, True]


def test_signing_once_from_many_windows(house: House, ready: Crew) -> None:
    sheet, ngozi = steps.begin(house, ready, "ngozi", "delphine", "C04"), ready.who("ngozi")
    steps.fill(house, ready, "ngozi", sheet)
    said = signing.statement(house, ngozi, sheet_id=sheet)
    lately = replace(ngozi, confirmed_at=clock.now())

    def call() -> str:
        return signing.sign(
            house, lately, sheet_id=sheet, digest=said.digest, password="", outcome="competent"
        ).state

    with ThreadPoolExecutor(8) as pool:
        waiting = [pool.submit(copy_context().run, call) for _ in range(16)]
        found = [_result(one) for one in waiting]
    assert found.count("competent") == 1
    assert all("was signed by Ngozi" in one for one in found if one != "competent")
    with house.database.reading() as session:
        assert session.scalar(select(func.count()).select_from(Signature)) == 1


def _result(waiting: object) -> str:
    try:
        return str(waiting.result(timeout=60))  # type: ignore[attr-defined]
    except TrainerError as error:
        return str(error)


def test_the_stop_wins_or_the_signature_never_both(house: House, ready: Crew) -> None:
    sheet, ngozi = steps.begin(house, ready, "ngozi", "delphine", "C04"), ready.who("ngozi")
    steps.fill(house, ready, "ngozi", sheet)
    said = signing.statement(house, ngozi, sheet_id=sheet)
    lately, meet = replace(ngozi, confirmed_at=clock.now()), Barrier(2)

    def sign() -> str:
        meet.wait(10)
        return signing.sign(
            house, lately, sheet_id=sheet, digest=said.digest, password="", outcome="competent"
        ).state

    def stop() -> str:
        meet.wait(10)
        observing.stop_for_safety(house, ngozi, sheet_id=sheet, what_happened="a cord was cut")
        return "stopped"

    with ThreadPoolExecutor(2) as pool:
        waiting = [pool.submit(copy_context().run, act) for act in (sign, stop)]
        found = {_result(one) for one in waiting}
    assert len(found & {"competent", "stopped"}) == 1


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ("left the team", "not in your team"),
        ("lost the office", "This is for a supervisor"),
        ("own competency restricted", "must be competent; yours is restricted"),
        ("person restricted", "C04 is restricted"),
    ],
)
def test_the_basis_must_still_hold_at_the_signature(
    house: House, ready: Crew, time: Time, change: str, words: str
) -> None:
    sheet = steps.begin(house, ready, "ngozi", "delphine", "C04")
    steps.fill(house, ready, "ngozi", sheet)
    digest = signing.statement(house, ready.who("ngozi"), sheet_id=sheet).digest
    time.on(minutes=1)
    piers, ngozi, delphine = ready.who("piers"), ready.ids["ngozi"], ready.ids["delphine"]
    if change == "left the team":
        people.set_team(
            house, piers, person_id=delphine, team_id=ready.teams["North Yard"], held=False
        )
    elif change == "lost the office":
        people.set_role(house, piers, person_id=ngozi, role="supervisor", held=False)
    else:
        whom = ngozi if change.startswith("own") else delphine
        observing.restrict(house, piers, person_id=whom, competency="C04", reason="incident")
    with pytest.raises(RefusedError, match=words):
        signing.sign(
            house,
            ready.who("ngozi"),
            sheet_id=sheet,
            digest=digest,
            password=PASSWORD.format("ngozi"),
            outcome="competent",
        )


def test_a_lapsed_observer_signs_nothing(house: House, ready: Crew, time: Time) -> None:
    time.on(days=366 * 2)
    with pytest.raises(RefusedError, match="must be competent; yours is lapsed"):
        steps.begin(house, ready, "ngozi", "delphine", "C04")


def test_the_folds_can_be_made_anew(house: House, ready: Crew, time: Time) -> None:
    steps.observed(house, ready, "ngozi", "delphine", "C01", machine="N-01")
    time.on(days=1)
    steps.observed(house, ready, "edda", "delphine", "C01", machine="N-02")
    steps.observed(house, ready, "ngozi", "delphine", "C04")

    def rows() -> list[tuple[object, ...]]:
        with house.database.reading() as session:
            table = StateCompetency.__table__
            return sorted(map(repr, session.execute(select(table)).all()))  # type: ignore[arg-type]

    before = rows()
    house.database.write(states.rebuild)
    assert rows() == before
