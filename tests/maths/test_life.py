"""Weibull lives: worked figures, scipy as oracle, limits and scaling."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import InputError
from trainer.maths.life import (
    further_life_kg,
    mean_further_life_kg,
    mean_hazard_per_kg,
    reliability_after,
    weibull_density_per_kg,
    weibull_failed,
    weibull_hazard_per_kg,
    weibull_life_kg,
    weibull_mean_kg,
    weibull_reliability,
    weibull_sd_kg,
)
from trainer.maths.roots import rising_root

near = pytest.approx
shapes = st.floats(0.3, 8)
scales = st.floats(1, 1e4)


def test_the_handbook_s_demonstration_parameters() -> None:
    # shape 1.5, scale 5000, life 1000: NIST/SEMATECH e-Handbook 8.1.6.2 (parameters from memory);
    # figures worked with scipy
    assert weibull_density_per_kg(1000, 1.5, 5000) == near(1.226850864e-4, rel=1e-9)
    assert weibull_failed(1000, 1.5, 5000) == near(0.08555935639, abs=1e-11)
    assert weibull_reliability(1000, 1.5, 5000) == near(0.9144406436, abs=1e-10)
    assert weibull_hazard_per_kg(1000, 1.5, 5000) == near(1.341640786e-4, rel=1e-9)
    assert weibull_mean_kg(1.5, 5000) == near(4513.726465, abs=1e-6)
    assert weibull_life_kg(50, 1.5, 5000) == near(3916.098844, abs=1e-6)
    assert weibull_sd_kg(1.5, 5000) == near(3064.678959, abs=1e-6)
    assert weibull_life_kg(10, 1.5, 5000) == near(1115.377628, abs=1e-6)
    assert weibull_life_kg(1, 1.5, 5000) == near(232.8575842, abs=1e-7)


def test_a_burr_with_shape_3_and_scale_900() -> None:
    # made-up parameters
    assert weibull_reliability(500, 3, 900) == near(0.8424274240, abs=1e-10)
    assert weibull_life_kg(10, 3, 900) == near(425.0778467, abs=1e-7)
    assert weibull_mean_kg(3, 900) == near(803.6815604, abs=1e-7)
    assert weibull_life_kg(50, 3, 900) == near(796.4973400, abs=1e-7)
    assert reliability_after(500, 100, 3, 900) == near(0.8826482353, abs=1e-10)
    assert reliability_after(500, 200, 3, 900) == near(0.7415299104, abs=1e-10)
    assert further_life_kg(500, 0.1, 3, 900) == near(86.56029370, abs=1.5e-8)
    assert mean_further_life_kg(500, 3, 900) == near(384.7282777, abs=1e-7)


def test_bathtub_hazards() -> None:
    # scale 1000 at 100, 500 and 1000: falling, flat, rising
    rows = {
        0.5: (1.581138830e-3, 7.071067812e-4, 5e-4),
        1.0: (1e-3, 1e-3, 1e-3),
        3.0: (3e-5, 7.5e-4, 3e-3),
    }
    for shape, hazards in rows.items():
        found = [weibull_hazard_per_kg(life, shape, 1000) for life in (100, 500, 1000)]
        assert found == near(list(hazards), rel=1e-9)


def test_632_in_a_thousand_have_failed_at_the_scale() -> None:
    # MIL-HDBK-338B, 5.3.6: 63.2 % failed at the scale; 0.3679 is 1/e
    for shape in (0.5, 1, 3):
        assert round(weibull_failed(900, shape, 900), 3) == 0.632
        assert round(weibull_reliability(900, shape, 900), 4) == 0.3679


def test_mean_hazard() -> None:
    assert mean_hazard_per_kg(0, 1000, 3, 1000) == near(1e-3)
    # of a constant hazard it is the hazard
    assert mean_hazard_per_kg(100, 700, 1, 500) == near(weibull_hazard_per_kg(300, 1, 500))
    with pytest.raises(InputError, match=r"second_kg .*above 100"):
        mean_hazard_per_kg(100, 100, 1, 500)


@given(shapes, scales, st.floats(0.01, 3))
def test_scipy_agrees(shape: float, scale: float, part: float) -> None:
    from scipy.stats import weibull_min

    life, theirs = part * scale, weibull_min(shape, scale=scale)
    assert weibull_reliability(life, shape, scale) == near(theirs.sf(life), rel=1e-11)
    assert weibull_failed(life, shape, scale) == near(theirs.cdf(life), rel=1e-11)
    assert weibull_density_per_kg(life, shape, scale) == near(theirs.pdf(life), rel=1e-10)
    assert weibull_mean_kg(shape, scale) == near(theirs.mean(), rel=1e-11)
    assert weibull_sd_kg(shape, scale) == near(theirs.std(), rel=1e-7)
    assert weibull_life_kg(10, shape, scale) == near(theirs.ppf(0.1), rel=1e-11)


@given(shapes, scales, st.floats(0.1, 99.9))
def test_life_and_share_undo_each_other(shape: float, scale: float, percent: float) -> None:
    life = weibull_life_kg(percent, shape, scale)
    assert 100 * weibull_failed(life, shape, scale) == near(percent, rel=1e-9)
    assert weibull_reliability(life, shape, scale) + weibull_failed(life, shape, scale) == near(1)


@given(st.floats(0.5, 6), scales, st.floats(0, 2), st.floats(0.001, 0.9))
def test_further_life_reaches_just_the_risk(
    shape: float, scale: float, part: float, risk: float
) -> None:
    age = part * scale
    further = further_life_kg(age, risk, shape, scale)
    assert 1 - reliability_after(age, max(0.0, further), shape, scale) == near(risk, abs=1e-7)


@given(st.floats(0.4, 6), st.floats(0, 4))
def test_mean_further_life_is_the_integral(shape: float, part: float) -> None:
    from scipy.integrate import quad

    z = part**shape
    area, _ = quad(
        lambda log: math.exp(log + z - math.exp(shape * log)),
        math.log(max(part, 1e-12)),
        math.log(part + 60 ** (1 / shape) + 40 ** (1 / shape) * 3),
        limit=500,
        epsabs=0,
        epsrel=1e-10,
    )
    assert mean_further_life_kg(part * 900, shape, 900) / 900 == near(area, rel=1e-6)


def test_mean_further_life_at_the_ends() -> None:
    assert mean_further_life_kg(0, 3, 900) == near(weibull_mean_kg(3, 900), rel=1e-12)
    # chance failures know no age
    for age in (0, 100, 5000, 100_000):
        assert mean_further_life_kg(age, 1, 900) == near(900, rel=1e-10)
    # far past the scale it tends to one over the hazard
    far = mean_further_life_kg(9000, 3, 900)
    assert far == near(1 / weibull_hazard_per_kg(9000, 3, 900), rel=1e-2)
    # both ways of working it out meet where one takes over from the other
    for shape in (0.7, 1.5, 3, 6):
        edge = 900 * (1 / shape + 1) ** (1 / shape)
        below = mean_further_life_kg(edge * (1 - 1e-9), shape, 900)
        assert mean_further_life_kg(edge * (1 + 1e-9), shape, 900) == near(below, rel=1e-7)


@given(st.floats(1.2, 6), st.floats(0, 2), st.floats(0.01, 1))
def test_wear_out_shortens_what_is_left(shape: float, part: float, more: float) -> None:
    assert mean_further_life_kg((part + more) * 900, shape, 900) < mean_further_life_kg(
        part * 900, shape, 900
    )
    assert weibull_hazard_per_kg((part + more) * 900, shape, 900) > weibull_hazard_per_kg(
        part * 900, shape, 900
    )


@given(shapes, st.floats(0.01, 3), st.floats(0.1, 10))
def test_only_life_over_scale_matters(shape: float, part: float, factor: float) -> None:
    assert weibull_reliability(part * 900, shape, 900) == near(
        weibull_reliability(part * 900 * factor, shape, 900 * factor), rel=1e-9
    )
    assert weibull_mean_kg(shape, 900 * factor) == near(factor * weibull_mean_kg(shape, 900))


def test_beyond_all_numbers() -> None:
    assert weibull_reliability(1e300, 8, 1) == 0
    assert weibull_failed(1e300, 8, 1) == 1
    with pytest.raises(InputError, match="no reliability is left"):
        mean_further_life_kg(1e300, 8, 1)
    with pytest.raises(InputError, match="shape is so small"):
        weibull_mean_kg(0.001, 1)
    assert mean_further_life_kg(9000, 8, 900) > 0  # the reliability itself is too small to hold


def test_hazard_at_nought() -> None:
    assert weibull_hazard_per_kg(0, 1, 900) == near(1 / 900)
    assert weibull_hazard_per_kg(0, 3, 900) == 0
    with pytest.raises(InputError, match="above 0 when the shape is below 1"):
        weibull_hazard_per_kg(0, 0.5, 900)


def test_roots() -> None:
    assert rising_root(lambda x: x**3 - 5, 1, "none") == near(5 ** (1 / 3), rel=1e-15)
    assert rising_root(lambda x: x - 1e-9, 1, "none") == near(1e-9, rel=1e-15)
    assert rising_root(lambda x: x - 3e9, 1, "none") == near(3e9, rel=1e-15)
    with pytest.raises(InputError, match="never above"):
        rising_root(lambda _x: -1, 1, "never above")
    with pytest.raises(InputError, match="never below"):
        rising_root(lambda _x: 1, 1, "never below")
