"""Sheets: opened once, kept, closed once, never changed afterwards."""

from __future__ import annotations

import re
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from dataclasses import replace
from decimal import Decimal

import pytest
from sqlalchemy import func, select, update

from tests.actions import sample
from tests.actions.conftest import Time
from tests.actions.sample import Crew
from trainer.actions import working
from trainer.actions.house import House
from trainer.actions.sheets import plain_answers
from trainer.actions.working import Marked, MarkedSheet, OpenSheet, VoidSheet
from trainer.engine.marking import Asking
from trainer.errors import InputError, NotFoundError, RefusedError, StateError
from trainer.records.attempts import Attempt, CautionSeen, LessonRead
from trainer.records.attempts import Marked as MarkedRow
from trainer.records.state_tables import StateExercise


def opened(house: House, crew: Crew, exercise: str = "M03-E1") -> OpenSheet:
    actor = crew.who("delphine")
    attempt = working.open_sheet(house, actor, exercise=exercise)
    found = working.sheet_of(house, actor, attempt=attempt)
    assert isinstance(found, OpenSheet)
    return found


def right(found: OpenSheet) -> str:
    """The rate by the trainee's own arithmetic, from the printed rows."""
    given = {row.symbol: Decimal(row.value.split()[0]) for row in found.shown.givens}
    return f"{given['a'] / given['d']:.6g}"


def close(house: House, crew: Crew, found: OpenSheet, answers: dict[str, str]) -> Marked | Asking:
    return working.close_and_mark(
        house,
        crew.who("delphine"),
        attempt=found.head.attempt_id,
        token=found.token,
        answers=answers,
        notes="18 over 3",
    )


def test_one_open_sheet_whatever_is_pressed(house: House, crew: Crew) -> None:
    actor = crew.who("delphine")
    first = working.open_sheet(house, actor, exercise="M03-E1")
    assert working.open_sheet(house, actor, exercise="M03-E1") == first
    assert working.new_numbers(house, actor, exercise="M03-E1") == first
    other = working.open_sheet(house, actor, exercise="M03-E2")
    assert other != first


def test_an_open_sheet_holds_its_numbers_and_hides_the_rest(house: House, crew: Crew) -> None:
    found = opened(house, crew)
    again = working.sheet_of(house, crew.who("delphine"), attempt=found.head.attempt_id)
    assert isinstance(again, OpenSheet)
    assert again.shown == found.shown
    assert again.token != found.token
    assert found.head.draw_number == 1
    assert found.head.lesson == "M03-L1"
    text = repr(found)
    printed = {given.value for given in found.shown.givens}  # a rate may equal the days by chance
    numbers = set(re.findall(r"(?<![\w.-])\d+(?:\.\d+)?(?![\w.-])", text)) - printed
    answer = right(found)[:6]
    assert not {number for number in numbers if number[:6] == answer}
    with house.database.reading() as session:
        key, token = session.execute(select(Attempt.draw_key, Attempt.open_token)).one()
    assert key.hex() not in text
    assert token not in text


def test_two_people_get_other_numbers_and_the_secret_decides(house: House, crew: Crew) -> None:
    first = opened(house, crew)
    crew.come("samira", "trainee", team="North Yard")
    attempt = working.open_sheet(house, crew.who("samira"), exercise="M03-E1")
    second = working.sheet_of(house, crew.who("samira"), attempt=attempt)
    assert isinstance(second, OpenSheet)
    assert second.shown.givens != first.shown.givens
    with house.database.reading() as session:
        keys = session.scalars(select(Attempt.draw_key)).all()
    assert len(set(keys)) == 2
    assert {len(key) for key in keys} == {32}


def test_kept_answers_are_there_again(house: House, crew: Crew, time: Time) -> None:
    found = opened(house, crew)
    time.on(minutes=5)
    at = working.keep(
        house,
        crew.who("delphine"),
        attempt=found.head.attempt_id,
        answers={"r": "12\x00 3", "is_admin": "1", "r-unit": "dose/day", "pick": "  "},
        notes="first\ntry",
    )
    again = working.sheet_of(house, crew.who("delphine"), attempt=found.head.attempt_id)
    assert isinstance(again, OpenSheet)
    assert again.answers == {"r": "12 3", "r-unit": "dose/day"}
    assert again.notes == "first\ntry"
    assert again.saved_at == at == time.now


def test_only_the_owner_keeps_and_closes(house: House, crew: Crew) -> None:
    found = opened(house, crew)
    for act in (
        lambda: working.keep(
            house, crew.who("ngozi"), attempt=found.head.attempt_id, answers={}, notes=""
        ),
        lambda: working.close_and_mark(
            house,
            crew.who("ngozi"),
            attempt=found.head.attempt_id,
            token=found.token,
            answers={"r": right(found)},
        ),
    ):
        with pytest.raises(RefusedError, match="not yours"):
            act()
    supervisors_view = working.sheet_of(house, crew.who("ngozi"), attempt=found.head.attempt_id)
    assert isinstance(supervisors_view, OpenSheet)
    assert supervisors_view.token == ""
    crew.come("rasmus", "supervisor", team="Harbour Shed")
    with pytest.raises(RefusedError):
        working.sheet_of(house, crew.who("rasmus"), attempt=found.head.attempt_id)


def test_closed_marked_and_folded(house: House, crew: Crew, time: Time) -> None:
    found = opened(house, crew)
    result = close(house, crew, found, {"r": right(found)})
    assert isinstance(result, Marked)
    assert (result.marking.mark, result.marking.marks, result.again) == (1, 1, False)
    shown = working.sheet_of(house, crew.who("delphine"), attempt=result.attempt_id)
    assert isinstance(shown, MarkedSheet)
    assert shown.marking == result.marking
    assert shown.shown == found.shown
    assert shown.answers == {"r": right(found)}
    assert shown.notes == "18 over 3"
    assert shown.closed_at == time.now
    assert len(shown.digest) == 64
    with house.database.reading() as session:
        fold = session.get_one(StateExercise, (crew.ids["delphine"], "M03-E1"))
        assert (fold.attempts, fold.best_mark, fold.done_number) == (1, 1, 1)


def test_a_named_slip_is_named_and_new_numbers_follow(house: House, crew: Crew) -> None:
    found = opened(house, crew)
    given = {row.symbol: Decimal(row.value.split()[0]) for row in found.shown.givens}
    result = close(house, crew, found, {"r": f"{given['a'] / (given['d'] + 1):.6g}"})
    assert isinstance(result, Marked)
    assert result.marking.finds[0].slip == "both end days counted"
    second = opened(house, crew)
    assert second.head.attempt_id != found.head.attempt_id
    assert second.head.draw_number == 2
    assert second.shown.givens != found.shown.givens


def test_asking_uses_nothing_up(house: House, crew: Crew) -> None:
    found = opened(house, crew)
    for typed in ("twelve or so", "1e12"):
        result = close(house, crew, found, {"r": typed})
        assert isinstance(result, Asking)
        assert set(result.problems) == {"r"}
    again = working.sheet_of(house, crew.who("delphine"), attempt=found.head.attempt_id)
    assert isinstance(again, OpenSheet)
    with house.database.reading() as session:
        assert session.scalar(select(func.count()).select_from(MarkedRow)) == 0


def test_the_same_call_again_gives_the_first_result(house: House, crew: Crew, time: Time) -> None:
    found = opened(house, crew)
    answers = {"r": right(found)}
    first = close(house, crew, found, answers)
    time.on(hours=1)
    second = close(house, crew, found, answers)
    assert isinstance(first, Marked)
    assert second == replace(first, again=True)


def test_nothing_changes_after_closing(house: House, crew: Crew) -> None:
    found = opened(house, crew)
    close(house, crew, found, {"r": right(found)})
    with pytest.raises(StateError, match="closed and marked before") as refused:
        close(house, crew, found, {"r": "20"})
    assert refused.value.status == 409
    with pytest.raises(StateError, match="closed and marked before"):
        working.keep(
            house,
            crew.who("delphine"),
            attempt=found.head.attempt_id,
            answers={"r": "1"},
            notes="",
        )
    with house.database.reading() as session:
        row = session.get_one(MarkedRow, found.head.attempt_id)
        assert row.answers == {"r": right(found)}


@pytest.mark.parametrize("token", ["", "x" * 19, "x" * 129])
def test_a_damaged_form_is_refused(house: House, crew: Crew, token: str) -> None:
    found = opened(house, crew)
    with pytest.raises(InputError, match="damaged"):
        close(house, crew, replace(found, token=token), {"r": right(found)})


def test_a_token_closes_one_sheet_only(house: House, crew: Crew) -> None:
    found = opened(house, crew)
    close(house, crew, found, {"r": right(found)})
    other = opened(house, crew)
    with pytest.raises(InputError, match="damaged"):
        close(house, crew, replace(other, token=found.token), {"r": right(other)})


def test_fifty_at_once_close_once(house: House, crew: Crew) -> None:
    """Fifty identical calls: one row, fifty equal answers."""
    found, actor = opened(house, crew), crew.who("delphine")
    answers = {"r": right(found)}

    def call() -> Marked | Asking:
        return working.close_and_mark(
            house, actor, attempt=found.head.attempt_id, token=found.token, answers=answers
        )

    with ThreadPoolExecutor(12) as pool:
        waiting = [pool.submit(copy_context().run, call) for _ in range(50)]
        results = [one.result(timeout=60) for one in waiting]
    assert all(isinstance(one, Marked) for one in results)
    assert len({repr(one.marking) for one in results if isinstance(one, Marked)}) == 1
    counts = Counter(one.again for one in results if isinstance(one, Marked))
    assert counts == {False: 1, True: 49}
    with house.database.reading() as session:
        assert session.scalar(select(func.count()).select_from(MarkedRow)) == 1
        fold = session.get_one(StateExercise, (crew.ids["delphine"], "M03-E1"))
        assert fold.attempts == 1


def test_ten_windows_open_one_sheet(house: House, crew: Crew) -> None:
    actor = crew.who("delphine")

    def call() -> int:
        return working.open_sheet(house, actor, exercise="M03-E1")

    with ThreadPoolExecutor(10) as pool:
        waiting = [pool.submit(copy_context().run, call) for _ in range(10)]
        assert len({one.result(timeout=60) for one in waiting}) == 1


def test_an_open_sheet_keeps_its_edition(house: House, crew: Crew, time: Time) -> None:
    found = opened(house, crew)
    time.on(days=1)
    sample.put(
        house, sample.module_m03(sample.RATE.replace("Doses per day", "Doses a day"), "second")
    )
    again = working.sheet_of(house, crew.who("delphine"), attempt=found.head.attempt_id)
    assert isinstance(again, OpenSheet)
    assert again.head.title == "Doses per day"
    assert again.head.edition_number == 1
    result = close(house, crew, found, {"r": right(found)})
    assert isinstance(result, Marked)
    assert result.marking.mark == 1
    fresh = opened(house, crew)
    assert (fresh.head.title, fresh.head.edition_number) == ("Doses a day", 2)


def test_a_void_sheet_takes_nothing(house: House, crew: Crew) -> None:
    found = opened(house, crew)
    house.database.write(lambda session: session.execute(update(Attempt).values(state="void")))
    with pytest.raises(StateError, match="ended without a mark"):
        close(house, crew, found, {"r": right(found)})
    with pytest.raises(StateError, match="ended without a mark"):
        working.keep(
            house, crew.who("delphine"), attempt=found.head.attempt_id, answers={}, notes=""
        )
    shown = working.sheet_of(house, crew.who("delphine"), attempt=found.head.attempt_id)
    assert isinstance(shown, VoidSheet)
    assert shown.reason == "It was ended without a mark."


def test_what_is_not_there_is_said(house: House, crew: Crew) -> None:
    actor = crew.who("delphine")
    with pytest.raises(NotFoundError, match="no exercise M09-E1"):
        working.open_sheet(house, actor, exercise="M09-E1")
    with pytest.raises(NotFoundError, match="no calculation sheet 77"):
        working.sheet_of(house, actor, attempt=77)
    with pytest.raises(NotFoundError, match="no calculation sheet 77"):
        working.keep(house, actor, attempt=77, answers={}, notes="")
    with pytest.raises(NotFoundError, match="no lesson M03-L9"):
        working.sign_as_read(house, actor, lesson="M03-L9")
    with pytest.raises(NotFoundError, match="no caution H06"):
        working.acknowledge(house, actor, lesson="M03-L1", caution="H06")


def test_people_who_only_look_open_nothing(house: House, crew: Crew) -> None:
    auditor = crew.come("auberon", "auditor")
    for act in (
        lambda: working.open_sheet(house, auditor, exercise="M03-E1"),
        lambda: working.sign_as_read(house, auditor, lesson="M03-L1"),
        lambda: working.acknowledge(house, auditor, lesson="M01-L1", caution="H06"),
    ):
        with pytest.raises(RefusedError):
            act()


def test_reading_and_acknowledging_twice_is_once(house: House, crew: Crew, time: Time) -> None:
    actor = crew.who("delphine")
    for _ in range(2):
        working.sign_as_read(house, actor, lesson="M01-L1")
        working.acknowledge(house, actor, lesson="M01-L1", caution="H06")
        time.on(hours=1)
    with house.database.reading() as session:
        assert [row.at for row in session.scalars(select(LessonRead))] == [sample.MONDAY]
        assert [row.at for row in session.scalars(select(CautionSeen))] == [sample.MONDAY]


def test_the_page_of_an_exercise_tells_its_story(house: House, crew: Crew) -> None:
    actor = crew.who("delphine")

    def state() -> tuple[str, bool, int | None, int]:
        page = working.exercise_page(house, actor, exercise="M03-E1")
        return page.state, page.done, page.open_attempt, page.attempts

    assert state() == ("Not worked yet.", False, None, 0)
    found = opened(house, crew)
    assert state()[0] == "A sheet is open; its numbers wait for you."
    assert state()[2] == found.head.attempt_id
    close(house, crew, found, {"r": "20"})
    assert state() == ("Last time: outside. Best mark 0 of 1.", False, None, 1)
    found = opened(house, crew)
    close(house, crew, found, {"r": right(found)})
    assert state() == ("Inside on your own numbers. Best mark 1 of 1.", True, None, 2)


def test_only_the_cells_of_the_exercise_are_taken() -> None:
    found = sample.exercise(sample.RATE)
    typed = {
        "r": " 5 ",
        "r-unit": "dose/day",
        "r-sure": "yes",
        "score": "9",
        "order": "",
        "pick": "A",
    }
    assert plain_answers(found, typed) == {
        "r": " 5 ",
        "r-unit": "dose/day",
        "r-sure": "yes",
        "pick": "A",
    }
    assert plain_answers(found, {"r": "9" * 5000}) == {"r": "9" * 200}
    assert plain_answers(found, {"r": "\ud800\x1b5"}) == {"r": "5"}
