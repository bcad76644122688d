"""People come, sign in, change roles and leave; nobody is told more than he should know."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context

import pytest
from sqlalchemy import select

from tests.actions import sample
from tests.actions.conftest import Time
from tests.actions.sample import ADDRESS, PASSWORD, Crew
from trainer.actions import people, throttle
from trainer.actions.actor import Actor, operator
from trainer.actions.house import House
from trainer.actions.people import NotSignedIn, SignedIn
from trainer.errors import InputError, NotFoundError, RefusedError, StateError
from trainer.records import log_check, states
from trainer.records.log_tables import RecordEntry
from trainer.records.people import ROLES, Credential, Invitation, RoleHeld
from trainer.records.sign_ins import SignIn
from trainer.records.state_tables import StateCompetency
from trainer.rules.roles import ALL


def enter(house: House, name: str, password: str = "", address: str = ADDRESS) -> str:
    result = people.sign_in(
        house, sign_in_name=name, password=password or PASSWORD.format(name), address=address
    )
    assert isinstance(result, SignedIn)
    return result.token


def fail(house: House, name: str, address: str = ADDRESS) -> NotSignedIn:
    result = people.sign_in(house, sign_in_name=name, password="no such word", address=address)
    assert isinstance(result, NotSignedIn)
    return result


def test_the_roles_are_the_same_in_rules_and_records() -> None:
    assert ALL == ROLES


def test_an_invitation_works_once_and_is_stored_as_a_hash(house: House, time: Time) -> None:
    made = people.invite(
        house,
        operator(),
        full_name="Delphine  Marrowick",
        short_name="D. Marrowick",
        sign_in_name=" Delphine ",
        roles=["trainee"],
    )
    assert (made.number, made.person_id) == ("P-0001", 1)
    assert len(made.token) >= 43  # 256 bits in base 64
    seen = people.look_at_invitation(house, made.token)
    assert (seen.sign_in_name, seen.full_name, seen.has_password, seen.problem) == (
        "delphine",
        "Delphine Marrowick",
        False,
        "",
    )
    signed = people.accept_invitation(house, token=made.token, password="cats under nine lanterns")
    actor = people.actor_of(house, signed.token)
    assert actor is not None
    assert actor.name == "Delphine Marrowick"
    assert actor.roles == frozenset({"trainee"})
    with pytest.raises(StateError, match="does not work any more"):
        people.accept_invitation(house, token=made.token, password="cats under nine lanterns")
    assert people.look_at_invitation(house, made.token).problem
    with house.database.reading() as session:
        stored = [row.token_hash for row in session.scalars(select(Invitation))]
        stored += [row.token_hash for row in session.scalars(select(SignIn))]
    assert made.token not in stored
    assert signed.token not in stored
    assert all(len(one) == 64 for one in stored)


def test_an_invitation_ends_in_time(house: House, time: Time) -> None:
    made = people.invite(
        house,
        operator(),
        full_name="A B",
        short_name="A",
        sign_in_name="ab",
        roles=["trainee"],
    )
    time.on(hours=72)
    with pytest.raises(StateError, match="does not work any more"):
        people.accept_invitation(house, token=made.token, password="cats under nine lanterns")
    fresh = people.new_link(house, operator(), person_id=made.person_id)
    people.accept_invitation(house, token=fresh.token, password="cats under nine lanterns")


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("full_name", ""),
        ("full_name", "x" * 121),
        ("short_name", "A\x00B"),
        ("sign_in_name", "   "),
    ],
)
def test_names_are_plain(house: House, field: str, value: str) -> None:
    given = {"full_name": "A B", "short_name": "A", "sign_in_name": "ab", field: value}
    with pytest.raises(InputError, match="plain text"):
        people.invite(house, operator(), roles=["trainee"], **given)  # type: ignore[arg-type]


def test_inviting_twice_under_one_name_or_into_nothing(house: House, crew: Crew) -> None:
    def come(name: str, role: str, team: int | None = None) -> None:
        people.invite(
            house,
            operator(),
            full_name="A B",
            short_name="A",
            sign_in_name=name,
            roles=[role],
            team_id=team,
        )

    with pytest.raises(StateError, match="taken"):
        come("Delphine", "trainee")
    with pytest.raises(InputError, match="no role boss"):
        come("ab", "boss")
    with pytest.raises(NotFoundError, match="no team 99"):
        come("ab", "trainee", 99)
    assert people.acting(house, "P-0003").name == "Ngozi Tester"
    with pytest.raises(NotFoundError):
        people.acting(house, "ab")


def test_signing_in_and_out(house: House, crew: Crew, time: Time) -> None:
    token = enter(house, " DELPHINE ", PASSWORD.format("delphine"))
    actor = people.actor_of(house, token)
    assert actor is not None
    assert actor.person_id == crew.ids["delphine"]
    assert actor.team_ids == {crew.teams["North Yard"]}
    assert actor.confirmed_at == time.now
    people.sign_out(house, token=token)
    assert people.actor_of(house, token) is None
    assert people.actor_of(house, "made up") is None


def test_a_refusal_says_the_same_for_every_cause(house: House, crew: Crew) -> None:
    crew.come("leo", "trainee")
    crew.come("nobody", "trainee", password=False)
    people.disable(house, crew.who("piers"), person_id=crew.ids["leo"], reason="has left")
    answers = {
        fail(house, "delphine"),
        fail(house, "unknown"),
        fail(house, "nobody"),
        fail(house, "leo"),
    }
    result = people.sign_in(
        house, sign_in_name="leo", password=PASSWORD.format("leo"), address=ADDRESS
    )
    answers.add(result)  # type: ignore[arg-type]
    assert len(answers) == 1
    assert answers.pop().wait_seconds == 0


def test_idle_and_absolute_end(house: House, crew: Crew, time: Time) -> None:
    token = enter(house, "delphine")
    time.on(minutes=60)
    assert people.actor_of(house, token) is not None  # just in time, and seen again
    for _ in range(11):
        time.on(minutes=59)
        assert people.actor_of(house, token) is not None
    time.on(minutes=12)  # 12 h 1 min since the start
    assert people.actor_of(house, token) is None
    token = enter(house, "delphine")
    time.on(minutes=61)
    assert people.actor_of(house, token) is None


def test_looking_within_a_minute_changes_no_row(house: House, crew: Crew, time: Time) -> None:
    token = enter(house, "delphine")
    before = time.now
    time.on(minutes=1)
    people.actor_of(house, token)
    time.on(seconds=1)
    people.actor_of(house, token)
    time.on(seconds=30)
    people.actor_of(house, token)
    with house.database.reading() as session:
        seen = session.scalars(select(SignIn.seen_at).order_by(SignIn.id.desc())).first()
    assert seen is not None
    assert (seen - before).total_seconds() == 61


def test_the_wait_grows_and_binds_nobody_else(house: House, crew: Crew, time: Time) -> None:
    for _ in range(4):
        assert fail(house, "delphine").wait_seconds == 0
    assert fail(house, "delphine").wait_seconds == 0  # the fifth is looked at, then the wait begins
    assert fail(house, "delphine").wait_seconds == 1
    refused = people.sign_in(
        house, sign_in_name="delphine", password=PASSWORD.format("delphine"), address=ADDRESS
    )
    assert refused == NotSignedIn(fail(house, "delphine").sentence, 1)
    enter(house, "delphine", address="192.0.2.7")  # the rightful person from elsewhere
    time.on(seconds=1)
    assert fail(house, "delphine").wait_seconds == 0
    assert fail(house, "delphine").wait_seconds == 2
    time.on(seconds=2)
    enter(house, "delphine")
    for _ in range(4):
        assert fail(house, "delphine").wait_seconds == 0  # the count began anew


def test_the_wait_is_never_longer_than_five_minutes(house: House, time: Time) -> None:
    waits = []
    for _ in range(40):
        waits.append(fail(house, "stranger").wait_seconds)
        time.on(seconds=waits[-1])
    assert waits[:12] == [0, 0, 0, 0, 0, 1, 0, 2, 0, 4, 0, 8]
    assert max(waits) == 300
    assert [throttle.delay_s(n) for n in (1, 4, 5, 13, 14, 10_000)] == [0, 0, 1, 256, 300, 300]
    time.on(hours=2)
    assert fail(house, "stranger").wait_seconds == 0


def test_parallel_guesses_gain_nothing(house: House, crew: Crew) -> None:
    def call() -> int:
        return fail(house, "delphine").wait_seconds

    with ThreadPoolExecutor(12) as pool:
        waiting = [pool.submit(copy_context().run, call) for _ in range(24)]
        waits = [one.result(timeout=60) for one in waiting]
    assert waits.count(0) == 5  # the rest were refused without looking at the password


def test_an_older_hash_is_renewed_at_sign_in(house: House, crew: Crew) -> None:
    from argon2 import PasswordHasher

    old = PasswordHasher(time_cost=2, memory_cost=16, parallelism=1)
    weak = old.hash(PASSWORD.format("delphine"))

    def put(session: object) -> None:
        session.get_one(Credential, crew.ids["delphine"]).password_hash = weak  # type: ignore[attr-defined]

    house.database.write(put)
    enter(house, "delphine")
    with house.database.reading() as session:
        stored = session.get_one(Credential, crew.ids["delphine"]).password_hash
    assert stored != weak
    assert "m=8,t=1,p=1" in stored
    enter(house, "delphine")


def test_a_new_password_ends_other_sign_ins(house: House, crew: Crew) -> None:
    first, second = enter(house, "delphine"), enter(house, "delphine")
    actor = people.actor_of(house, second)
    assert actor is not None
    with pytest.raises(RefusedError, match="not your password"):
        people.change_password(house, actor, token=second, old="wrong", new="x" * 20)
    with pytest.raises(InputError, match="at least 15"):
        people.change_password(
            house, actor, token=second, old=PASSWORD.format("delphine"), new="short"
        )
    people.change_password(
        house,
        actor,
        token=second,
        old=PASSWORD.format("delphine"),
        new="quarry otter bundle gale",
    )
    assert people.actor_of(house, first) is None
    assert people.actor_of(house, second) is not None
    enter(house, "delphine", "quarry otter bundle gale")


def test_confirming_the_password(house: House, crew: Crew, time: Time) -> None:
    token = enter(house, "ngozi")
    time.on(minutes=6)
    actor = people.actor_of(house, token)
    assert actor is not None
    assert not people.confirm_password(house, actor, token=token, password="wrong")
    assert people.confirm_password(house, actor, token=token, password=PASSWORD.format("ngozi"))
    again = people.actor_of(house, token)
    assert again is not None
    assert again.confirmed_at == time.now


def test_a_link_is_also_a_single_way_in(house: House, crew: Crew) -> None:
    piers = crew.who("piers")
    link = people.new_link(house, piers, person_id=crew.ids["delphine"])
    assert people.look_at_invitation(house, link.token).has_password
    signed = people.enter_by_link(house, token=link.token)
    assert people.actor_of(house, signed.token) is not None
    with pytest.raises(StateError):
        people.enter_by_link(house, token=link.token)
    crew.come("samira", "trainee", password=False)
    link = people.new_link(house, piers, person_id=crew.ids["samira"])
    with pytest.raises(StateError, match="first password"):
        people.enter_by_link(house, token=link.token)
    people.accept_invitation(house, token=link.token, password="cats under nine lanterns")


def test_a_used_link_ends_the_others(house: House, crew: Crew) -> None:
    piers = crew.who("piers")
    one = people.new_link(house, piers, person_id=crew.ids["delphine"])
    other = people.new_link(house, piers, person_id=crew.ids["delphine"])
    people.enter_by_link(house, token=one.token)
    with pytest.raises(StateError):
        people.enter_by_link(house, token=other.token)


def test_roles_over_time(house: House, crew: Crew, time: Time) -> None:
    token, piers = enter(house, "delphine"), crew.who("piers")
    time.on(days=1)
    people.set_role(house, piers, person_id=crew.ids["delphine"], role="technician", held=True)
    people.set_role(house, piers, person_id=crew.ids["delphine"], role="technician", held=True)
    assert crew.who("delphine").roles == {"trainee", "technician"}
    assert people.actor_of(house, token) is None  # a role change ends the sign-in
    time.on(days=1)
    people.set_role(house, piers, person_id=crew.ids["delphine"], role="trainee", held=False)
    people.set_role(house, piers, person_id=crew.ids["delphine"], role="trainee", held=False)
    assert crew.who("delphine").roles == {"technician"}
    with house.database.reading() as session:
        spans = session.scalars(
            select(RoleHeld).where(RoleHeld.person_id == crew.ids["delphine"]).order_by(RoleHeld.id)
        ).all()
        kinds = session.scalars(select(RecordEntry.kind)).all()
        assert log_check.check(session) is None
    assert [(one.role, one.until) for one in spans] == [("trainee", time.now), ("technician", None)]
    assert kinds.count("role change") == 2


def test_nobody_serves_himself(house: House, crew: Crew) -> None:
    piers, ngozi = crew.who("piers"), crew.who("ngozi")
    own = crew.ids["piers"]
    acts: list[Callable[[Actor], object]] = [
        lambda who: people.set_role(house, who, person_id=own, role="trainer", held=True),
        lambda who: people.set_team(house, who, person_id=own, team_id=1, held=True),
        lambda who: people.disable(house, who, person_id=own, reason="x"),
        lambda who: people.recognise(house, who, person_id=own, competency="C04", evidence="x"),
        lambda who: people.new_link(house, who, person_id=own),
        lambda who: people.add_team(house, who, name="Harbour Shed", site=""),
    ]
    for act in acts[:4]:
        with pytest.raises(RefusedError, match="own record"):
            act(piers)
    for act in acts:
        with pytest.raises(RefusedError, match="scheme administrator"):
            act(ngozi)


def test_teams_over_time(house: House, crew: Crew, time: Time) -> None:
    piers, delphine = crew.who("piers"), crew.ids["delphine"]
    harbour = people.add_team(house, piers, name="Harbour Shed", site="Pier 2")
    with pytest.raises(StateError, match="already"):
        people.add_team(house, piers, name="Harbour  Shed", site="")
    time.on(days=1)
    for _ in range(2):
        people.set_team(house, piers, person_id=delphine, team_id=harbour, held=True)
        people.set_team(
            house, piers, person_id=delphine, team_id=crew.teams["North Yard"], held=False
        )
    assert crew.who("delphine").team_ids == {harbour}
    with pytest.raises(NotFoundError, match="no person 99"):
        people.set_team(house, piers, person_id=99, team_id=harbour, held=True)


def test_closing_and_opening_an_account(house: House, crew: Crew) -> None:
    token, piers = enter(house, "delphine"), crew.who("piers")
    with pytest.raises(InputError, match="reason"):
        people.disable(house, piers, person_id=crew.ids["delphine"], reason=" ")
    people.disable(house, piers, person_id=crew.ids["delphine"], reason="has left")
    people.disable(house, piers, person_id=crew.ids["delphine"], reason="has left")
    assert people.actor_of(house, token) is None
    with pytest.raises(NotFoundError):
        crew.who("delphine")
    people.enable(house, piers, person_id=crew.ids["delphine"], reason="is back")
    enter(house, "delphine")


def test_recognition_is_folded_and_logged(house: House, crew: Crew) -> None:
    with pytest.raises(NotFoundError, match="no competency C99"):
        people.recognise(
            house,
            crew.who("piers"),
            person_id=crew.ids["ngozi"],
            competency="C99",
            evidence="nine years",
        )
    with pytest.raises(RefusedError, match="signed by a person"):
        people.recognise(
            house,
            operator(),
            person_id=crew.ids["ngozi"],
            competency="C04",
            evidence="nine years",
        )
    people.recognise(
        house,
        crew.who("piers"),
        person_id=crew.ids["ngozi"],
        competency="C04",
        evidence="nine years",
    )
    with house.database.reading() as session:
        row = session.get_one(StateCompetency, (crew.ids["ngozi"], "C04"))
        assert (row.recognised_at, row.recognised_months) == (sample.MONDAY, 24)
        before = row.__dict__.copy()
        assert "recognition" in session.scalars(select(RecordEntry.kind)).all()
    house.database.write(states.rebuild)
    with house.database.reading() as session:
        after = session.get_one(StateCompetency, (crew.ids["ngozi"], "C04")).__dict__
        hidden = "_sa_instance_state"
        assert {k: v for k, v in after.items() if k != hidden} == {
            k: v for k, v in before.items() if k != hidden
        }
