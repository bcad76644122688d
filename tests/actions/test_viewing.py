"""What pages read: right, few statements, and nothing of others."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from tests.actions import sample, steps
from tests.actions.conftest import Time, counting
from tests.actions.sample import Crew
from trainer.actions import certifying, observing, people, viewing, working
from trainer.actions.careful_answers import careful_answers
from trainer.actions.house import House
from trainer.actions.viewing.restrictions import restrictions
from trainer.errors import NotFoundError, RefusedError
from trainer.library.catalogue import Scheme


@pytest.fixture
def ready(house: House, crew: Crew) -> Crew:
    """Two teams; Ngozi may observe; Delphine has learnt M03."""
    crew.come("rasmus", "supervisor", team="Harbour Shed")
    crew.come("samira", "trainee", team="Harbour Shed")
    crew.come("auberon", "auditor")
    crew.come("ottoline", "trainer")
    steps.recognised(house, crew, "ngozi", "C04")
    steps.learn(house, crew, "delphine", "M03")
    return crew


def test_an_empty_card_says_where_to_begin(house: House, crew: Crew) -> None:
    card = viewing.job_card(house, crew.who("delphine"))
    assert (card.number, card.name, card.role_line) == (
        "P-0002",
        "Delphine Tester",
        "trainee, week 1",
    )
    assert (card.teams, card.as_on, card.scheme_number) == (
        ("North Yard",),
        date(2031, 3, 3),
        1,
    )
    assert [line.id for line in card.not_yet] == ["C01", "C04"]
    assert (card.alone, card.with_someone, card.last_slip, card.open_sheets) == ((), (), None, ())
    assert [(act.kind, act.target, act.button) for act in card.next] == [
        ("read", "M01-L1", "open"),
        ("work", "M01-E1", "open"),
    ]
    assert card.not_yet[1].missing == ("Module M03 Usage counters: 4 to do.",)


def test_what_comes_next_follows_the_work(house: House, crew: Crew, time: Time) -> None:
    delphine = crew.who("delphine")
    attempt = working.open_sheet(house, delphine, exercise="M03-E1")
    card = viewing.job_card(house, delphine)
    assert card.open_sheets == ((attempt, "M03-E1", "Doses per day"),)
    assert [line.id for line in card.with_someone] == ["C04"]
    assert {line.letter for line in card.with_someone} == {"T"}
    found = working.sheet_of(house, delphine, attempt=attempt)
    assert isinstance(found, working.OpenSheet)
    given = {row.symbol: float(row.value.split()[0]) for row in found.shown.givens}
    slip = f"{given['a'] / (given['d'] + 1):.6g}"
    working.close_and_mark(house, delphine, attempt=attempt, token=found.token, answers={"r": slip})
    card = viewing.job_card(house, delphine)
    assert card.last_slip is not None
    assert (card.last_slip.name, card.last_slip.attempt_id, card.last_slip.lesson) == (
        "both end days counted",
        attempt,
        "M03-L1",
    )
    work = next(act for act in card.next if act.target == "M03-E1")
    assert (work.button, work.detail) == (
        "new numbers",
        "last time named slip: both end days counted",
    )
    steps.learn(house, crew, "delphine", "M03")
    acts = [(act.kind, act.target) for act in viewing.job_card(house, delphine).next]
    assert acts[0] == ("ask", "C04")
    observing.ask_to_be_observed(house, delphine, competency="C04")
    card = viewing.job_card(house, delphine)
    line = next(line for line in card.with_someone if line.id == "C04")
    assert (line.letter, line.may_ask) == ("R", False)
    assert line.request_id is not None
    assert ("ask", "C04") not in [(act.kind, act.target) for act in card.next]


def test_a_whole_scope_offers_the_certificate(house: House, ready: Crew) -> None:
    steps.observed(house, ready, "ngozi", "delphine", "C04")
    card = viewing.job_card(house, ready.who("delphine"))
    assert (card.next[0].kind, card.next[0].target) == ("apply", "counter-reading")
    assert [line.id for line in card.alone] == ["C04"]
    certifying.apply(house, ready.who("delphine"), certificate="counter-reading")
    assert card.next[0] not in viewing.job_card(house, ready.who("delphine")).next


def test_not_yet_comes_back(house: House, ready: Crew, time: Time) -> None:
    sheet = steps.begin(house, ready, "ngozi", "delphine", "C04")
    steps.fill(house, ready, "ngozi", sheet, c1="not done")
    steps.sign(house, ready, "ngozi", sheet)
    back = viewing.job_card(house, ready.who("delphine")).back_to_you
    assert [(one.kind, one.target) for one in back] == [("not yet competent", "C04")]


@pytest.mark.parametrize(
    ("who", "whom", "sees"),
    [
        ("ngozi", "delphine", True),
        ("rasmus", "delphine", False),
        ("samira", "delphine", False),
        ("auberon", "delphine", True),
        ("ottoline", "samira", True),
        ("piers", "samira", True),
        ("delphine", "ngozi", False),
    ],
)
def test_whose_record_is_seen_by_whom(
    house: House, ready: Crew, who: str, whom: str, *, sees: bool
) -> None:
    actor, person = ready.who(who), ready.ids[whom]
    for view in (
        lambda: viewing.job_card(house, actor, person_id=person),
        lambda: viewing.programme(house, actor, person_id=person),
        lambda: viewing.person_card(house, actor, person_id=person),
        lambda: viewing.attempts(house, actor, person_id=person),
    ):
        if sees:
            view()
        else:
            with pytest.raises(RefusedError, match="not yours"):
                view()


def test_the_card_costs_four_statements(house: House, ready: Crew, time: Time) -> None:
    steps.observed(house, ready, "ngozi", "delphine", "C04")
    delphine = ready.who("delphine")
    viewing.job_card(house, delphine)
    with counting(house.database) as statements:
        viewing.job_card(house, delphine)
    assert len(statements) == 4
    token = people.sign_in(
        house,
        sign_in_name="delphine",
        password=sample.PASSWORD.format("delphine"),
        address=sample.ADDRESS,
    )
    assert isinstance(token, people.SignedIn)
    with counting(house.database) as statements:
        people.actor_of(house, token.token)
    assert len(statements) == 1


def test_the_matrix_costs_five_statements_whatever_its_size(
    house: House, ready: Crew, time: Time
) -> None:
    ngozi = ready.who("ngozi")
    viewing.matrix(house, ngozi)
    with counting(house.database) as few:
        viewing.matrix(house, ngozi)
    for number in range(12):
        ready.come(f"trainee{number:02}", "trainee", team="North Yard", password=False)
    steps.observed(house, ready, "ngozi", "delphine", "C04")
    with counting(house.database) as many:
        view = viewing.matrix(house, ngozi)
    assert len(few) == len(many) == 5
    assert len(view.rows) == 14


def test_the_matrix_shows_letters_and_cover(house: House, ready: Crew) -> None:
    steps.observed(house, ready, "ngozi", "delphine", "C04")
    view = viewing.matrix(house, ready.who("ngozi"))
    assert view.competencies == (
        ("C01", "isolate and prove dead", True, "M01"),
        ("C04", "read counters", False, "M03"),
    )
    assert view.teams == ((ready.teams["North Yard"], "North Yard"),)
    rows = {row.short_name: "".join(cell.letter for cell in row.cells) for row in view.rows}
    assert rows == {"Delphine": ".C", "Ngozi": ".C"}
    assert view.cover == (0, 2)
    everybody = viewing.matrix(house, ready.who("auberon"))
    assert {row.short_name for row in everybody.rows} == {"Delphine", "Ngozi", "Rasmus", "Samira"}
    harbour = viewing.matrix(house, ready.who("auberon"), team_id=ready.teams["Harbour Shed"])
    assert {row.short_name for row in harbour.rows} == {"Rasmus", "Samira"}
    assert harbour.title == "Harbour Shed"
    with pytest.raises(RefusedError, match="not yours"):
        viewing.matrix(house, ready.who("ngozi"), team_id=ready.teams["Harbour Shed"])
    with pytest.raises(RefusedError):
        viewing.matrix(house, ready.who("delphine"))


def test_a_closed_account_leaves_the_matrix(house: House, ready: Crew) -> None:
    people.disable(house, ready.who("piers"), person_id=ready.ids["delphine"], reason="has left")
    view = viewing.matrix(house, ready.who("ngozi"))
    assert [row.short_name for row in view.rows] == ["Ngozi"]


def test_the_observation_list_of_a_team(house: House, ready: Crew, time: Time) -> None:
    steps.learn(house, ready, "samira", "M03")
    for name in ("delphine", "samira"):
        observing.ask_to_be_observed(house, ready.who(name), competency="C04")
    found = viewing.observation_list(house, ready.who("ngozi"))
    assert [(row.person_name, row.state, row.which, row.refusal) for row in found.requests] == [
        ("Delphine", "asked", "observation", "")
    ]
    assert found.people == ((ready.ids["delphine"], "Delphine"),)
    harbour = viewing.observation_list(house, ready.who("rasmus"))
    assert [row.person_name for row in harbour.requests] == ["Samira"]
    assert "must be competent; yours is not started" in harbour.requests[0].refusal
    sheet = steps.begin(house, ready, "ngozi", "delphine", "C04")
    found = viewing.observation_list(house, ready.who("ngozi"))
    assert (found.requests, [row.sheet_id for row in found.open_sheets]) == ((), [sheet])
    steps.fill(house, ready, "ngozi", sheet)
    steps.sign(house, ready, "ngozi", sheet)
    found = viewing.observation_list(house, ready.who("ngozi"))
    assert [(row.sheet_id, row.state) for row in found.signed] == [(sheet, "signed")]
    own = viewing.observation_list(house, ready.who("delphine"))
    assert [row.sheet_id for row in own.signed] == [sheet]
    assert own.people == ()
    everybody = viewing.observation_list(house, ready.who("auberon"))
    assert len(everybody.signed) == len(everybody.requests) == 1


def test_the_observation_list_costs_the_same_for_many(house: House, ready: Crew) -> None:
    observing.ask_to_be_observed(house, ready.who("delphine"), competency="C04")
    ngozi = ready.who("ngozi")
    viewing.observation_list(house, ngozi)
    with counting(house.database) as few:
        viewing.observation_list(house, ngozi)
    for name in ("yui", "tomasz"):
        ready.come(name, "trainee", team="North Yard", password=False)
        steps.learn(house, ready, name, "M03")
        observing.ask_to_be_observed(house, ready.who(name), competency="C04")
    with counting(house.database) as many:
        viewing.observation_list(house, ngozi)
    assert len(few) == len(many) == 10


def test_the_programme_tells_module_by_module(house: House, ready: Crew) -> None:
    first, second = viewing.programme(house, ready.who("delphine"))
    assert (first.id, first.done, first.begun, first.needs_open) == ("M01", False, False, ())
    assert (second.id, second.done, second.begun) == ("M03", True, True)
    assert second.needs_open == ("M01",)
    assert [line.sentence for line in second.exercises] == ["inside on own numbers"] * 2
    assert first.lessons[0].cautions_open == 1
    assert first.missing == (
        "M01-L1 Why off is not dead is not signed as read.",
        "Caution H06 in M01-L1 is not acknowledged.",
        "M01-E1 Waiting for the burrs to stop was not inside yet.",
    )


def test_a_lesson_page_has_its_neighbours_and_cautions(
    house: House, ready: Crew, time: Time
) -> None:
    delphine = ready.who("delphine")
    page = viewing.lesson_page(house, delphine, lesson="M03-L2")
    assert (page.before, page.after) == (("M03-L1", "What a counter counts"), None)
    assert (page.edition_number, page.in_force_since) == (1, sample.MONDAY)
    assert page.read_at == time.now
    assert [line.id for line in page.exercises] == ["M03-E2"]
    page = viewing.lesson_page(house, delphine, lesson="M01-L1")
    assert [(caution.id, at) for caution, at in page.cautions] == [("H06", None)]
    assert page.read_at is None
    with pytest.raises(NotFoundError):
        viewing.lesson_page(house, delphine, lesson="M09-L1")


def test_figures_by_name_alone(house: House, crew: Crew) -> None:
    edition = house.in_force()["M03"]
    assert viewing.figure(house, edition_hash=edition, name="rates.svg") == b"<svg/>"
    for name in ("other.svg", "../../draw.key", ""):
        with pytest.raises(NotFoundError):
            viewing.figure(house, edition_hash=edition, name=name)


def test_the_list_of_sheets(house: House, ready: Crew) -> None:
    rows = viewing.attempts(house, ready.who("delphine"))
    assert [(row.exercise, row.outcome, row.mark, row.marks) for row in rows] == [
        ("M03-E2", "inside", 1, 1),
        ("M03-E1", "inside", 1, 1),
    ]
    only = viewing.attempts(house, ready.who("delphine"), exercise="M03-E1")
    assert [row.id for row in only] == [rows[1].id]


def test_the_people_page(house: House, ready: Crew) -> None:
    ready.come("late", "client contact", password=False)
    found = viewing.people_list(house, ready.who("piers"))
    row = next(one for one in found.people if one.short_name == "Delphine")
    assert (row.number, row.roles, row.teams) == (
        "P-0002",
        ("trainee",),
        ((ready.teams["North Yard"], "North Yard"),),
    )
    assert row.has_password
    assert not found.people[-1].has_password
    assert {team.name: team.people for team in found.teams} == {
        "North Yard": 2,
        "Harbour Shed": 2,
    }
    with pytest.raises(RefusedError):
        viewing.people_list(house, ready.who("ngozi"))
    with pytest.raises(NotFoundError):
        viewing.person_card(house, ready.who("piers"), person_id=99)
    with pytest.raises(RefusedError):
        viewing.editions(house, ready.who("delphine"))
    with pytest.raises(NotFoundError):
        viewing.edition_page(house, ready.who("ottoline"), edition_hash="0" * 64)


def test_looking_changes_nothing(house: House, ready: Crew, time: Time) -> None:
    """Every view runs in a reading session, which refuses to write."""
    piers, delphine, ngozi = ready.who("piers"), ready.who("delphine"), ready.who("ngozi")
    with counting(house.database) as statements:
        viewing.job_card(house, delphine)
        viewing.programme(house, delphine)
        viewing.lesson_page(house, delphine, lesson="M01-L1")
        viewing.matrix(house, ngozi)
        viewing.observation_list(house, ngozi)
        viewing.editions(house, piers)
        viewing.people_list(house, piers)
        working.exercise_page(house, delphine, exercise="M03-E1")
        certifying.desk(house, piers)
        certifying.certificates_of(house, delphine, person_id=delphine.person_id)
    words = {statement.lstrip("( \n").split(maxsplit=1)[0].upper() for statement in statements}
    assert words <= {"SELECT", "WITH", "SET"}


def test_a_competency_that_comes_first_is_waited_for(house: House, ready: Crew, time: Time) -> None:
    first = sample.scheme()
    isolate, read = first.competencies["C01"], first.competencies["C04"]
    later = {
        "C01": replace(isolate, needs=("C04",)),  # a circle makes nothing held
        "C04": replace(read, needs=("C01", "C99")),
        "C05": replace(read, id="C05", short="plan", modules=("M77",), needs=("C04",)),
    }
    sample.put(house, Scheme(later, {}, hash="b" * 64))
    card = viewing.job_card(house, ready.who("delphine"))
    lines = {line.id: line for line in (*card.with_someone, *card.not_yet)}
    assert (lines["C04"].letter, lines["C04"].missing) == (
        "T",
        ("C01 isolate and prove dead must be held first.", "C99 must be held first."),
    )
    assert "comes first is not held" in lines["C04"].sentence
    assert lines["C05"].missing == (
        "Module M77: 1 to do.",
        "C04 read counters must be held first.",
    )
    steps.recognised(house, ready, "delphine", "C01")
    card = viewing.job_card(house, ready.who("delphine"))
    line = next(one for one in card.with_someone if one.id == "C04")
    assert line.missing == ("C99 must be held first.",)


def test_what_stands_restricted_is_listed_for_its_release(
    house: House, ready: Crew, time: Time
) -> None:
    given = {"person_id": ready.ids["delphine"], "competency": "C04"}
    observing.restrict(
        house,
        ready.who("ngozi"),
        reason="an incident",
        until=date(2031, 3, 5),
        **given,  # type: ignore[arg-type]
    )
    lines = restrictions(house, ready.who("ngozi"), person_id=ready.ids["delphine"])
    assert [(one.competency, one.by, one.reason) for one in lines] == [
        ("C04", "Ngozi", "an incident")
    ]
    time.on(days=3)
    assert not restrictions(house, ready.who("ngozi"), person_id=ready.ids["delphine"])
    with pytest.raises(RefusedError):
        restrictions(house, ready.who("rasmus"), person_id=ready.ids["delphine"])


def test_no_page_can_ask_for_right_answers() -> None:
    web = Path(__file__).parent.parent.parent / "trainer" / "web"
    for file in web.rglob("*.py"):
        assert "careful_answers" not in file.read_text(encoding="utf-8"), file


def test_a_careful_person_answers_right(house: House, crew: Crew) -> None:
    delphine = crew.who("delphine")
    for exercise in ("M01-E1", "M03-E1", "M03-E2"):
        attempt = working.open_sheet(house, delphine, exercise=exercise)
        found = working.sheet_of(house, delphine, attempt=attempt)
        assert isinstance(found, working.OpenSheet)
        answers = careful_answers(house, attempt=attempt)
        result = working.close_and_mark(
            house, delphine, attempt=attempt, token=found.token, answers=answers
        )
        assert isinstance(result, working.Marked)
        assert result.marking.mark == result.marking.marks
