"""The ten states of a competency: every state, every move between them, as on any day."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.rules.competency import (
    LETTERS,
    STANDING,
    CompetencyFacts,
    Event,
    Need,
    Restriction,
    State,
    counted,
    is_recheck,
    is_sign_off,
    state_of,
)
from trainer.rules.progress import Missing, ModuleProgress

NOTICE = 30


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def day(text: str) -> date:
    return date.fromisoformat(text)


DONE = ModuleProgress("M03", "Usage counters", is_begun=True, missing=())
TODO = Missing("work", "M03-E1", "M03-E1 Doses per day was not inside yet.")
OPEN = ModuleProgress("M03", "Usage counters", is_begun=True, missing=(TODO, TODO))
UNTOUCHED = ModuleProgress("M03", "Usage counters", is_begun=False, missing=(TODO,))
HELD = Need("C01", "Isolate and prove dead", is_held=True)
NOT_HELD = Need("C01", "Isolate and prove dead", is_held=False)
ONE = CompetencyFacts("C04", months=24, modules=(DONE,), needs=(HELD,))
TWO = CompetencyFacts("C15", months=12, observers=2, modules=(DONE,), needs=(HELD,))


def signed(when: str, by: int = 1, job: str = "a", *, completes: bool = True) -> Event:
    return Event("competent", at(when), by, job, completes=completes)


def refused(when: str, kind: str = "not yet competent") -> Event:
    return Event(kind, at(when), 1, "r")  # type: ignore[arg-type]


# facts, day, state, until, words that must stand in the reason
TABLE: list[tuple[str, CompetencyFacts, str, State, str | None, str]] = [
    (
        "nothing done",
        replace(ONE, modules=(UNTOUCHED,)),
        "2026-03-20",
        State.NOT_STARTED,
        None,
        "Nothing",
    ),
    (
        "a first act in one of two modules",
        replace(ONE, modules=(UNTOUCHED, OPEN)),
        "2026-03-20",
        State.IN_TRAINING,
        None,
        "M03",
    ),
    (
        "theory met, first competency not held",
        replace(ONE, needs=(NOT_HELD,)),
        "2026-03-20",
        State.IN_TRAINING,
        None,
        "comes first is not held",
    ),
    (
        "theory met, prerequisites held",
        ONE,
        "2026-03-20",
        State.READY,
        None,
        "ready to observe",
    ),
    (
        "asked to be observed",
        replace(ONE, asked_at=at("2026-03-18")),
        "2026-03-20",
        State.READY,
        None,
        "2026-03-18",
    ),
    (
        "sheet open",
        replace(ONE, sheet_open_since=at("2026-03-19"), asked_at=at("2026-03-18")),
        "2026-03-20",
        State.READY,
        None,
        "sheet is open since 2026-03-19",
    ),
    (
        "a sheet or request of a later day is not known yet",
        replace(ONE, sheet_open_since=at("2026-03-21"), asked_at=at("2026-03-21")),
        "2026-03-20",
        State.READY,
        None,
        "Theory met: ready",
    ),
    (
        "a criterion not done",
        replace(ONE, events=(refused("2026-03-19"),)),
        "2026-03-20",
        State.NOT_YET,
        None,
        "not yet competent on 2026-03-19",
    ),
    (
        "stopped for safety, released at once",
        replace(ONE, events=(refused("2026-03-19", "stopped for safety"),)),
        "2026-03-20",
        State.NOT_YET,
        None,
        "stopped for safety on 2026-03-19",
    ),
    (
        "one of two",
        replace(TWO, events=(signed("2026-03-19", completes=False),)),
        "2026-03-20",
        State.FIRST_DONE,
        None,
        "First observation done on 2026-03-19, one more",
    ),
    (
        "one of three",
        replace(TWO, observers=3, events=(signed("2026-03-19", completes=False),)),
        "2026-03-20",
        State.FIRST_DONE,
        None,
        "2 more needed",
    ),
    (
        "same person twice is still one",
        replace(
            TWO,
            events=(
                signed("2026-03-18", 1, "a", completes=False),
                signed("2026-03-19", 1, "b", completes=False),
            ),
        ),
        "2026-03-20",
        State.FIRST_DONE,
        None,
        "2026-03-18",
    ),
    (
        "same job twice is still one",
        replace(
            TWO,
            events=(
                signed("2026-03-18", 1, "a", completes=False),
                signed("2026-03-19", 2, "a", completes=False),
            ),
        ),
        "2026-03-20",
        State.FIRST_DONE,
        None,
        "2026-03-18",
    ),
    (
        "signed off",
        replace(ONE, events=(signed("2026-03-13"),)),
        "2026-03-20",
        State.COMPETENT,
        "2028-03-13",
        "Signed off on 2026-03-13, in date to 2028-03-13",
    ),
    (
        "second of two signed",
        replace(
            TWO,
            events=(signed("2026-03-13", completes=False), signed("2026-03-20", 2, "b")),
        ),
        "2026-03-20",
        State.COMPETENT,
        "2027-03-20",
        "2026-03-20",
    ),
    (
        "recognised on earlier evidence for six months",
        replace(ONE, events=(Event("recognised", at("2026-03-13"), months=6),)),
        "2026-03-20",
        State.COMPETENT,
        "2026-09-13",
        "Recognised on earlier evidence",
    ),
    (
        "recognised for the competency's own months",
        replace(ONE, events=(Event("recognised", at("2026-03-13")),)),
        "2026-03-20",
        State.COMPETENT,
        "2028-03-13",
        "Recognised",
    ),
    (
        "31 days before the end",
        replace(ONE, events=(signed("2024-04-20"),)),
        "2026-03-20",
        State.COMPETENT,
        "2026-04-20",
        "in date",
    ),
    (
        "30 days before the end",
        replace(ONE, events=(signed("2024-04-20"),)),
        "2026-03-21",
        State.DUE,
        "2026-04-20",
        "due by 2026-04-20",
    ),
    (
        "the last day",
        replace(ONE, events=(signed("2024-03-20"),)),
        "2026-03-20",
        State.DUE,
        "2026-03-20",
        "due",
    ),
    (
        "the day after",
        replace(ONE, events=(signed("2024-03-19"),)),
        "2026-03-20",
        State.LAPSED,
        "2026-03-19",
        "lapsed after 2026-03-19",
    ),
    (
        "lapsed and observed once of two",
        replace(TWO, events=(signed("2024-01-10"), signed("2026-03-19", completes=False))),
        "2026-03-20",
        State.FIRST_DONE,
        None,
        "2026-03-19",
    ),
    (
        "lapsed, and the first new observation has aged out as well",
        replace(TWO, events=(signed("2022-01-10"), signed("2025-03-19", completes=False))),
        "2026-03-20",
        State.LAPSED,
        "2023-01-10",
        "lapsed after 2023-01-10",
    ),
    (
        "a first observation older than its validity counts no more",
        replace(TWO, events=(signed("2025-03-19", completes=False),)),
        "2026-03-20",
        State.READY,
        None,
        "ready",
    ),
    (
        "re-check renews",
        replace(ONE, events=(signed("2024-03-19"), signed("2026-03-01", 2, "b"))),
        "2026-03-20",
        State.COMPETENT,
        "2028-03-01",
        "2026-03-01",
    ),
    (
        "re-check failed while in date",
        replace(ONE, events=(signed("2025-03-19"), refused("2026-03-01"))),
        "2026-03-20",
        State.NOT_YET,
        None,
        "2026-03-01",
    ),
    (
        "signed off after not yet",
        replace(ONE, events=(refused("2026-03-01"), signed("2026-03-10"))),
        "2026-03-20",
        State.COMPETENT,
        "2028-03-10",
        "2026-03-10",
    ),
    (
        "first of two after not yet: the earlier first one is gone",
        replace(
            TWO,
            events=(
                signed("2026-02-01", 1, "a", completes=False),
                refused("2026-03-01"),
                signed("2026-03-10", 2, "b", completes=False),
            ),
        ),
        "2026-03-20",
        State.FIRST_DONE,
        None,
        "2026-03-10",
    ),
    (
        "events out of order are put in order",
        replace(ONE, events=(signed("2026-03-10"), refused("2026-03-01"))),
        "2026-03-20",
        State.COMPETENT,
        "2028-03-10",
        "2026-03-10",
    ),
    (
        "restricted until released",
        replace(
            ONE,
            events=(signed("2026-03-13"),),
            restrictions=(Restriction(at("2026-03-15"), "insulation tests after an incident"),),
        ),
        "2026-03-20",
        State.RESTRICTED,
        None,
        "Restricted since 2026-03-15: insulation tests",
    ),
    (
        "restricted for one grinder type to a day, no reason left",
        replace(
            ONE,
            events=(signed("2026-03-13"),),
            restrictions=(
                Restriction(at("2026-03-15"), "", until=day("2026-03-20"), grinder_type="QT-64"),
            ),
        ),
        "2026-03-20",
        State.RESTRICTED,
        "2026-03-20",
        "Restricted on QT-64 since 2026-03-15 to 2026-03-20.",
    ),
    (
        "of two restrictions the one on every grinder type is told",
        replace(
            ONE,
            restrictions=(
                Restriction(at("2026-03-14"), "one", grinder_type="QT-64"),
                Restriction(at("2026-03-15"), "all", until=day("2026-05-01")),
            ),
        ),
        "2026-03-20",
        State.RESTRICTED,
        "2026-05-01",
        "all",
    ),
    (
        "restriction over",
        replace(
            ONE,
            events=(signed("2026-03-13"),),
            restrictions=(Restriction(at("2026-03-15"), "x", until=day("2026-03-19")),),
        ),
        "2026-03-20",
        State.COMPETENT,
        "2028-03-13",
        "Signed off",
    ),
    (
        "restriction released the same day",
        replace(
            ONE,
            events=(signed("2026-03-13"),),
            restrictions=(
                Restriction(at("2026-03-15"), "x", released_at=at("2026-03-20T17:00:00")),
            ),
        ),
        "2026-03-20",
        State.COMPETENT,
        "2028-03-13",
        "Signed off",
    ),
    (
        "restriction not yet set",
        replace(
            ONE,
            events=(signed("2026-03-13"),),
            restrictions=(Restriction(at("2026-03-21"), "x"),),
        ),
        "2026-03-20",
        State.COMPETENT,
        "2028-03-13",
        "Signed off",
    ),
    (
        "withdrawn wins over everything",
        replace(
            ONE,
            events=(signed("2026-03-13"),),
            restrictions=(Restriction(at("2026-03-15"), "x"),),
            withdrawn_at=at("2026-03-18"),
            withdrawn_reason="signed for a friend",
        ),
        "2026-03-20",
        State.WITHDRAWN,
        None,
        "Withdrawn by the scheme on 2026-03-18: signed for a friend",
    ),
    (
        "withdrawn later than the day asked about",
        replace(ONE, events=(signed("2026-03-13"),), withdrawn_at=at("2026-03-21")),
        "2026-03-20",
        State.COMPETENT,
        "2028-03-13",
        "Signed off",
    ),
    (
        "new start: what was before counts no more",
        replace(
            ONE,
            events=(signed("2026-03-01"),),
            withdrawn_at=at("2026-03-10"),
            restarted_at=at("2026-03-15"),
        ),
        "2026-03-20",
        State.READY,
        None,
        "ready",
    ),
    (
        "a new start of a later day does not help yet",
        replace(
            ONE,
            events=(signed("2026-03-01"),),
            withdrawn_at=at("2026-03-10"),
            restarted_at=at("2026-03-21"),
        ),
        "2026-03-20",
        State.WITHDRAWN,
        None,
        "2026-03-10",
    ),
    (
        "as on a day before the withdrawal and the new start",
        replace(
            ONE,
            events=(signed("2026-03-01"),),
            withdrawn_at=at("2026-03-10"),
            restarted_at=at("2026-03-15"),
        ),
        "2026-03-09",
        State.COMPETENT,
        "2028-03-01",
        "Signed off",
    ),
    (
        "withdrawn again after a new start",
        replace(ONE, withdrawn_at=at("2026-03-10"), restarted_at=at("2026-03-05")),
        "2026-03-20",
        State.WITHDRAWN,
        None,
        "2026-03-10",
    ),
    (
        "a future sign-off does not count",
        replace(ONE, events=(signed("2026-03-21"),)),
        "2026-03-20",
        State.READY,
        None,
        "ready",
    ),
]


@pytest.mark.parametrize(
    ("facts", "today", "state", "until", "words"),
    [row[1:] for row in TABLE],
    ids=[row[0] for row in TABLE],
)
def test_decision_table(
    facts: CompetencyFacts, today: str, state: State, until: str | None, words: str
) -> None:
    found = state_of(facts, day(today), NOTICE)
    assert found.state is state
    assert found.until == (day(until) if until else None)
    assert words in found.reason
    assert found.letter == LETTERS[state]
    assert found.standing == STANDING[state]
    assert found.is_held == (state in {State.COMPETENT, State.DUE})
    assert bool(found.missing) == (state is not State.COMPETENT)


def test_the_table_reaches_every_state() -> None:
    assert {row[3] for row in TABLE} == set(State)
    assert len(set(LETTERS.values())) == 10
    assert "".join(LETTERS[state] for state in State) == ".TRN1CDLXW"
    assert set(STANDING) == set(State)


def test_what_is_missing_is_said() -> None:
    facts = replace(ONE, modules=(OPEN, DONE), needs=(NOT_HELD, HELD))
    assert state_of(facts, day("2026-03-20"), NOTICE).missing == (
        "Module M03 Usage counters: 2 to do.",
        "C01 Isolate and prove dead must be held first.",
    )
    after = state_of(replace(ONE, events=(refused("2026-03-19"),)), day("2026-03-20"), NOTICE)
    assert after.missing == ("A new request, from 2026-03-22 on.",)


def test_a_life_story_as_on_each_day() -> None:
    """Two observers, a failed re-check, a lapse: one set of facts read on many days."""
    facts = replace(
        TWO,
        events=(
            signed("2026-01-10", 1, "a", completes=False),
            signed("2026-02-10", 2, "b"),
            refused("2026-12-20"),
            signed("2027-01-10", 2, "c", completes=False),
            signed("2027-01-20", 3, "d"),
        ),
        asked_at=at("2026-01-05"),
    )
    days = {
        "2026-01-04": "R",
        "2026-01-10": "1",
        "2026-02-09": "1",
        "2026-02-10": "C",
        "2026-12-19": "C",
        "2026-12-20": "N",
        "2027-01-09": "N",
        "2027-01-10": "1",
        "2027-01-20": "C",
        "2027-12-20": "C",
        "2027-12-21": "D",
        "2028-01-20": "D",
        "2028-01-21": "L",
    }
    assert {d: state_of(facts, day(d), NOTICE).letter for d in days} == days


@pytest.mark.parametrize(
    ("facts", "signature", "last"),
    [
        (ONE, signed("2026-03-20"), True),
        (TWO, signed("2026-03-20"), False),
        (
            replace(TWO, events=(signed("2026-03-01", 1, "a", completes=False),)),
            signed("2026-03-20", 2, "b"),
            True,
        ),
        (
            replace(TWO, events=(signed("2026-03-01", 1, "a", completes=False),)),
            signed("2026-03-20", 1, "b"),
            False,
        ),
        (
            replace(TWO, events=(signed("2026-03-01", 1, "a", completes=False),)),
            signed("2026-03-20", 2, "a"),
            False,
        ),
        (  # the first one is older than the twelve months it holds
            replace(TWO, events=(signed("2025-03-19", 1, "a", completes=False),)),
            signed("2026-03-20", 2, "b"),
            False,
        ),
        (replace(TWO, events=(signed("2025-03-20"),)), signed("2026-03-20", 3, "c"), True),
        (replace(TWO, events=(signed("2025-03-19"),)), signed("2026-03-20", 3, "c"), False),
        (
            replace(TWO, events=(signed("2026-03-01", completes=False), refused("2026-03-02"))),
            signed("2026-03-20", 2, "b"),
            False,
        ),
    ],
    ids=[
        "one observer",
        "first of two",
        "second of two",
        "same person",
        "same job",
        "first too old",
        "re-check on the last day",
        "re-check a day late",
        "after not yet",
    ],
)
def test_which_signature_is_the_sign_off(
    facts: CompetencyFacts, signature: Event, *, last: bool
) -> None:
    assert is_sign_off(facts, signature) is last


def test_what_counts_towards_the_next() -> None:
    first = signed("2026-03-01", 1, "a", completes=False)
    assert counted(replace(TWO, events=(first,)), day("2026-03-20")) == (first,)
    assert counted(TWO, day("2026-03-20")) == ()
    held = replace(ONE, events=(signed("2026-03-01"),))
    assert is_recheck(held, day("2026-03-20"))
    assert not is_recheck(held, day("2028-03-02"))
    assert not is_recheck(ONE, day("2026-03-20"))


@st.composite
def stories(draw: st.DrawFn) -> CompetencyFacts:
    moments = draw(
        st.lists(
            st.datetimes(datetime(2024, 1, 1), datetime(2027, 1, 1), timezones=st.just(UTC)),  # noqa: DTZ001
            max_size=6,
        )
    )
    kinds = st.sampled_from(["competent", "not yet competent", "stopped for safety", "recognised"])
    facts = replace(TWO, observers=draw(st.integers(1, 2)))
    for moment in sorted(moments):
        kind = draw(kinds)
        event = Event(kind, moment, draw(st.integers(1, 3)), draw(st.sampled_from("abc")))  # type: ignore[arg-type]
        if kind == "competent":
            event = replace(event, completes=is_sign_off(facts, event))
        facts = replace(facts, events=(*facts.events, event))
    return facts


@given(stories(), st.dates(date(2024, 1, 1), date(2028, 12, 31)))
def test_the_future_never_changes_the_state_of_a_day(facts: CompetencyFacts, today: date) -> None:
    past = replace(facts, events=tuple(e for e in facts.events if e.at.date() <= today))
    assert state_of(facts, today, NOTICE) == state_of(past, today, NOTICE)


@given(stories(), st.dates(date(2024, 1, 1), date(2028, 12, 31)))
def test_nobody_is_held_right_after_a_refusal(facts: CompetencyFacts, today: date) -> None:
    past = [e for e in facts.events if e.at.date() <= today]
    found = state_of(facts, today, NOTICE)
    if past and past[-1].kind in {"not yet competent", "stopped for safety"}:
        assert found.state is State.NOT_YET
    if found.is_held:
        assert found.until is not None
        assert today <= found.until
        assert any(e.completes or e.kind == "recognised" for e in past)
