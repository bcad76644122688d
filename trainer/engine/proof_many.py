"""Many exercises proved at once, on several cores where there are any."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor

from trainer.engine.definition import Exercise
from trainer.engine.draw import index_count
from trainer.engine.outcome import Proof
from trainer.engine.proof import DRAWS, EXHAUSTIVE_TO, placed, run

FEWEST_FOR_SHARING = 4  # a second process costs as long to start as a few proofs take


def run_many(
    exercises: Sequence[Exercise],
    *,
    known: Mapping[str, Proof] | None = None,
    workers: int | None = None,
    progress: Callable[[int, int], object] | None = None,
    files: Mapping[str, str] | None = None,
) -> list[Proof]:
    """Prove every exercise that is not known, each by the rules of ``proof.run``.

    Args:
        exercises: in the order in which their proofs are wanted.
        known: stored proofs by exercise hash; they are moved to where the exercise stands now.
        workers: processes at most; the cores of the machine when not given.
        progress: called after each proof with the proofs done and the proofs to be made.
        files: the file of each exercise, by id.

    Returns:
        One proof for each exercise, in the same order, whatever core it came from.
    """
    known, files = known or {}, files or {}
    unknown = {each.hash: each for each in exercises if each.hash not in known}
    waiting = list(unknown.values())
    made: dict[str, Proof] = {}

    def take(proof: Proof) -> None:
        made[proof.hash] = proof
        if progress is not None:
            progress(len(made), len(waiting))

    count = min(workers or os.cpu_count() or 1, len(waiting) // FEWEST_FOR_SHARING)
    if count > 1:
        # The longest first, so that no core waits long for the other at the end.
        waiting.sort(key=_draws, reverse=True)
        with ProcessPoolExecutor(count) as pool:
            for proof in pool.map(run, waiting):
                take(proof)
    else:
        for exercise in waiting:
            take(run(exercise))
    return [
        placed(
            known.get(exercise.hash) or made[exercise.hash], exercise, files.get(exercise.id, "")
        )
        for exercise in exercises
    ]


def _draws(exercise: Exercise) -> int:
    count = index_count(exercise)
    return count if count <= EXHAUSTIVE_TO else DRAWS
