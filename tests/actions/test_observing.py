"""Requests, sheets, criteria, the stop for safety and restrictions."""

from __future__ import annotations

from datetime import date

import pytest
from sqlalchemy import func, select

from tests.actions import steps
from tests.actions.conftest import Time
from tests.actions.sample import Crew
from trainer.actions import observing, people, viewing
from trainer.actions.house import House
from trainer.errors import InputError, NotFoundError, RefusedError, StateError
from trainer.records.log_tables import RecordEntry
from trainer.records.observations import ObservationMark, ObservationRequest, ObservationSheet
from trainer.records.signoffs import Restriction


@pytest.fixture
def ready(house: House, crew: Crew) -> Crew:
    """Delphine is ready for C04, and Ngozi may observe it."""
    steps.recognised(house, crew, "ngozi", "C04", "C01")
    steps.learn(house, crew, "delphine", "M03")
    return crew


def letter(house: House, crew: Crew, name: str, competency: str) -> str:
    card = viewing.job_card(house, crew.who(name))
    lines = (*card.alone, *card.with_someone, *card.not_yet)
    return next(line.letter for line in lines if line.id == competency)


def test_asking_needs_the_theory(house: House, crew: Crew) -> None:
    with pytest.raises(RefusedError, match="C04 is not started"):
        observing.ask_to_be_observed(house, crew.who("delphine"), competency="C04")
    steps.work(house, crew, "delphine", "M03-E1")
    with pytest.raises(RefusedError, match="C04 is in training"):
        observing.ask_to_be_observed(house, crew.who("delphine"), competency="C04")
    with pytest.raises(NotFoundError, match="no competency C77"):
        observing.ask_to_be_observed(house, crew.who("delphine"), competency="C77")


def test_a_request_stands_once_and_can_be_withdrawn(house: House, ready: Crew) -> None:
    actor = ready.who("delphine")
    first = observing.ask_to_be_observed(house, actor, competency="C04")
    assert observing.ask_to_be_observed(house, actor, competency="C04") == first
    with pytest.raises(RefusedError, match="not yours"):
        observing.withdraw_request(house, ready.who("ngozi"), request=first)
    observing.withdraw_request(house, actor, request=first)
    with pytest.raises(NotFoundError):
        observing.withdraw_request(house, actor, request=first)
    assert observing.ask_to_be_observed(house, actor, competency="C04") != first


def test_a_sheet_answers_the_request(house: House, ready: Crew) -> None:
    observing.ask_to_be_observed(house, ready.who("delphine"), competency="C04")
    sheet = steps.begin(house, ready, "ngozi", "delphine", "C04")
    assert steps.begin(house, ready, "ngozi", "delphine", "C04", machine="N-02") == sheet
    with house.database.reading() as session:
        request = session.scalars(select(ObservationRequest)).one()
        assert request.sheet_id == sheet
        assert session.scalar(select(func.count()).select_from(ObservationSheet)) == 1
    view = observing.sheet(house, ready.who("ngozi"), sheet_id=sheet)
    assert (view.machine, view.which, view.state, view.may_sign) == (
        "N-01",
        "observation",
        "open",
        "",
    )
    assert view.person_role == "trainee, week 1"
    assert view.still_to_see == ("C04.1", "C04.2")
    assert view.open_until == date(2031, 4, 2)


@pytest.mark.parametrize(
    ("observer", "person", "words"),
    [
        ("ngozi", "ngozi", "own record"),
        ("delphine", "ngozi", "supervisor"),
        ("rasmus", "delphine", "not in your team"),
        ("edda", "delphine", "must be competent; yours is not started"),
    ],
)
def test_who_may_not_open_a_sheet(
    house: House, ready: Crew, observer: str, person: str, words: str
) -> None:
    ready.come("rasmus", "supervisor", team="Harbour Shed")
    ready.come("edda", "supervisor", team="North Yard")
    steps.recognised(house, ready, "rasmus", "C04")
    with pytest.raises(RefusedError, match=words):
        steps.begin(house, ready, observer, person, "C04")


def test_no_sheet_without_theory_place_or_person(house: House, ready: Crew) -> None:
    with pytest.raises(RefusedError, match="C01 is not started"):
        steps.begin(house, ready, "ngozi", "delphine", "C01")
    with pytest.raises(InputError, match="machine"):
        steps.begin(house, ready, "ngozi", "delphine", "C04", machine=" ")
    with pytest.raises(NotFoundError, match="no person 99"):
        observing.open_observation(
            house,
            ready.who("ngozi"),
            person_id=99,
            competency="C04",
            machine="N-01",
            site="Bench",
        )


def test_the_last_mark_of_a_criterion_holds(house: House, ready: Crew, time: Time) -> None:
    sheet, ngozi = steps.begin(house, ready, "ngozi", "delphine", "C04"), ready.who("ngozi")

    def tick(value: observing.CriterionValue, note: str = "") -> object:
        return observing.tick(
            house, ngozi, sheet_id=sheet, criterion="C04.1", value=value, note=note
        )

    first = tick("not seen")
    time.on(minutes=1)
    assert tick("not seen") == first  # the same again changes nothing
    assert tick("done", " with the page open ") == time.now
    row = observing.sheet(house, ngozi, sheet_id=sheet).criteria[0]
    assert (row.value, row.note, row.at) == ("done", "with the page open", time.now)
    with house.database.reading() as session:
        seqs = session.scalars(select(ObservationMark.seq).order_by(ObservationMark.id)).all()
    assert seqs == [1, 2]
    with pytest.raises(InputError, match="done, not done or not seen"):
        tick("all done")  # type: ignore[arg-type]
    with pytest.raises(NotFoundError, match=r"no criterion C04\.9"):
        observing.tick(house, ngozi, sheet_id=sheet, criterion="C04.9", value="done")


def test_only_the_observer_fills_the_sheet(house: House, ready: Crew) -> None:
    sheet = steps.begin(house, ready, "ngozi", "delphine", "C04")
    ready.come("edda", "supervisor", team="North Yard")
    for who in ("edda", "delphine", "piers"):
        with pytest.raises(RefusedError, match="Only Ngozi"):
            observing.tick(house, ready.who(who), sheet_id=sheet, criterion="C04.1", value="done")
        with pytest.raises(RefusedError, match="Only Ngozi"):
            observing.stop_for_safety(
                house, ready.who(who), sheet_id=sheet, what_happened="nothing"
            )
    assert "Only Ngozi" in observing.sheet(house, ready.who("edda"), sheet_id=sheet).may_sign
    assert observing.sheet(house, ready.who("delphine"), sheet_id=sheet).may_sign
    ready.come("rasmus", "supervisor", team="Harbour Shed")
    with pytest.raises(RefusedError, match="not yours"):
        observing.sheet(house, ready.who("rasmus"), sheet_id=sheet)
    with pytest.raises(NotFoundError):
        observing.sheet(house, ready.who("ngozi"), sheet_id=77)
    with pytest.raises(NotFoundError):
        observing.tick(house, ready.who("ngozi"), sheet_id=77, criterion="C04.1", value="done")


def test_a_sheet_is_over_after_thirty_days(house: House, ready: Crew, time: Time) -> None:
    sheet, ngozi = steps.begin(house, ready, "ngozi", "delphine", "C04"), ready.who("ngozi")
    time.on(days=30)
    observing.tick(house, ngozi, sheet_id=sheet, criterion="C04.1", value="done")
    time.on(days=1)
    with pytest.raises(StateError, match="was open to 2031-04-02"):
        observing.tick(house, ngozi, sheet_id=sheet, criterion="C04.2", value="done")


def test_the_stop_for_safety_restricts_at_once(house: House, ready: Crew, time: Time) -> None:
    sheet, ngozi = steps.begin(house, ready, "ngozi", "delphine", "C04"), ready.who("ngozi")
    with pytest.raises(InputError, match="What happened"):
        observing.stop_for_safety(house, ngozi, sheet_id=sheet, what_happened="  ")
    observing.stop_for_safety(
        house, ngozi, sheet_id=sheet, what_happened="Reached in while the burrs turned."
    )
    view = observing.sheet(house, ready.who("delphine"), sheet_id=sheet)
    assert (view.state, view.note) == (
        "stopped for safety",
        "Reached in while the burrs turned.",
    )
    assert letter(house, ready, "delphine", "C04") == "X"
    lines = viewing.job_card(house, ready.who("delphine")).not_yet
    sentence = next(line.sentence for line in lines if line.id == "C04")
    assert sentence == "Restricted since 2031-03-03: Reached in while the burrs turned."
    with pytest.raises(StateError, match="is stopped for safety"):
        observing.stop_for_safety(house, ngozi, sheet_id=sheet, what_happened="again")
    with pytest.raises(StateError):
        observing.tick(house, ngozi, sheet_id=sheet, criterion="C04.1", value="done")
    with house.database.reading() as session:
        kinds = session.scalars(select(RecordEntry.kind).order_by(RecordEntry.index)).all()
        restriction = session.scalars(select(Restriction.id)).one()
    assert kinds[-2:] == ["safety stop", "restriction"]
    with pytest.raises(RefusedError, match="set a restriction"):
        observing.release(house, ngozi, restriction=restriction, reason="enough")
    ready.come("edda", "supervisor", team="North Yard")
    observing.release(house, ready.who("edda"), restriction=restriction, reason="taught again")
    assert letter(house, ready, "delphine", "C04") == "N"
    with pytest.raises(StateError, match="released on"):
        observing.release(house, ready.who("edda"), restriction=restriction, reason="again")
    with pytest.raises(RefusedError, match="C04 is not yet competent"):
        observing.ask_to_be_observed(house, ready.who("delphine"), competency="C04")
    time.on(days=3)
    observing.ask_to_be_observed(house, ready.who("delphine"), competency="C04")


def test_restricting_after_an_incident(house: House, ready: Crew, time: Time) -> None:
    steps.observed(house, ready, "ngozi", "delphine", "C04")
    assert letter(house, ready, "delphine", "C04") == "C"
    given = {"person_id": ready.ids["delphine"], "competency": "C04"}
    restriction = observing.restrict(
        house,
        ready.who("ngozi"),
        reason="counter reset without a note",
        grinder_type="QT-64",
        until=date(2031, 3, 10),
        **given,  # type: ignore[arg-type]
    )
    assert letter(house, ready, "delphine", "C04") == "X"
    time.on(days=8)
    assert letter(house, ready, "delphine", "C04") == "C"
    with pytest.raises(InputError, match="has passed"):
        observing.restrict(
            house,
            ready.who("ngozi"),
            reason="x",
            until=date(2031, 3, 10),
            **given,  # type: ignore[arg-type]
        )
    ready.come("rasmus", "supervisor", team="Harbour Shed")
    for who, words in (("rasmus", "not in your team"), ("delphine", "own record")):
        with pytest.raises(RefusedError, match=words):
            observing.restrict(house, ready.who(who), reason="x", **given)  # type: ignore[arg-type]
    with pytest.raises(NotFoundError, match="no restriction 99"):
        observing.release(house, ready.who("ngozi"), restriction=99, reason="x")
    assert restriction


def test_a_supervisor_who_lost_the_office_may_do_nothing(house: House, ready: Crew) -> None:
    people.set_role(
        house, ready.who("piers"), person_id=ready.ids["ngozi"], role="supervisor", held=False
    )
    with pytest.raises(RefusedError, match="This is for a supervisor"):
        steps.begin(house, ready, "ngozi", "delphine", "C04")
