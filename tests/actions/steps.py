"""Longer steps that several tests take: finish a module, fill a sheet, sign it."""

from __future__ import annotations

from decimal import Decimal

from tests.actions.sample import PASSWORD, Crew
from trainer.actions import observing, people, signing, working
from trainer.actions.house import House
from trainer.actions.observing import CriterionValue
from trainer.actions.signing import Signed
from trainer.actions.working import Marked, OpenSheet


def work(house: House, crew: Crew, name: str, exercise: str) -> Marked:
    """Open a sheet and close it with the right answer, by own arithmetic."""
    actor = crew.who(name)
    attempt = working.open_sheet(house, actor, exercise=exercise)
    found = working.sheet_of(house, actor, attempt=attempt)
    assert isinstance(found, OpenSheet)
    given = {row.symbol: Decimal(row.value.split()[0]) for row in found.shown.givens}
    if exercise == "M03-E1":
        answers = {"r": f"{given['a'] / given['d']:.6g}"}
    elif exercise == "M01-E1":
        answers = {"w": str(2 * given["t"] + given["m"])}
    else:
        choice = next(one.key for one in found.shown.choices if one.text.startswith("Ask what"))
        answers = {"pick": choice}
    result = working.close_and_mark(
        house, actor, attempt=attempt, token=found.token, answers=answers
    )
    assert isinstance(result, Marked)
    assert result.marking.mark == result.marking.marks, result
    return result


def learn(house: House, crew: Crew, name: str, module: str) -> None:
    """Read, acknowledge and work everything in a module."""
    actor, found = crew.who(name), house.module_in_force(module)
    for lesson in found.lessons:
        for caution in lesson.hazards:
            working.acknowledge(house, actor, lesson=lesson.id, caution=caution)
        working.sign_as_read(house, actor, lesson=lesson.id)
    for exercise in found.exercises:
        work(house, crew, name, exercise)


def recognised(house: House, crew: Crew, name: str, *competencies: str) -> None:
    """Let the scheme administrator recognise competencies on earlier evidence."""
    for competency in competencies:
        people.recognise(
            house,
            crew.who("piers"),
            person_id=crew.ids[name],
            competency=competency,
            evidence="nine years on the tools",
        )


def begin(
    house: House, crew: Crew, observer: str, person: str, competency: str, *, machine: str = "N-01"
) -> int:
    """Open an observation sheet."""
    return observing.open_observation(
        house,
        crew.who(observer),
        person_id=crew.ids[person],
        competency=competency,
        machine=machine,
        site="Canteen North Station",
    )


def fill(house: House, crew: Crew, observer: str, sheet: int, **values: CriterionValue) -> None:
    """Mark every criterion done, except those given by their last figure: ``c2='not done'``."""
    actor = crew.who(observer)
    for row in observing.sheet(house, actor, sheet_id=sheet).criteria:
        value = values.get(f"c{row.id.partition('.')[2]}", "done")
        observing.tick(house, actor, sheet_id=sheet, criterion=row.id, value=value)


def sign(house: House, crew: Crew, observer: str, sheet: int) -> Signed:
    """Read the statement and sign it."""
    actor = crew.who(observer)
    said = signing.statement(house, actor, sheet_id=sheet)
    return signing.sign(
        house,
        actor,
        sheet_id=sheet,
        digest=said.digest,
        password=PASSWORD.format(observer),
        outcome=said.outcome,
    )


def observed(
    house: House, crew: Crew, observer: str, person: str, competency: str, *, machine: str = "N-01"
) -> Signed:
    """A whole observation with every criterion done."""
    sheet = begin(house, crew, observer, person, competency, machine=machine)
    fill(house, crew, observer, sheet)
    return sign(house, crew, observer, sheet)
