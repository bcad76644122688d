"""Proofs of many exercises: the same from one core and from two, known ones taken as they are."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.engine import marking_blocks as blocks
from trainer.engine import proof
from trainer.engine.definition import Exercise
from trainer.engine.proof_many import run_many


def exercises() -> list[Exercise]:
    return [
        blocks.exercise(text.replace("title = '", f"title = '{number} "))
        for number in range(4)
        for text in (blocks.STANDSTILL, blocks.LOCKS, blocks.ORDER)
    ]


@pytest.mark.parametrize("workers", [1, 2, None])
def test_one_core_or_two(workers: int | None) -> None:
    told: list[tuple[int, int]] = []
    found = run_many(
        exercises(), workers=workers, progress=lambda done, total: told.append((done, total))
    )
    assert found == [proof.run(exercise) for exercise in exercises()]
    assert told == [(number, 12) for number in range(1, 13)]


def test_a_known_proof_is_not_made_again_and_moves_to_its_place() -> None:
    (first, *others) = exercises()
    mark = replace(proof.run(first), draws=1)
    found = run_many([first, *others], known={first.hash: mark}, files={first.id: "M01.md"})
    assert found[0].draws == 1
    assert [one.hash for one in found] == [one.hash for one in (first, *others)]
    assert run_many([]) == []


def test_an_exercise_that_stands_twice_is_proved_once_for_both() -> None:
    one = exercises()[0]
    assert [found.exercise for found in run_many([one, one])] == [one.id, one.id]
