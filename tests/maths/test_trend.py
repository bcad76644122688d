"""The straight line against certified data, published intervals, and other libraries."""

from __future__ import annotations

import warnings

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from trainer.errors import InputError
from trainer.maths.trend import (
    confidence_interval,
    crossing,
    crossing_wald,
    fit,
    prediction_interval,
    slope_interval,
    student_quantile,
)

near = pytest.approx

# NIST Statistical Reference Datasets, Norris (linear least squares, lower difficulty): y, x.
NORRIS = [
    (0.1, 0.2), (338.8, 337.4), (118.1, 118.2), (888.0, 884.6), (9.2, 10.1), (228.1, 226.5),
    (668.5, 666.3), (998.5, 996.3), (449.1, 448.6), (778.9, 777.0), (559.2, 558.2), (0.3, 0.4),
    (0.1, 0.6), (778.1, 775.5), (668.8, 666.9), (339.3, 338.0), (448.9, 447.5), (10.8, 11.6),
    (557.7, 556.0), (228.3, 228.1), (998.0, 995.8), (888.8, 887.6), (119.6, 120.2), (0.3, 0.3),
    (0.6, 0.3), (557.6, 556.8), (339.3, 339.1), (888.0, 887.2), (998.5, 999.0), (778.9, 779.0),
    (10.2, 11.1), (117.6, 118.3), (228.9, 229.2), (668.4, 669.1), (449.2, 448.9), (0.2, 0.5),
]  # fmt: skip
# Thermometer calibration, Graybill and Iyer, Regression Analysis (1994), p. 431.
THERMOMETER_X = [96, 98, 100, 102, 104, 106, 108, 110]
THERMOMETER_Y = [95.71, 98.16, 99.52, 102.09, 103.79, 106.18, 108.14, 110.21]
# Grind times, made up.
KG = [0, 60, 120, 180, 240, 300, 360]
SECONDS = [5.02, 5.09, 5.21, 5.27, 5.40, 5.44, 5.57]


def test_certified_line_of_norris() -> None:
    assert len(NORRIS) == 36
    line = fit([x for _, x in NORRIS], [y for y, _ in NORRIS])
    # certified values, NIST StRD
    assert line.intercept == near(-0.262323073774029, rel=1e-12)
    assert line.slope == near(1.00211681802045, rel=1e-14)
    assert line.intercept_se == near(0.232818234301152, rel=1e-13)
    assert line.slope_se == near(0.429796848199937e-3, rel=1e-13)
    assert line.sd == near(0.884796396144373, rel=1e-13)
    assert line.r_squared == near(0.999993745883712, rel=1e-14)


def test_published_thermometer() -> None:
    line = fit(THERMOMETER_X, THERMOMETER_Y)
    assert line.intercept == near(-3.139523810, abs=1e-9)
    assert line.slope == near(1.030238095, abs=1e-9)
    assert line.sd == near(0.2344463251, abs=1e-10)
    assert line.sxx == 168
    one = crossing(line, 104, 0.95, 1)
    assert one.low is not None
    assert one.high is not None
    # published: 103.995 with ends 103.4 and 104.6
    assert round(one.at, 3) == 103.995
    assert (round(one.low, 1), round(one.high, 1)) == (103.4, 104.6)
    assert one.at == near(103.9949156, abs=1e-7)
    assert one.low == near(103.4040511, abs=1e-7)
    assert one.high == near(104.5894594, abs=1e-7)
    assert one.g == near(0.001845606100, abs=1e-12)
    wald = crossing_wald(line, 104, 0.95, 1)
    assert (wald.high - wald.at) / student_quantile(0.95, 6) == near(0.2420005718, abs=1e-10)
    # published at 90 %: 100.1 with ends 99.63 and 100.59
    other = crossing(line, 100, 0.90, 1)
    assert other.low is not None
    assert other.high is not None
    assert (round(other.at, 1), round(other.low, 2), round(other.high, 2)) == (100.1, 99.63, 100.59)
    assert other.at == near(100.1123180, abs=1e-7)
    assert other.low == near(99.62940290, abs=1e-8)
    assert other.high == near(100.5885031, abs=1e-7)


def test_grind_time_line() -> None:
    line = fit(KG, SECONDS)
    assert line.slope == near(0.001511904762, abs=1e-12)
    assert line.intercept == near(5.013571429, abs=1e-9)
    assert line.sd == near(0.02077085871, abs=1e-11)
    assert line.slope_se == near(6.542205554e-5, rel=1e-9)
    assert line.intercept_se == near(0.01415295455, abs=1e-11)
    assert line.r_squared == near(0.9907248157, abs=1e-10)
    assert line.at(480) == near(5.739285714, abs=1e-9)
    mean = confidence_interval(line, 480)
    assert [mean.low, mean.high] == near([5.684947, 5.793624], abs=1e-6)
    new = prediction_interval(line, 480)
    assert [new.low, new.high] == near([5.663105, 5.815466], abs=1e-6)


def test_grind_time_limit() -> None:
    line = fit(KG, SECONDS)
    mean, one = crossing(line, 6.0), crossing(line, 6.0, readings=1)
    assert mean.at == one.at == near(652.4409449, abs=1e-7)
    assert mean.g == near(0.01237263980, abs=1e-11)
    assert [mean.low, mean.high] == near([603.4814475, 713.2375822], abs=1e-7)
    assert [one.low, one.high] == near([592.9807082, 723.7383215], abs=1e-7)
    # which kind is meant is no small matter: ten kilograms
    assert mean.low is not None
    assert one.low is not None
    assert mean.low - one.low > 10
    assert not mean.is_far
    assert crossing(line, 6.2).is_far


def test_far_means_beyond_twice_the_observed_range() -> None:
    # readings from 100 to 200: 300 is the last place that is not far, -0 the first on the left
    line = fit([100, 150, 200], [1, 1.5, 2.0])
    assert not crossing(line, 2.999).is_far
    assert crossing(line, 3.001).is_far
    assert not crossing(line, 0.001).is_far
    assert crossing(line, -0.001).is_far


def test_ninety_five_percent_is_usual() -> None:
    line = fit(KG, SECONDS)
    assert prediction_interval(line, 480) == prediction_interval(line, 480, 0.95, 1)
    assert confidence_interval(line, 480) == confidence_interval(line, 480, 0.95)
    assert slope_interval(line) == slope_interval(line, 0.95)
    assert crossing(line, 6) == crossing(line, 6, 0.95)
    assert crossing_wald(line, 6) == crossing_wald(line, 6, 0.95)


def test_a_finite_interval_ends_where_the_slope_s_interval_touches_nought() -> None:
    line = fit([0, 60, 120, 180], [5.0, 5.3, 4.9, 5.4])
    for confidence in (0.3, 0.5, 0.6, 0.7, 0.8, 0.9):
        slope, found = slope_interval(line, confidence), crossing(line, 6.0, confidence)
        assert found.is_finite == (slope.low > 0)
        assert (found.g < 1) == (slope.low > 0)
        assert (found.high is None) == (slope.low <= 0)


def test_student_quantile() -> None:
    assert student_quantile(0.95, 5) == near(2.570581836, abs=1e-9)


def test_statsmodels_agrees() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import statsmodels.api as sm

        model = sm.OLS(SECONDS, sm.add_constant(KG)).fit()
        frame = model.get_prediction([[1, 480], [1, 50]]).summary_frame(alpha=0.1)
    line = fit(KG, SECONDS)
    assert model.params == near([line.intercept, line.slope], rel=1e-10)
    assert model.bse == near([line.intercept_se, line.slope_se], rel=1e-10)
    assert model.scale == near(line.sd**2, rel=1e-10)
    assert model.rsquared == near(line.r_squared, rel=1e-10)
    low, high = model.conf_int(alpha=0.1)[1]
    slope = slope_interval(line, 0.9)
    assert [slope.low, slope.high] == near([low, high], rel=1e-9)
    for row, x in enumerate((480, 50)):
        mean, new = confidence_interval(line, x, 0.9), prediction_interval(line, x, 0.9)
        assert frame["mean"].iloc[row] == near(mean.at)
        assert frame["mean_ci_lower"].iloc[row] == near(mean.low)
        assert frame["mean_ci_upper"].iloc[row] == near(mean.high)
        assert frame["obs_ci_lower"].iloc[row] == near(new.low)
        assert frame["obs_ci_upper"].iloc[row] == near(new.high)


def test_fieller_ends_are_where_the_bands_reach_the_limit() -> None:
    # the ends are the places whose interval just touches the limit: found by bisection
    line = fit(KG, SECONDS)

    def place(readings: int | None, *, upper: bool) -> float:
        low, high = 300.0, 2000.0
        for _ in range(200):
            middle = (low + high) / 2
            band = (
                prediction_interval(line, middle, 0.95, readings)
                if readings
                else confidence_interval(line, middle)
            )
            if (band.high if upper else band.low) < 6.0:
                low = middle
            else:
                high = middle
        return low

    for readings in (None, 1, 4):
        found = crossing(line, 6.0, readings=readings)
        assert found.low == near(place(readings, upper=True), rel=1e-9)
        assert found.high == near(place(readings, upper=False), rel=1e-9)


def test_more_readings_narrow_the_interval() -> None:
    line = fit(KG, SECONDS)
    widths = []
    for readings in (1, 2, 10, 1000):
        found = crossing(line, 6.0, readings=readings)
        assert found.high is not None
        assert found.low is not None
        widths.append(found.high - found.low)
    mean = crossing(line, 6.0)
    assert mean.high is not None
    assert mean.low is not None
    assert widths == sorted(widths, reverse=True)
    assert widths[-1] == near(mean.high - mean.low, rel=1e-3)


def test_a_slope_within_its_noise_has_no_finite_interval() -> None:
    line = fit([0, 60, 120, 180], [5.0, 5.3, 4.9, 5.2])
    found = crossing(line, 6.0)
    assert found.g >= 1
    assert (found.low, found.high) == (None, None)
    assert not found.is_finite
    assert found.at > 0
    assert crossing(fit(KG, SECONDS), 6.0).is_finite


def test_a_level_line_never_gets_there() -> None:
    with pytest.raises(InputError, match="level"):
        crossing(fit([0, 1, 2], [5, 5, 5]), 6)
    assert fit([0, 1, 2], [5, 5, 5]).r_squared == 1


@pytest.mark.parametrize(
    ("x", "y", "words"),
    [
        ([1, 2], [1, 2], "x holds 2 values"),
        ([1, 2, 3], [1, 2], "y holds 2 values"),
        ([4, 4, 4], [1, 2, 3], "same place"),
        ([0.1, 0.1, 0.1], [1, 2, 3], "same place"),
        ([0, 1e-200, 0], [1, 2, 3], "same place"),  # too near for their squares
        ([1, 2, float("nan")], [1, 2, 3], "x"),
    ],
)
def test_what_gives_no_line(x: list[float], y: list[float], words: str) -> None:
    with pytest.raises(InputError, match=words):
        fit(x, y)


@pytest.mark.parametrize("confidence", [0, 1, 95, -0.5])
def test_confidence_is_a_share(confidence: float) -> None:
    with pytest.raises(InputError, match="confidence"):
        crossing(fit(KG, SECONDS), 6.0, confidence)


points = st.lists(st.tuples(st.floats(0, 1000), st.floats(-50, 50)), min_size=4, max_size=30)


@given(points, st.floats(-5, 5), st.floats(0.1, 10))
def test_shifting_and_scaling(pairs: list[tuple[float, float]], shift: float, scale: float) -> None:
    x, y = [a for a, _ in pairs], [b for _, b in pairs]
    assume(max(x) - min(x) > 1)
    line = fit(x, y)
    moved = fit([scale * a + shift for a in x], y)
    assert moved.slope * scale == near(line.slope, rel=1e-6, abs=1e-9)
    assert moved.sd == near(line.sd, rel=1e-6, abs=1e-6)
    taller = fit(x, [scale * b + shift for b in y])
    assert taller.slope == near(scale * line.slope, rel=1e-6, abs=1e-9)
    assert taller.r_squared == near(line.r_squared, abs=1e-6)


@given(points)
def test_scipy_agrees(pairs: list[tuple[float, float]]) -> None:
    from scipy.stats import linregress

    x, y = [a for a, _ in pairs], [b for _, b in pairs]
    assume(max(x) - min(x) > 1)
    assume(max(y) - min(y) > 1)
    line, theirs = fit(x, y), linregress(x, y)
    assert line.slope == near(theirs.slope, rel=1e-8, abs=1e-10)
    assert line.intercept == near(theirs.intercept, rel=1e-8, abs=1e-8)
    assert line.slope_se == near(theirs.stderr, rel=1e-5, abs=1e-9)
    assert line.intercept_se == near(theirs.intercept_stderr, rel=1e-5, abs=1e-6)


def test_symmetric_shortcut_is_too_short_when_g_is_large() -> None:
    line = fit([0, 60, 120, 180, 240], [5.0, 5.12, 5.14, 5.3, 5.27])
    exact, wald = crossing(line, 6.0), crossing_wald(line, 6.0)
    assert exact.g > 0.2
    assert exact.high is not None
    assert wald.high < exact.high
    assert wald.at - wald.low == near(wald.high - wald.at)
    assert wald.low < wald.at
    assert wald.at == exact.at
