"""Fits to observed lives: the handbook's test, two libraries, and what cannot be fitted."""

from __future__ import annotations

import warnings
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from trainer.errors import InputError
from trainer.maths.life import weibull_life_kg, weibull_mean_kg, weibull_reliability, weibull_sd_kg
from trainer.maths.life_fit import (
    kaplan_meier,
    normal_quantile,
    rank_benard,
    rank_exact,
    survival_at,
    weibull_fit,
    weibull_plot_fit,
)

near = pytest.approx

# NIST/SEMATECH e-Handbook 8.4.1.3: 20 units on test, ten unfailed at 500 h. The handbook's own
# listings disagree about the first time: 54 in the probability plot, 55 in maximum likelihood.
FAILED = [54, 187, 216, 240, 244, 335, 361, 373, 375, 386]
FAILED_55 = [55, *FAILED[1:]]
SOUND = [500] * 10


def test_maximum_likelihood_with_first_time_54() -> None:
    found = weibull_fit(FAILED, SOUND)
    assert found.shape == near(1.720797261, abs=1e-9)
    assert found.scale_kg == near(606.5275580, abs=1e-7)
    assert found.log_likelihood == near(-75.13461816, abs=1e-8)
    assert found.aic == near(154.2692363, abs=1e-7)
    # quoted from the handbook: 1.7208 and 606.528
    assert round(found.shape, 4) == 1.7208
    assert weibull_mean_kg(found.shape, found.scale_kg) == near(540.7370255, abs=1e-6)
    assert weibull_sd_kg(found.shape, found.scale_kg) == near(323.8058243, abs=1e-6)
    assert weibull_life_kg(10, found.shape, found.scale_kg) == near(164.0224387, abs=1e-6)
    assert weibull_reliability(400, found.shape, found.scale_kg) == near(0.6135242466, abs=1e-9)
    assert (found.failures, found.suspensions) == (10, 10)


def test_maximum_likelihood_with_first_time_55_as_published() -> None:
    found = weibull_fit(FAILED_55, SOUND)
    # published listing of the handbook: 1.72563, 606.005, -75.122, 154.24, mean 540.175, sd 322.647
    assert round(found.shape, 5) == 1.72563
    assert round(found.scale_kg, 3) == 606.005
    assert found.log_likelihood is not None
    assert round(found.log_likelihood, 3) == -75.122
    assert found.aic is not None
    assert round(found.aic, 2) == 154.24
    assert round(weibull_mean_kg(found.shape, found.scale_kg), 3) == 540.175
    assert round(weibull_sd_kg(found.shape, found.scale_kg), 3) == 322.647
    assert found.shape == near(1.725625753, abs=1e-9)
    assert found.scale_kg == near(606.0047980, abs=1e-7)
    assert found.log_likelihood == near(-75.12184563, abs=1e-8)
    assert weibull_life_kg(10, found.shape, found.scale_kg) == near(164.4818449, abs=1e-6)
    assert weibull_reliability(400, found.shape, found.scale_kg) == near(0.6136807112, abs=1e-9)
    # one hour in one life shows: the two listings are not the same data
    assert found.shape != near(1.720797261, abs=1e-3)
    import math

    assert math.log(found.scale_kg) == near(6.406887903, abs=1e-9)
    assert 1 / found.shape == near(0.5794999282, abs=1e-9)


def test_errors_and_both_kinds_of_interval() -> None:
    found = weibull_fit(FAILED, SOUND)
    assert found.shape_error == near(0.5021506, abs=1e-7)
    assert found.scale_error_kg == near(124.9106, abs=1e-4)
    assert [found.shape_low, found.shape_high] == near([0.971266, 3.048746], abs=1e-6)
    assert [found.scale_low_kg, found.scale_high_kg] == near([405.0893, 908.1348], abs=1e-4)
    assert found.interval == "log scale"
    other = weibull_fit(FAILED, SOUND, interval="symmetric")
    assert [other.scale_low_kg, other.scale_high_kg] == near([361.707, 851.348], abs=1e-3)
    assert [other.shape_low, other.shape_high] == near([0.7366, 2.7050], abs=1e-4)
    assert other.interval == "symmetric"
    published = weibull_fit(FAILED_55, SOUND)
    assert published.shape_error == near(0.5034066, abs=1e-7)
    assert published.scale_error_kg == near(124.4317, abs=1e-4)
    assert weibull_fit(FAILED, SOUND, 0.5).shape_low > (found.shape_low or 0)  # type: ignore[operator]


def test_scipy_fits_the_same() -> None:
    import numpy as np
    from scipy.stats import CensoredData, weibull_min

    data = CensoredData(uncensored=np.array(FAILED, float), right=np.array(SOUND, float))
    shape, location, scale = weibull_min.fit(data, floc=0)
    found = weibull_fit(FAILED, SOUND)
    assert location == 0
    assert found.shape == near(shape, rel=1e-5)
    assert found.scale_kg == near(scale, rel=1e-5)


def lifelines() -> Any:  # noqa: ANN401 - untyped
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import lifelines as module
    return module


def test_lifelines_fits_the_same() -> None:
    module = lifelines()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = module.WeibullFitter().fit([*FAILED, *SOUND], [1] * 10 + [0] * 10)
        summary = theirs.summary
    found = weibull_fit(FAILED, SOUND, interval="symmetric")
    assert theirs.rho_ == near(found.shape, rel=1e-5)
    assert theirs.lambda_ == near(found.scale_kg, rel=1e-5)
    assert theirs.log_likelihood_ == near(found.log_likelihood, rel=1e-6)
    assert near(found.aic, rel=1e-6) == theirs.AIC_
    assert summary.loc["lambda_", "se(coef)"] == near(found.scale_error_kg, rel=1e-3)
    assert summary.loc["rho_", "coef lower 95%"] == near(found.shape_low, rel=1e-3)
    # its argument is the share still sound
    assert theirs.percentile(0.9) == near(
        weibull_life_kg(10, found.shape, found.scale_kg), rel=1e-5
    )
    assert theirs.percentile(0.9) == near(164.0224, abs=1e-3)


def test_fruit_flies_of_lifelines() -> None:
    module = lifelines()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from lifelines.datasets import load_waltons

        flies = load_waltons()
    failed = [float(value) for value in flies["T"][flies["E"] == 1]]
    other = [float(value) for value in flies["T"][flies["E"] == 0]]
    assert (len(failed), len(other)) == (156, 7)
    found = weibull_fit(failed, other)
    # what the library's optimiser prints; the root is sharper (its likelihood higher)
    assert found.scale_kg == near(55.733097, rel=1e-6)
    assert found.shape == near(3.450505, rel=2e-6)
    assert found.log_likelihood == near(-672.062187, abs=1e-5)
    survival = kaplan_meier(failed, other)
    assert survival.median == 56
    assert survival.at(25) == near(0.8889570552, abs=1e-9)
    assert survival.at(50) == near(0.6168168456, abs=1e-9)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = module.KaplanMeierFitter().fit(flies["T"], flies["E"])
    for step in survival.steps:
        assert theirs.predict(step.life) == near(step.reliability, rel=1e-9)


def test_probability_plot() -> None:
    # -ln(1 - rank) as listed by the handbook for 20 units
    import math

    listed = [
        0.03491627, 0.08701138, 0.14197026, 0.20012618, 0.26187419,
        0.32768741, 0.39813907, 0.47393291, 0.55594606, 0.64529116,
    ]  # fmt: skip
    ranks = [-math.log(1 - rank_benard(place, 20)) for place in range(1, 11)]
    assert ranks == near(listed, abs=1e-8)
    found = weibull_plot_fit(FAILED, 20)
    # published slope 1.457519 and intercept -4.116536 of the log10 line
    assert found.shape == near(1.457518920, abs=1e-9)
    assert found.shape * math.log10(found.scale_kg) == near(4.116535969, abs=1e-8)
    assert found.scale_kg == near(667.336, abs=1e-3)
    other = weibull_plot_fit(FAILED, 20, "X on Y")
    assert other.shape == near(1.625962767, abs=1e-9)
    assert other.scale_kg == near(601.9598903, abs=1e-6)
    # three ways, three shapes: 18 % apart is normal with ten failures
    assert weibull_fit(FAILED, SOUND).shape / found.shape == near(1.18, abs=0.005)
    assert found.aic is None
    assert found.shape_low is None


def test_median_ranks() -> None:
    rows = [
        (1, 5, 0.1296296296, 0.1294494367), (3, 5, 0.5, 0.5), (1, 10, 0.0673076923, 0.0669670085),
        (1, 20, 0.0343137255, 0.0340636712), (20, 20, 0.9656862745, 0.9659363289),
    ]  # fmt: skip
    for order, count, benard, exact in rows:
        assert rank_benard(order, count) == near(benard, abs=1e-10)
        assert rank_exact(order, count) == near(exact, abs=1.5e-10)
    for bad in (0, 6):
        with pytest.raises(InputError, match="order"):
            rank_benard(bad, 5)
        with pytest.raises(InputError, match="order"):
            rank_exact(bad, 5)


def test_kaplan_meier_of_the_handbook() -> None:
    survival = kaplan_meier(FAILED, SOUND)
    found = [step.reliability for step in survival.steps]
    assert found == near([0.95, 0.9, 0.85, 0.8, 0.75, 0.7, 0.65, 0.6, 0.55, 0.5])
    # Greenwood: first two and last as listed
    errors = [step.error for step in survival.steps]
    assert [round(errors[0], 4), round(errors[1], 4), round(errors[-1], 4)] == [
        0.0487,
        0.0671,
        0.1118,
    ]
    assert survival.at(53.9) == 1
    assert survival.at(54) == near(0.95)
    assert survival.at(499) == near(0.5)
    # exactly one half is not below one half; "half or fewer" would say 386
    assert survival.median is None
    assert survival_at(386, FAILED, SOUND) == near(0.5)


def test_ties_take_the_failure_first() -> None:
    survival = kaplan_meier([100, 100, 300], [100, 200])
    assert [(step.at_risk, step.failed) for step in survival.steps] == [(5, 2), (1, 1)]
    assert [step.reliability for step in survival.steps] == near([0.6, 0])
    assert survival.steps[-1].error == 0
    assert survival.median == 300
    assert kaplan_meier([], [5]).steps == ()
    assert kaplan_meier([], [5]).median is None


@given(
    st.lists(st.integers(1, 20), min_size=1, max_size=30), st.lists(st.integers(1, 20), max_size=30)
)
def test_kaplan_meier_counts_by_hand(failed: list[int], other: list[int]) -> None:
    survival = kaplan_meier(failed, other)
    share = 1.0
    for step in survival.steps:
        at_risk = sum(life >= step.life for life in failed + other)
        share *= 1 - failed.count(int(step.life)) / at_risk
        assert step.reliability == near(share, abs=1e-12)
    shares = [step.reliability for step in survival.steps]
    assert shares == sorted(shares, reverse=True)


lives = st.lists(st.floats(1, 1000), min_size=2, max_size=25)


@given(lives, lives, st.floats(0.01, 100))
def test_scaling_the_lives_scales_the_fit(
    failed: list[float], other: list[float], factor: float
) -> None:
    assume(max(failed) > 1.05 * min(failed))
    found = weibull_fit(failed, other)
    scaled = weibull_fit([factor * life for life in failed], [factor * life for life in other])
    assert scaled.shape == near(found.shape, rel=1e-6)
    assert scaled.scale_kg == near(factor * found.scale_kg, rel=1e-6)


@given(lives, lives)
def test_the_fit_is_a_top_of_the_likelihood(failed: list[float], other: list[float]) -> None:
    import math

    assume(max(failed) > 1.05 * min(failed))
    found = weibull_fit(failed, other)

    def likelihood(shape: float, scale: float) -> float:
        return math.fsum(
            math.log(shape / scale) + (shape - 1) * math.log(life / scale) for life in failed
        ) - math.fsum((life / scale) ** shape for life in failed + other)

    top = likelihood(found.shape, found.scale_kg)
    assert found.log_likelihood == near(top, rel=1e-9, abs=1e-6)
    for shape_factor in (0.98, 1, 1.02):
        for scale_factor in (0.98, 1, 1.02):
            beside = likelihood(found.shape * shape_factor, found.scale_kg * scale_factor)
            assert beside <= top + 1e-9 * abs(top)


def test_dropping_suspensions_or_counting_them_as_failures_is_another_answer() -> None:
    right = weibull_fit(FAILED, SOUND)
    assert weibull_fit(FAILED).scale_kg < 0.6 * right.scale_kg
    assert weibull_fit([*FAILED, *SOUND]).scale_kg < 0.8 * right.scale_kg


def test_what_cannot_be_fitted() -> None:
    with pytest.raises(InputError, match="failures_kg holds 0 values"):
        weibull_fit([], SOUND)
    with pytest.raises(InputError, match="longest life"):
        weibull_fit([500, 500], [400])
    with pytest.raises(InputError, match="longest life"):
        weibull_fit([300])
    with pytest.raises(InputError, match=r"suspensions_kg\[0\]"):
        weibull_fit(FAILED, [0])
    with pytest.raises(InputError, match="interval"):
        weibull_fit(FAILED, SOUND, interval="wide")
    with pytest.raises(InputError, match="regress"):
        weibull_plot_fit(FAILED, 20, "both")
    with pytest.raises(InputError, match="all lives are equal"):
        weibull_plot_fit([5, 5], 2)
    with pytest.raises(InputError, match="count"):
        weibull_plot_fit(FAILED, 9)


def test_one_failure_gives_an_estimate_without_an_interval() -> None:
    found = weibull_fit([300], [400, 500])
    assert found.shape > 0
    assert found.shape_low is None
    assert found.shape_error is None


def test_normal_quantile() -> None:
    assert normal_quantile(0.95) == near(1.959963985, abs=1e-9)
    with pytest.raises(InputError, match="confidence"):
        normal_quantile(95)
