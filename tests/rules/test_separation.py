"""Separation of duties: one table per rule, with one fact changed at a time."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from trainer.errors import CATALOGUE
from trainer.rules import separation as sep
from trainer.rules.competency import CompetencyState, State
from trainer.rules.separation import Job, Party, Refusal, Span


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


LONG_AGO = at("2025-01-01")
JOB = at("2026-03-10T13:42")
NOW = at("2026-03-20T09:00")
SUPERVISOR = Party(1, "Ngozi", roles=(Span("supervisor", LONG_AGO),), teams=(Span("7", LONG_AGO),))
TRAINEE = Party(2, "Delphine", roles=(Span("trainee", LONG_AGO),), teams=(Span("7", LONG_AGO),))
OTHER = Party(3, "Rasmus", roles=(Span("supervisor", LONG_AGO),), teams=(Span("8", LONG_AGO),))
COMPETENT = CompetencyState(State.COMPETENT, "Signed off.", until=date(2027, 1, 1))
DUE = CompetencyState(State.DUE, "Due.", ("A re-check.",), date(2026, 4, 1))
LAPSED = CompetencyState(State.LAPSED, "Lapsed.", ("A re-check.",), date(2026, 3, 1))
READY = CompetencyState(State.READY, "Theory met.", ("A request.",))


def code(refusal: Refusal | None) -> str:
    return refusal.code if refusal else ""


@pytest.mark.parametrize(
    ("actor", "person", "expected"),
    [
        (SUPERVISOR, TRAINEE, ""),
        (SUPERVISOR, replace(SUPERVISOR, name="himself"), sep.OWN_RECORD),
        (replace(SUPERVISOR, roles=()), TRAINEE, sep.NOT_THE_ROLE),
        (replace(SUPERVISOR, roles=(Span("trainer", LONG_AGO),)), TRAINEE, sep.NOT_THE_ROLE),
        # the role given only after the job, or taken away before the signature
        (replace(SUPERVISOR, roles=(Span("supervisor", NOW),)), TRAINEE, sep.NOT_THE_ROLE),
        (
            replace(SUPERVISOR, roles=(Span("supervisor", LONG_AGO, NOW),)),
            TRAINEE,
            sep.NOT_THE_ROLE,
        ),
        (OTHER, TRAINEE, sep.NOT_THE_TEAM),
        # the learner moved in only after the job, or left before the signature
        (SUPERVISOR, replace(TRAINEE, teams=(Span("7", at("2026-03-15")),)), sep.NOT_THE_TEAM),
        (
            SUPERVISOR,
            replace(TRAINEE, teams=(Span("7", LONG_AGO, at("2026-03-15")),)),
            sep.NOT_THE_TEAM,
        ),
        # the supervisor himself left before the job
        (
            replace(SUPERVISOR, teams=(Span("7", LONG_AGO, at("2026-03-01")),)),
            TRAINEE,
            sep.NOT_THE_TEAM,
        ),
        # away between two stays, back at both moments
        (
            SUPERVISOR,
            replace(
                TRAINEE,
                teams=(Span("7", LONG_AGO, at("2026-03-12")), Span("7", at("2026-03-18"))),
            ),
            "",
        ),
    ],
    ids=range(11),
)
def test_supervising(actor: Party, person: Party, expected: str) -> None:
    assert code(sep.may_supervise(actor, person, [JOB, NOW])) == expected
    assert (
        code(sep.may_observe(actor, person, [JOB, NOW], competency="C04", own_state=None))
        == expected
    )


@pytest.mark.parametrize(
    ("own_state", "expected"),
    [
        (None, ""),
        (COMPETENT, ""),
        (DUE, ""),
        (LAPSED, sep.NOT_COMPETENT),
        (READY, sep.NOT_COMPETENT),
    ],
)
def test_own_competency_where_the_scheme_says_so(
    own_state: CompetencyState | None, expected: str
) -> None:
    refusal = sep.may_observe(SUPERVISOR, TRAINEE, [JOB], competency="C14", own_state=own_state)
    assert code(refusal) == expected
    refusal = sep.may_sign(
        SUPERVISOR, TRAINEE, [JOB], observer=(1, "Ngozi"), competency="C14", own_state=own_state
    )
    assert code(refusal) == expected


def test_only_the_observer_signs_and_never_for_himself() -> None:
    def sign(actor: Party, person: Party, observer: tuple[int, str]) -> str:
        return code(
            sep.may_sign(
                actor, person, [JOB, NOW], observer=observer, competency="C04", own_state=None
            )
        )

    assert sign(SUPERVISOR, TRAINEE, (1, "Ngozi")) == ""
    assert sign(OTHER, TRAINEE, (1, "Ngozi")) == sep.NOT_THE_OBSERVER
    assert sign(SUPERVISOR, SUPERVISOR, (1, "Ngozi")) == sep.OWN_RECORD
    assert sign(OTHER, TRAINEE, (3, "Rasmus")) == sep.NOT_THE_TEAM


@pytest.mark.parametrize(
    ("counted", "expected"),
    [
        ([], ""),
        ([Job(9, "N-01 2026-03-01")], ""),
        ([Job(1, "N-01 2026-03-01")], sep.SAME_OBSERVER),
        ([Job(9, "N-02 2026-03-10")], sep.SAME_JOB),
    ],
)
def test_second_observer_on_another_job(counted: list[Job], expected: str) -> None:
    assert code(sep.another_job(1, "N-02 2026-03-10", counted, competency="C15")) == expected


@pytest.mark.parametrize("state", list(State))
def test_theory_is_the_basis_of_a_sheet(state: State) -> None:
    refusal = sep.may_be_observed(CompetencyState(state, "Because.", ("This.",)), competency="C04")
    shut = {State.NOT_STARTED, State.IN_TRAINING, State.RESTRICTED, State.WITHDRAWN}
    assert code(refusal) == (sep.THEORY_OPEN if state in shut else "")


@pytest.mark.parametrize(
    ("state", "today", "expected"),
    [
        (State.READY, "2026-03-20", ""),
        (State.FIRST_DONE, "2026-03-20", ""),
        (State.DUE, "2026-03-20", ""),
        (State.LAPSED, "2026-03-20", ""),
        (State.COMPETENT, "2026-03-20", sep.THEORY_OPEN),
        (State.IN_TRAINING, "2026-03-20", sep.THEORY_OPEN),
        (State.NOT_YET, "2026-03-20", sep.THEORY_OPEN),
        (State.NOT_YET, "2026-03-21", ""),
    ],
)
def test_asking(state: State, today: str, expected: str) -> None:
    found = CompetencyState(state, "Because.")
    day = date.fromisoformat(today)
    assert code(sep.may_ask(found, day, date(2026, 3, 18), competency="C04")) == expected


def test_asking_again_after_not_yet_needs_a_date_to_wait_for() -> None:
    found = CompetencyState(State.NOT_YET, "Because.")
    assert sep.may_ask(found, date(2026, 3, 18), None, competency="C04") is None


DECIDER = Party(5, "Hilde", roles=(Span("decision maker", LONG_AGO),))
BOTH = replace(
    DECIDER,
    roles=(*DECIDER.roles, Span("trainer", at("2025-06-01"), at("2025-09-01"))),
    teams=(Span("7", at("2025-01-01"), at("2026-01-01")),),
)


@pytest.mark.parametrize(
    ("actor", "person", "involved", "expected"),
    [
        (DECIDER, TRAINEE, {1}, ""),
        (DECIDER, replace(DECIDER, name="herself"), set(), sep.OWN_RECORD),
        (SUPERVISOR, TRAINEE, set(), sep.NOT_THE_ROLE),
        (
            replace(DECIDER, roles=(Span("decision maker", at("2026-04-01")),)),
            TRAINEE,
            set(),
            sep.NOT_THE_ROLE,
        ),
        (DECIDER, TRAINEE, {1, 5}, sep.OBSERVED),
        (BOTH, TRAINEE, set(), sep.TRAINED),
        # trainer of the team, but before the person came to it
        (BOTH, replace(TRAINEE, teams=(Span("7", at("2025-09-01")),)), set(), ""),
        (BOTH, replace(TRAINEE, teams=(Span("7", at("2025-08-31")),)), set(), sep.TRAINED),
        # another team
        (BOTH, replace(TRAINEE, teams=(Span("8", LONG_AGO),)), set(), ""),
        # trainer and team still held, without end
        (
            replace(
                DECIDER,
                roles=(*DECIDER.roles, Span("trainer", LONG_AGO)),
                teams=(Span("7", LONG_AGO),),
            ),
            TRAINEE,
            set(),
            sep.TRAINED,
        ),
    ],
    ids=range(10),
)
def test_deciding(actor: Party, person: Party, involved: set[int], expected: str) -> None:
    assert code(sep.may_decide(actor, person, frozenset(involved), NOW)) == expected


@pytest.mark.parametrize(
    ("roles", "safety", "maker", "first", "expected"),
    [
        ({"trainer"}, False, True, False, ""),
        ({"scheme administrator"}, False, False, False, ""),
        ({"second reader"}, False, False, False, ""),
        ({"supervisor"}, False, False, False, sep.NOT_THE_ROLE),
        (set(), True, False, True, ""),
        ({"trainer"}, True, True, False, sep.SECOND_READER),
        ({"trainer"}, True, False, False, sep.SECOND_READER),
        ({"trainer", "second reader"}, True, True, False, sep.SECOND_READER),
        ({"trainer", "second reader"}, True, False, False, ""),
        ({"second reader"}, True, False, False, ""),
    ],
)
def test_putting_in_force(
    roles: set[str], *, safety: bool, maker: bool, first: bool, expected: str
) -> None:
    refusal = sep.may_put_in_force(
        frozenset(roles),
        subject="M01",
        is_safety_change=safety,
        is_maker=maker,
        is_first_start=first,
    )
    assert code(refusal) == expected


def test_releasing_a_restriction() -> None:
    assert code(sep.may_release(SUPERVISOR, TRAINEE, 9, NOW)) == ""
    assert code(sep.may_release(SUPERVISOR, TRAINEE, 1, NOW)) == sep.SET_IT
    assert code(sep.may_release(OTHER, TRAINEE, 9, NOW)) == sep.NOT_THE_TEAM


def test_nobody_acts_on_the_own_record() -> None:
    assert code(sep.not_own(1, 1)) == sep.OWN_RECORD
    assert sep.not_own(1, 2) is None


def test_every_refusal_reads_as_a_sentence() -> None:
    refusal = sep.may_supervise(OTHER, TRAINEE, [JOB])
    assert refusal is not None
    assert refusal.sentence == "Delphine was not in your team on 2026-03-10."
    theory = sep.may_be_observed(
        CompetencyState(State.IN_TRAINING, "In training: M03 open.", ("Module M03: 2 to do.",)),
        competency="C04",
    )
    assert theory is not None
    assert theory.sentence == "C04 is in training: In training: M03 open."
    row = CATALOGUE[theory.code]
    assert row.cure.format_map(theory.fields) == "Module M03: 2 to do."
