"""Two things measured in turns, so that a busy machine is busy for both."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median

ROUNDS = 9
SLICE_S = 0.25


@dataclass(frozen=True)
class Pair:
    """Medians over the rounds: cost of the floor and of the real thing, and floor over real."""

    name: str
    floor_us: float
    real_us: float
    ratio: float
    low: float
    high: float

    def __str__(self) -> str:
        return (
            f"{self.name:<34} floor {self.floor_us:9.1f} us   real {self.real_us:9.1f} us   "
            f"share of the floor's rate {self.ratio:.2f} [{self.low:.2f}-{self.high:.2f}]"
        )


def measure(
    name: str,
    floor: Callable[[], object],
    real: Callable[..., object],
    prepare: Callable[[], object] | None = None,
) -> Pair:
    """CPU time a call of both, in alternating slices; the ratio is taken inside each round.

    ``prepare`` makes the argument of each real call and is not measured.
    """
    floor()
    _once(real, prepare)
    floors, reals, ratios = [], [], []
    for number in range(ROUNDS):
        order = ("floor", "real") if number % 2 else ("real", "floor")
        cost = {
            word: _slice(floor, None) if word == "floor" else _slice(real, prepare)
            for word in order
        }
        floors.append(cost["floor"])
        reals.append(cost["real"])
        ratios.append(cost["floor"] / cost["real"])
    return Pair(
        name, 1e6 * median(floors), 1e6 * median(reals), median(ratios), min(ratios), max(ratios)
    )


def _slice(act: Callable[..., object], prepare: Callable[[], object] | None) -> float:
    calls, spent, ends = 0, 0.0, time.perf_counter() + SLICE_S
    while time.perf_counter() < ends or calls == 0:
        spent += _once(act, prepare)
        calls += 1
    return spent / calls


def _once(act: Callable[..., object], prepare: Callable[[], object] | None) -> float:
    given = () if prepare is None else (prepare(),)
    begun = time.process_time()
    act(*given)
    return time.process_time() - begun
