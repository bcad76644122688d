"""Folds hold what the records say, in any order, and a rebuild gives the same rows."""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime
from functools import reduce
from itertools import permutations
from pathlib import Path
from typing import Any, TypeVar

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import select, text
from sqlalchemy.orm import Session

import tests.strategies  # noqa: F401 - loads the profile
from tests.records.conftest import counting
from tests.records.story import Story, hours, people, whole_site
from trainer.records import migrations, states
from trainer.records.database import Database, open_database
from trainer.records.states import ExerciseFold
from trainer.records.tables import (
    ObservationRequest,
    Recognition,
    Restriction,
    StateCompetency,
    StateExercise,
)

T = TypeVar("T")


def folded_rows(session: Session) -> list[tuple[Any, ...]]:
    """Every folded row as plain values."""
    return [
        tuple(row)
        for table in (StateExercise.__table__, StateCompetency.__table__)
        for row in session.execute(select(table).order_by(*table.primary_key))
    ]


def exercise(session: Session) -> StateExercise:
    return session.scalars(select(StateExercise)).one()


def test_one_attempt_is_folded_as_it_is(database: Database) -> None:
    def act(session: Session) -> None:
        story = Story(session)
        person, edition = story.person(1), story.edition("M03")
        attempt = story.attempt(person, "M03-E1", edition)
        story.mark(attempt, mark=1, marks=4, outcome="named slip", slip="forgot the lag", at=2)

    database.write(act)
    with database.reading() as session:
        row = exercise(session)
    assert (row.exercise, row.module, row.attempts) == ("M03-E1", "M03", 1)
    assert (row.best_mark, row.marks, row.last_outcome) == (1, 4, "named slip")
    assert (row.last_slip, row.last_at) == ("forgot the lag", hours(2))
    assert (row.done_edition, row.done_number, row.done_at) == (None, None, None)


def test_best_last_and_done_are_three_different_attempts(database: Database) -> None:
    """3 of 4 is more than 2 of 3; the last says the slip; the newest edition says done."""

    def act(session: Session) -> dict[str, Any]:
        story = Story(session)
        person = story.person(1)
        old, new = story.edition("M03", 1), story.edition("M03", 2)
        for mark, marks, outcome, edition, at in (
            (2, 3, "outside", old, 2),
            (3, 3, "inside", old, 3),
            (2, 2, "inside", new, 4),
            (5, 5, "inside", new, 5),
            (1, 5, "named slip", new, 6),
        ):
            attempt = story.attempt(person, "M03-E1", edition, at=at - 0.5)
            slip = "forgot the lag" if outcome == "named slip" else ""
            story.mark(attempt, mark=mark, marks=marks, outcome=outcome, slip=slip, at=at)
        return {"new": new, "last": attempt.id}

    ids = database.write(act)
    with database.reading() as session:
        row = exercise(session)
    assert row.attempts == 5
    assert (row.best_mark, row.marks) == (5, 5)
    assert (row.last_attempt_id, row.last_slip) == (ids["last"], "forgot the lag")
    assert (row.done_edition, row.done_number, row.done_at) == (ids["new"], 2, hours(4))


def test_inside_on_shown_numbers_is_not_done(database: Database) -> None:
    def act(session: Session) -> None:
        story = Story(session)
        attempt = story.attempt(story.person(1), "M03-E1", story.edition("M03"), own=False)
        story.mark(attempt, mark=4, outcome="inside")

    database.write(act)
    with database.reading() as session:
        row = exercise(session)
    assert (row.best_mark, row.done_at) == (4, None)


def test_an_attempt_pinned_to_an_old_edition_does_not_take_done_back(database: Database) -> None:

    def act(session: Session) -> str:
        story = Story(session)
        person, old = story.person(1), story.edition("M03", 1)
        new = story.edition("M03", 2)
        story.mark(story.attempt(person, "M03-E1", new), mark=4, outcome="inside", at=3)
        story.mark(story.attempt(person, "M03-E1", old), mark=4, outcome="inside", at=9)
        return new

    new = database.write(act)
    with database.reading() as session:
        assert (exercise(session).done_edition, exercise(session).attempts) == (new, 2)


def test_folding_costs_the_same_however_many_attempts(database: Database) -> None:
    def one_more(session: Session) -> int:
        person, edition = session.execute(
            text("select id, (select hash from edition) from person")
        ).one()
        story = Story(session)
        attempt = story.attempt(person, "M03-E1", edition)
        story.mark(attempt, mark=1, fold=False)
        return attempt.id

    def start(session: Session) -> None:
        Story(session).person(1)
        Story(session).edition("M03")

    database.write(start)
    counts = set()
    for _ in range(6):
        attempt = database.write(one_more)
        with counting(database) as statements:
            database.write(lambda session, a=attempt: states.fold_marked(session, a))  # type: ignore[misc]
        counts.add(len(statements))
    assert max(counts) <= 3


@st.composite
def single_folds(draw: st.DrawFn) -> list[ExerciseFold]:
    """One fold for each of some attempts of one person at one exercise."""
    folds = []
    for attempt in range(draw(st.integers(1, 5))):
        marks = draw(st.integers(1, 4))
        inside = draw(st.booleans())
        at: datetime = hours(draw(st.integers(0, 3)))
        edition = draw(st.integers(1, 3))
        folds.append(
            ExerciseFold(
                person_id=1,
                exercise="M03-E1",
                module="M03",
                attempts=1,
                best_mark=draw(st.integers(0, marks)),
                marks=marks,
                last_attempt_id=attempt,
                last_at=at,
                last_outcome="inside" if inside else "outside",
                last_slip=draw(st.sampled_from(["", "lag", "unit"])),
                done_edition=f"edition {edition}" if inside else None,
                done_number=edition if inside else None,
                done_at=at if inside else None,
            )
        )
    return folds


@given(single_folds())
@settings(max_examples=60)
def test_the_order_of_folding_does_not_matter(folds: list[ExerciseFold]) -> None:
    results = {
        str(asdict(reduce(ExerciseFold.with_another, order))) for order in permutations(folds)
    }
    assert len(results) == 1
    whole = reduce(ExerciseFold.with_another, folds)
    assert whole.attempts == len(folds)
    assert whole.best_mark / whole.marks == max(one.best_mark / one.marks for one in folds)
    assert whole.last_at == max(one.last_at for one in folds)
    assert (whole.done_at is None) == all(one.done_at is None for one in folds)


def test_a_rebuild_gives_what_is_stored(database: Database) -> None:
    database.write(whole_site)
    with database.reading() as session:
        stored = folded_rows(session)
    assert len(stored) == 5

    def spoil(session: Session) -> None:
        session.execute(text("update state_exercise set attempts = 77, last_slip = 'nothing'"))
        session.execute(text("delete from state_competency"))

    database.write(spoil)
    with database.reading() as session:
        assert folded_rows(session) != stored
    database.write(states.rebuild)
    with database.reading() as session:
        assert folded_rows(session) == stored
    database.write(states.rebuild)
    with database.reading() as session:
        assert folded_rows(session) == stored


def test_a_rebuild_in_one_session_is_seen_by_it(database: Database) -> None:
    def act(session: Session) -> None:
        whole_site(session)
        row = exercise(session)
        row.attempts = 77
        session.flush()
        states.rebuild(session)
        assert exercise(session).attempts == 1

    database.write(act)


acts = st.lists(
    st.tuples(
        st.sampled_from(["mark", "mark", "sign", "refuse", "ask", "recognise", "withdraw"]),
        st.integers(0, 1),
        st.integers(0, 2),
        st.integers(0, 3),
    ),
    max_size=14,
)


@pytest.fixture(scope="module")
def playground(tmp_path_factory: pytest.TempPathFactory) -> Database:
    """One SQLite file for many short stories, each rolled back."""
    path: Path = tmp_path_factory.mktemp("stories") / "records.sqlite"
    database = open_database(f"sqlite:///{path}", create=True)
    migrations.upgrade(database)
    return database


class _EnoughError(Exception):
    """Ends a story without keeping it."""


@given(acts)
@settings(max_examples=40)
def test_any_story_folds_as_it_rebuilds(playground: Database, told: list[Any]) -> None:
    def act(session: Session) -> None:
        story = Story(session)
        ids = people(story)
        trainees = [ids["trainee"], story.person(9)]
        editions = [story.edition("M03", 1), story.edition("M03", 2)]
        for at, (what, who, which, value) in enumerate(told, start=1):
            person, of = trainees[who], f"C0{which + 1}"
            # Times may stand still or go back, as a clock that was set does.
            moment = at - value
            if what == "mark":
                attempt = story.attempt(person, f"M03-E{which}", editions[value % 2], at=moment)
                outcome = "inside" if value > 1 else "outside"
                story.mark(attempt, mark=value, outcome=outcome, at=moment)
                continue
            if what == "ask":
                withdrawn = None if value == 3 else hours(at)
                if withdrawn is not None:
                    story.put(
                        ObservationRequest(
                            person_id=person, competency=of, at=hours(at), withdrawn_at=withdrawn
                        )
                    )
            elif what == "recognise":
                story.put(
                    Recognition(
                        person_id=person,
                        competency=of,
                        by_person_id=ids["first"],
                        at=hours(moment),
                        months=value + 1,
                        log_index=story.log("recognised", person, hours(at)),
                    )
                )
            elif what == "withdraw":
                story.put(
                    Restriction(
                        person_id=person,
                        competency=of,
                        by_person_id=ids["first"],
                        since=hours(moment),
                    )
                )
            else:
                sheet = story.sheet(person, ids["second"], of, ids["scheme"], moment)
                if what == "refuse":
                    sheet.state, sheet.ended_at = "refused", hours(moment)
                else:
                    outcome = "competent" if value else "not yet competent"
                    story.sign(sheet, at=moment, outcome=outcome, sign_off=value == 3)
            states.fold_competency(session, person, of)
        session.flush()
        stored = folded_rows(session)
        assert bool(stored) == any(what != "ask" for what, _, _, _ in told)
        states.rebuild(session)
        assert folded_rows(session) == stored
        raise _EnoughError

    with pytest.raises(_EnoughError):
        playground.write(act)
