"""Openings and distances, gaps, gloves, run-down."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import InputError
from trainer.maths.guarding import (
    CUT_G,
    CUT_N,
    SHAPES,
    crushing_gap,
    cut_force_g,
    guard_distance,
    run_down_s,
    turning_energy_j,
    viscous_run_down_s,
)

near = pytest.approx
TABLE = "ISO 13857 table 4"


@pytest.mark.parametrize(
    ("opening", "slot", "square", "circle"),
    [
        # ISO 13857 table 4 as a trade page prints it, every row at its edge
        (4, 2, 2, 2), (6, 10, 5, 5), (8, 20, 15, 5), (10, 80, 25, 20), (12, 100, 80, 80),
        (20, 120, 120, 120), (30, 850, 120, 120), (40, 850, 200, 120), (120, 850, 850, 850),
        (0.5, 2, 2, 2),
    ],
)  # fmt: skip
def test_reach_through_openings(opening: float, slot: float, square: float, circle: float) -> None:
    for shape, distance in zip(SHAPES, (slot, square, circle), strict=True):
        found = guard_distance(TABLE, shape, opening)
        assert (found.distance_mm, found.words) == (distance, "follow the local code")
        assert found.source


@pytest.mark.parametrize("edge", [4, 6, 8, 10, 12, 20, 30, 40])
def test_just_above_an_edge_the_next_row_counts(edge: int) -> None:
    slots = {4: 10, 6: 20, 8: 80, 10: 100, 12: 120, 20: 850, 30: 850, 40: 850}
    holes = {4: 5, 6: 5, 8: 20, 10: 80, 12: 120, 20: 120, 30: 120, 40: 850}
    assert guard_distance(TABLE, "slot", edge + 0.01).distance_mm == slots[edge]
    assert guard_distance(TABLE, "round", edge + 0.01).distance_mm == holes[edge]


@pytest.mark.parametrize(
    ("shape", "opening", "distance"),
    [
        ("slot", 9, 80),
        ("slot", 11, 100),
        ("round", 35, 120),
        ("square", 35, 200),
        ("round", 40, 120),
    ],
)
def test_between_two_rows_the_larger_opening_counts(
    shape: str, opening: float, distance: float
) -> None:
    assert guard_distance(TABLE, shape, opening).distance_mm == distance


def test_short_slots() -> None:
    assert guard_distance(TABLE, "slot", 30, 65).distance_mm == 200
    assert guard_distance(TABLE, "slot", 30, 66).distance_mm == 850
    assert guard_distance(TABLE, "slot", 20.5, 65).distance_mm == 200
    assert guard_distance(TABLE, "slot", 31, 65).distance_mm == 850
    assert guard_distance(TABLE, "slot", 20, 65).distance_mm == 120
    assert guard_distance(TABLE, "square", 30, 65).distance_mm == 120


@pytest.mark.parametrize("opening", [0, -4, 120.1, math.nan])
def test_openings_that_are_none_or_no_guard(opening: float) -> None:
    with pytest.raises(InputError, match="opening_mm"):
        guard_distance(TABLE, "round", opening)


def test_bad_names() -> None:
    with pytest.raises(InputError, match="shape is 'oval'"):
        guard_distance(TABLE, "oval", 8)
    with pytest.raises(InputError, match="regime"):
        guard_distance("", "slot", 8)
    with pytest.raises(InputError, match="regime"):
        crushing_gap("", "hand")
    with pytest.raises(InputError, match="body_part"):
        crushing_gap("ISO 13854", "nose")
    with pytest.raises(InputError, match="slot_length_mm"):
        guard_distance(TABLE, "slot", 25, 0)


@pytest.mark.parametrize(
    ("part", "gap"),
    [
        # ISO 13854 as a public insurer's lexicon prints it
        ("finger", 25), ("toes", 50), ("hand", 100), ("fist", 100), ("arm", 120), ("foot", 120),
        ("leg", 180), ("head", 300), ("body", 500),
    ],
)  # fmt: skip
def test_gaps_that_do_not_crush(part: str, gap: float) -> None:
    found = crushing_gap("ISO 13854", part)
    assert (found.distance_mm, found.words) == (gap, "follow the local code")


def test_cut_levels_are_two_scales() -> None:
    # EN 388 with ISO 13997: a glove catalogue; ANSI/ISEA 105: glove makers' pages
    assert list(CUT_N.items()) == [
        ("A", 2), ("B", 5), ("C", 10), ("D", 15), ("E", 22), ("F", 30),
    ]  # fmt: skip
    assert list(CUT_G.values()) == [200, 500, 1000, 1500, 2200, 3000, 4000, 5000, 6000]
    for newtons, grams in ((10, 1019.716), (15, 1529.574), (22, 2243.376), (30, 3059.149)):
        assert cut_force_g(newtons) == near(grams, abs=1e-3)
    assert cut_force_g(1) == near(101.971621, abs=1e-6)
    with pytest.raises(InputError, match="force_n"):
        cut_force_g(-1)


def test_run_down() -> None:
    # made up: a small and a large burr carrier
    assert turning_energy_j(0.0008, 1400) == near(8.597522, abs=1e-6)
    assert run_down_s(0.0008, 1400, 0.05) == near(2.345723, abs=1e-6)
    assert turning_energy_j(0.004, 1400) == near(42.987610, abs=1e-6)
    assert run_down_s(0.004, 1400, 0.15) == near(3.909538, abs=1e-6)
    assert viscous_run_down_s(1400, 14, 0.8) == near(3.684136, abs=1e-6)
    assert viscous_run_down_s(10, 14, 0.8) == 0


def test_guards_of_run_down() -> None:
    with pytest.raises(InputError, match="friction_n_m"):
        run_down_s(0.004, 1400, 0)
    with pytest.raises(InputError, match="slow_per_min"):
        viscous_run_down_s(1400, 0, 0.8)
    with pytest.raises(InputError, match="tau_s"):
        viscous_run_down_s(1400, 14, 0)
    with pytest.raises(InputError, match="inertia_kg_m2"):
        turning_energy_j(-1, 1400)


@given(st.sampled_from(SHAPES), st.floats(0.1, 120), st.floats(0.1, 120))
def test_a_larger_opening_is_never_nearer(shape: str, first: float, second: float) -> None:
    small, large = sorted((first, second))
    near_by = guard_distance(TABLE, shape, small).distance_mm
    assert near_by <= guard_distance(TABLE, shape, large).distance_mm
    # a slot lets more of a hand through than a hole of its width
    assert guard_distance(TABLE, "slot", small).distance_mm >= near_by


@given(st.floats(1e-4, 0.1), st.floats(1, 3000), st.floats(0.01, 5))
def test_friction_takes_the_energy(inertia: float, speed: float, friction: float) -> None:
    # the mean speed of an even run-down is half the first
    turned = run_down_s(inertia, speed, friction) * speed / 60 / 2 * 2 * math.pi
    assert friction * turned == near(turning_energy_j(inertia, speed))
