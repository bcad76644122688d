"""What six tables say of a person and a competency, in one row."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol, TypeVar

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

import tests.strategies  # noqa: F401 - loads the profile
from tests.records.story import Story, hours, people
from trainer.records import states
from trainer.records.base import moment_text
from trainer.records.database import Database
from trainer.records.tables import (
    CompetencyWithdrawn,
    ObservationRequest,
    ObservationSheet,
    Recognition,
    Restriction,
    StateCompetency,
)

T = TypeVar("T")


class Tell(Protocol):
    """Runs a step of a story as one write."""

    def __call__(self, act: Callable[[Story], T]) -> T: ...


def competency(session: Session, person: int, of: str = "C04") -> StateCompetency:
    states.fold_competency(session, person, of)
    session.expire_all()
    return session.get_one(StateCompetency, (person, of))


@pytest.fixture
def story(database: Database) -> Tell:
    """Runs a step of a story as one write."""

    def tell(act: Callable[[Story], T]) -> T:
        return database.write(lambda session: act(Story(session)))

    return tell


def test_the_way_of_a_safety_critical_competency(story: Tell) -> None:
    """Asked, first job, second job by another observer: the second signature is the sign-off."""
    ids = story(people)
    trainee = ids["trainee"]

    def asked(story: Story) -> None:
        story.put(ObservationRequest(person_id=trainee, competency="C04", at=hours(1)))
        row = competency(story.session, trainee)
        assert (row.requested_at, row.open_sheet_id, row.last_outcome) == (hours(1), None, "")
        assert row.signatures is None

    def opened(story: Story) -> int:
        sheet = story.sheet(trainee, ids["first"], "C04", ids["scheme"], 2)
        request = story.session.scalars(select(ObservationRequest)).one()
        request.sheet_id = sheet.id
        row = competency(story.session, trainee)
        assert (row.requested_at, row.open_sheet_id, row.open_sheet_at) == (
            None,
            sheet.id,
            hours(2),
        )
        return sheet.id

    def first_signed(story: Story) -> None:
        sheet = story.session.get_one(ObservationSheet, first)
        story.sign(sheet, at=3, sign_off=False)
        row = competency(story.session, trainee)
        assert (row.open_sheet_id, row.last_outcome, row.last_outcome_at) == (
            None,
            "competent",
            hours(3),
        )
        assert row.signatures == [[ids["first"], sheet.id, moment_text(hours(3))]]
        assert (row.last_signed_at, row.signed_off_at) == (hours(3), None)

    def second_signed(story: Story) -> None:
        sheet = story.sheet(trainee, ids["second"], "C04", ids["newer"], 4)
        story.sign(sheet, at=5)
        row = competency(story.session, trainee)
        assert [signer for signer, _, _ in row.signatures or ()] == [ids["first"], ids["second"]]
        assert (row.last_signed_at, row.signed_off_at) == (hours(5), hours(5))
        assert row.signed_off_scheme == ids["newer"]

    story(asked)
    first = story(opened)
    story(first_signed)
    story(second_signed)


@pytest.mark.parametrize("ending", ["not yet competent", "refused", "stopped for safety"])
def test_another_outcome_makes_earlier_signatures_count_no_more(story: Tell, ending: str) -> None:
    ids = story(people)

    def act(story: Story) -> None:
        signed = story.sheet(ids["trainee"], ids["first"], "C04", ids["scheme"], 1)
        story.sign(signed, at=2)
        other = story.sheet(ids["trainee"], ids["second"], "C04", ids["scheme"], 3)
        if ending == "not yet competent":
            story.sign(other, at=4, outcome=ending, sign_off=False)
        else:
            other.state, other.ended_at = ending, hours(4)
        row = competency(story.session, ids["trainee"])
        assert (row.last_outcome, row.last_outcome_at) == (ending, hours(4))
        assert (row.signatures, row.last_signed_at) == (None, None)
        assert row.signed_off_at == hours(2)
        again = story.sheet(ids["trainee"], ids["second"], "C04", ids["scheme"], 5)
        story.sign(again, at=6)
        row = competency(story.session, ids["trainee"])
        assert (row.last_outcome, len(row.signatures or ()), row.signed_off_at) == (
            "competent",
            1,
            hours(6),
        )

    story(act)


def test_a_sheet_with_two_opinions_is_not_competent(story: Tell) -> None:
    ids = story(people)

    def act(story: Story) -> None:
        sheet = story.sheet(ids["trainee"], ids["first"], "C04", ids["scheme"], 1)
        story.sign(sheet, at=2, sign_off=False)
        story.sign(
            sheet, at=3, outcome="not yet competent", sign_off=False, signer=ids["second"], number=2
        )
        row = competency(story.session, ids["trainee"])
        assert (row.last_outcome, row.signatures) == ("not yet competent", None)

    story(act)


def test_recognition_restriction_and_withdrawal(story: Tell) -> None:
    ids = story(people)
    trainee, first, second = ids["trainee"], ids["first"], ids["second"]

    def act(story: Story) -> None:
        for at, months in ((1, 12), (2, 24)):
            story.put(
                Recognition(
                    person_id=trainee,
                    competency="C04",
                    by_person_id=first,
                    at=hours(at),
                    months=months,
                    log_index=story.log("recognised", trainee, hours(at)),
                )
            )
        kept = story.put(
            Restriction(person_id=trainee, competency="C04", by_person_id=first, since=hours(3))
        )
        other = story.put(
            Restriction(
                person_id=trainee,
                competency="C04",
                grinder_type="QT-64",
                by_person_id=first,
                since=hours(3),
                until=hours(30),
            )
        )
        row = competency(story.session, trainee)
        assert (row.recognised_at, row.recognised_months) == (hours(2), 24)
        assert row.restrictions == [
            [kept.id, "", moment_text(hours(3)), None],
            [other.id, "QT-64", moment_text(hours(3)), moment_text(hours(30))],
        ]
        kept.released_at, kept.released_by_id = hours(4), second
        assert [one[0] for one in competency(story.session, trainee).restrictions or ()] == [
            other.id
        ]
        sheet = story.sheet(trainee, first, "C04", ids["scheme"], 5)
        story.sign(sheet, at=6)
        story.put(
            CompetencyWithdrawn(
                person_id=trainee,
                competency="C04",
                by_person_id=second,
                at=hours(7),
                log_index=story.log("competency withdrawn", trainee, hours(7)),
            )
        )
        row = competency(story.session, trainee)
        assert (row.withdrawn_at, row.signatures) == (hours(7), None)

    story(act)


def test_a_withdrawn_request_leaves_no_date(story: Tell) -> None:
    ids = story(people)

    def act(story: Story) -> None:
        request = story.put(
            ObservationRequest(person_id=ids["trainee"], competency="C04", at=hours(1))
        )
        assert competency(story.session, ids["trainee"]).requested_at == hours(1)
        request.withdrawn_at = hours(2)
        states.fold_competency(story.session, ids["trainee"], "C04")
        assert story.session.scalars(select(StateCompetency)).all() == []

    story(act)
