"""Two at once, stopped at named points: what is acknowledged is there once."""

from __future__ import annotations

import signal
import subprocess
import sys
import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Any

import pytest
from sqlalchemy import func, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from tests.records.story import Story, hours, whole_site
from trainer.records import log_check, record_log
from trainer.records.database import Database, open_database
from trainer.records.tables import Attempt, Marked, ObservationSheet, Signature, Team

Act = Callable[[Session], Any]


class Meeting:
    """The first act is held before its commit until the second one has been sent off."""

    def __init__(self, database: Database) -> None:
        self.first = Database(database.url.render_as_string(hide_password=False))
        self.second = Database(database.url.render_as_string(hide_password=False))
        self._arrived, self._go = threading.Event(), threading.Event()
        self.first.barriers = {"before commit": self._hold}

    def _hold(self) -> None:
        self._arrived.set()
        assert self._go.wait(20)

    def of(self, first: Act, second: Act) -> tuple[Future[Any], Future[Any]]:
        """Both acts, done; the second began while the first was not yet committed."""
        with ThreadPoolExecutor(2) as pool:
            one = pool.submit(self.first.write, first)
            assert self._arrived.wait(20), one
            other = pool.submit(self.second.write, second)
            # The second can only wait: for the writer's lock, or for the row of the first.
            with pytest.raises(TimeoutError):
                other.result(timeout=0.15)
            self._go.set()
            one.exception(timeout=20)
            other.exception(timeout=20)
        self.first.close()
        self.second.close()
        return one, other


def marking(attempt: int, token: str, mark: int) -> Marked:
    return Marked(
        attempt_id=attempt,
        close_token=token,
        answers={"t": "5.19 s"},
        marking={},
        mark=mark,
        marks=4,
        outcome="inside",
        engine_edition=1,
        closed_at=hours(5),
        digest="0" * 64,
    )


def close_blindly(attempt: int, token: str, mark: int) -> Act:
    """An act that forgets to look first."""

    def act(session: Session) -> int:
        session.add(marking(attempt, token, mark))
        session.flush()
        return mark

    return act


def close(attempt: int, token: str, mark: int) -> Act:
    """An act that looks first, as it should: the first answer is everybody's answer."""

    def act(session: Session) -> int:
        found = session.get(Marked, attempt)
        if found is not None:
            return found.mark
        session.add(marking(attempt, token, mark))
        session.get_one(Attempt, attempt).state = "closed"
        session.flush()
        return mark

    return act


def marks(database: Database, attempt: int) -> list[int]:
    with database.reading() as session:
        return list(session.scalars(select(Marked.mark).where(Marked.attempt_id == attempt)))


@pytest.mark.parametrize("tokens", [("same", "same"), ("one window", "another window")])
def test_an_attempt_is_closed_once_even_by_acts_that_do_not_look(
    database: Database, tokens: tuple[str, str]
) -> None:
    attempt = database.write(whole_site)["open"]
    first, second = (
        close_blindly(attempt, token, mark) for token, mark in zip(tokens, (4, 1), strict=True)
    )
    one, other = Meeting(database).of(first, second)
    assert one.result() == 4
    assert isinstance(other.exception(), IntegrityError)
    assert marks(database, attempt) == [4]


def test_a_double_click_gets_the_first_answer_twice(database: Database) -> None:
    attempt = database.write(whole_site)["open"]
    one, other = Meeting(database).of(close(attempt, "t", 4), close(attempt, "t", 1))
    assert (one.result(), other.result()) == (4, 4)
    assert marks(database, attempt) == [4]


def test_ten_clicks_at_once_get_one_answer(database: Database) -> None:
    attempt = database.write(whole_site)["open"]
    together = threading.Barrier(10, timeout=20)

    def click(mark: int) -> int:
        together.wait()
        answer: int = database.write(close(attempt, f"token {mark}", mark))
        return answer

    with ThreadPoolExecutor(10) as pool:
        answers = list(pool.map(click, [0, 1, 2, 3, 4] * 2))
    assert len(set(answers)) == 1
    assert marks(database, attempt) == [answers[0]]


def test_a_token_closes_one_attempt_only(database: Database) -> None:
    ids = database.write(whole_site)
    other = database.write(
        lambda session: Story(session).attempt(ids["trainee"], "M03-E3", ids["module"]).id
    )
    database.write(close(ids["open"], "t", 4))
    with pytest.raises(IntegrityError):
        database.write(close(other, "t", 4))
    assert marks(database, other) == []


def test_opening_from_ten_windows_opens_one_attempt(database: Database) -> None:
    ids = database.write(whole_site)
    together = threading.Barrier(10, timeout=20)

    def open_or_return(session: Session) -> int:
        where = (Attempt.person_id == ids["trainee"], Attempt.exercise == "M03-E5")
        found = session.scalar(select(Attempt.id).where(*where, Attempt.state == "open"))
        return found or Story(session).attempt(ids["trainee"], "M03-E5", ids["module"]).id

    def window(_number: int) -> int:
        together.wait()
        return database.write(open_or_return)

    with ThreadPoolExecutor(10) as pool:
        opened = set(pool.map(window, range(10)))
    assert len(opened) == 1
    with pytest.raises(IntegrityError):
        database.write(
            lambda session: Story(session).attempt(ids["trainee"], "M03-E5", ids["module"])
        )


def open_sheet(database: Database) -> dict[str, int]:
    def act(session: Session) -> dict[str, int]:
        story = Story(session)
        people = {name: story.person(number) for number, name in enumerate(("t", "a", "b"), 1)}
        sheet = story.sheet(people["t"], people["a"], "C04", story.edition("scheme"), 1)
        return {**people, "sheet": sheet.id}

    return database.write(act)


def sign(sheet: int, signer: int, *, number: int = 1) -> Act:
    """A signature with its log entry, by an act that does not look first."""

    def act(session: Session) -> None:
        row = session.get_one(ObservationSheet, sheet)
        Story(session).sign(row, at=3, signer=signer, number=number)

    return act


def sign_if_open(sheet: int, signer: int) -> Act:
    def act(session: Session) -> str:
        row = session.get_one(ObservationSheet, sheet)
        if row.state != "open":
            return f"it is already {row.state}"
        Story(session).sign(row, at=3, signer=signer)
        return "signed"

    return act


def refuse_if_open(sheet: int) -> Act:
    def act(session: Session) -> str:
        row = session.get_one(ObservationSheet, sheet)
        if row.state != "open":
            return f"it is already {row.state}"
        row.state, row.ended_at = "refused", hours(3)
        return "refused"

    return act


def kept(database: Database) -> tuple[list[int], int]:
    """Who signed, and how many entries the log has; the log must hold."""
    with database.reading() as session:
        assert log_check.check(session) is None
        signers = list(session.scalars(select(Signature.signer_id).order_by(Signature.number)))
        return signers, record_log.size_of(session)


@pytest.mark.parametrize("second", ["a", "b"])
def test_two_signatures_in_the_same_place_are_one(database: Database, second: str) -> None:
    """The same supervisor twice, or two supervisors who both think they are the first."""
    ids = open_sheet(database)
    one, other = Meeting(database).of(sign(ids["sheet"], ids["a"]), sign(ids["sheet"], ids[second]))
    assert one.exception() is None
    assert isinstance(other.exception(), IntegrityError)
    assert kept(database) == ([ids["a"]], 1)


def test_a_countersignature_follows_the_signature(database: Database) -> None:
    ids = open_sheet(database)
    one, other = Meeting(database).of(
        sign(ids["sheet"], ids["a"]), sign(ids["sheet"], ids["b"], number=2)
    )
    assert (one.exception(), other.exception()) == (None, None)
    assert kept(database) == ([ids["a"], ids["b"]], 2)


@pytest.mark.parametrize("first", ["sign", "refuse"])
def test_signing_and_refusing_at_once_the_first_wins(database: Database, first: str) -> None:
    ids = open_sheet(database)
    acts = {"sign": sign_if_open(ids["sheet"], ids["a"]), "refuse": refuse_if_open(ids["sheet"])}
    second = "refuse" if first == "sign" else "sign"
    state = {"sign": "signed", "refuse": "refused"}[first]
    one, other = Meeting(database).of(acts[first], acts[second])
    assert (one.result(), other.result()) == (state, f"it is already {state}")
    signers, size = kept(database)
    assert len(signers) == size == (1 if first == "sign" else 0)


DIES = """
import os, signal, sys
from trainer.records import record_log
from trainer.records.database import open_database
from trainer.records.tables import Team
database = open_database(sys.argv[1])
if sys.argv[2] != "never":
    database.barriers = {sys.argv[2]: lambda: os.kill(os.getpid(), signal.SIGKILL)}
def act(session):
    session.add(Team(name="North Yard"))
    session.flush()
    record_log.append(session, kind="role change", person=None, payload=None)
database.write(act)
"""


@pytest.mark.parametrize(("point", "rows"), [("began", 0), ("before commit", 0), ("never", 1)])
def test_row_and_entry_are_both_there_or_neither(database: Database, point: str, rows: int) -> None:
    url = database.url.render_as_string(hide_password=False)
    ended = subprocess.run([sys.executable, "-c", DIES, url, point], check=False, timeout=60)
    assert ended.returncode == (0 if rows else -signal.SIGKILL)
    after = open_database(url)
    with after.reading() as session:
        assert session.scalar(select(func.count()).select_from(Team)) == rows
        assert record_log.size_of(session) == rows
        assert log_check.check(session) is None
    after.close()
