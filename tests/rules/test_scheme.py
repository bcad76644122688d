"""Certificates: eligibility, end, state on a day, number and check word."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.rules import scheme
from trainer.rules.competency import CompetencyState, State
from trainer.rules.scheme import Act, Deed

TODAY = date(2026, 3, 20)


def held(until: date, state: State = State.COMPETENT) -> CompetencyState:
    return CompetencyState(state, "Signed off.", until=until)


def test_eligible_when_the_whole_scope_is_held() -> None:
    states = {"C01": held(date(2026, 9, 30)), "C04": held(date(2028, 3, 13), State.DUE)}
    found = scheme.verdict(("C01", "C04"), states, TODAY, 24)
    assert found.is_eligible
    assert found.ends_on == date(2026, 9, 30)  # the first lapse comes before 2028-03-20
    found = scheme.verdict(("C04",), states, TODAY, 12)
    assert found.ends_on == date(2027, 3, 20)  # the own twelve months come before 2028-03-13


def test_not_eligible_says_what_is_missing() -> None:
    states = {
        "C01": CompetencyState(State.LAPSED, "Lapsed after 2026-03-01.", until=date(2026, 3, 1)),
        "C04": held(date(2028, 3, 13)),
    }
    found = scheme.verdict(("C01", "C04"), states, TODAY, 24)
    assert not found.is_eligible
    assert found.missing == ("C01 is lapsed. Lapsed after 2026-03-01.",)
    assert found.ends_on is None


def test_end_at_the_end_of_a_short_month() -> None:
    assert scheme.certificate_ends(date(2028, 2, 29), 12, []) == date(2029, 2, 28)


def acts(*rows: tuple[Deed, str]) -> list[Act]:
    return [Act(deed, datetime.fromisoformat(day).replace(tzinfo=UTC)) for deed, day in rows]


@pytest.mark.parametrize(
    ("story", "today", "state"),
    [
        (acts(("grant", "2026-01-01")), "2026-03-20", "valid"),
        (acts(("grant", "2026-01-01")), "2026-12-31", "valid"),  # the last day
        (acts(("grant", "2026-01-01")), "2027-01-01", "expired"),
        (acts(("grant", "2026-01-01"), ("suspend", "2026-02-01")), "2026-03-20", "suspended"),
        (acts(("grant", "2026-01-01"), ("suspend", "2026-02-01")), "2026-01-31", "valid"),
        (acts(("grant", "2026-01-01"), ("suspend", "2026-02-01")), "2027-03-20", "expired"),
        (
            acts(("grant", "2026-01-01"), ("suspend", "2026-02-01"), ("reinstate", "2026-02-09")),
            "2026-03-20",
            "valid",
        ),
        (
            acts(("reinstate", "2026-02-09"), ("suspend", "2026-02-01"), ("grant", "2026-01-01")),
            "2026-03-20",
            "valid",
        ),
        (acts(("grant", "2026-01-01"), ("withdraw", "2026-02-01")), "2026-03-20", "withdrawn"),
        (acts(("grant", "2026-01-01"), ("withdraw", "2026-02-01")), "2027-03-20", "withdrawn"),
        (acts(("grant", "2026-01-01"), ("supersede", "2026-02-01")), "2026-03-20", "superseded"),
        (
            acts(("grant", "2026-01-01"), ("supersede", "2026-02-01"), ("withdraw", "2026-03-01")),
            "2026-03-20",
            "withdrawn",
        ),
    ],
    ids=range(12),
)
def test_state_of_a_certificate(story: list[Act], today: str, state: str) -> None:
    found = scheme.certificate_state(story, date(2026, 12, 31), date.fromisoformat(today))
    assert found == state


def test_number_and_word_are_written_in_one_way() -> None:
    assert scheme.number_text(0) == "GM-0000-0000"
    assert scheme.number_text(99_999_999) == "GM-9999-9999"
    assert scheme.check_word(0) == "2222222222"
    assert scheme.check_word(31) == "2222222232"
    assert scheme.check_word(scheme.WORD_SPACE - 1) == "ZZZZZZZZZZ"
    assert not set("01ILO") & set(scheme.WORD_SIGNS)
    assert len(set(scheme.WORD_SIGNS)) == 31
    assert scheme.word_text("K7M2PQRSTU") == "K7M2P QRSTU"


@given(st.integers(0, scheme.WORD_SPACE - 1))
def test_a_word_survives_print_and_typing(drawn: int) -> None:
    word = scheme.check_word(drawn)
    assert len(word) == 10
    typed = scheme.word_text(word).lower().replace(" ", "-")
    assert scheme.word_as_typed(typed) == word
    place = {sign: number for number, sign in enumerate(scheme.WORD_SIGNS)}
    back = 0
    for sign in word:
        back = back * 31 + place[sign]
    assert back == drawn


def test_endless_typing_is_cut() -> None:
    assert len(scheme.word_as_typed("A" * 10_000)) == 64
