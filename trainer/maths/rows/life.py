"""Rows of ``life`` and ``life_fit``: Weibull lives, what is left, fits to observed lives."""

from __future__ import annotations

from trainer.maths.catalogue import Argument, Entry, Result
from trainer.maths.life_fit import INTERVALS, REGRESSIONS

_HANDBOOK = "NIST/SEMATECH e-Handbook of Statistical Methods, 8.1.6.2"
_LIKELIHOOD = "NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.1.2 (from memory)"
_ONE_MODE = (
    "one kind of failure with one written definition; lives counted from fitting; units taken out "
    "before failure entered as suspensions"
)
_CAUTION = "Fix the limit that counts as failure in writing before collecting lives."
_LIFE = Argument("life_kg", "kg", "kilograms ground", 0)
_AGE = Argument("age_kg", "kg", "kilograms already ground", 0)
_SHAPE = Argument("shape", "", "Weibull shape", 0, above=True)
_SCALE = Argument("scale_kg", "kg", "kilograms by which 63.2 % have failed", 0, above=True)
_FAILURES = Argument("failures_kg", "kg", "lives that ended in failure", 0, shape="sequence",
                     above=True)  # fmt: skip
_SUSPENSIONS = Argument("suspensions_kg", "kg", "lives that ended before failure", 0,
                        shape="sequence", above=True, least=0, required=False)  # fmt: skip
_CONFIDENCE = Argument("confidence", "", "confidence", 0, 1, above=True, below=True,
                       required=False)  # fmt: skip
_TEST = "failures_kg=54,187,216,240,244,335,361,373,375,386"
_REST = "suspensions_kg=500,500,500,500,500,500,500,500,500,500"
_FITTED = (
    Result("shape", "", "beta"),
    Result("scale_kg", "kg", "eta"),
    Result("failures", "", "failures that went in"),
    Result("suspensions", "", "suspensions that went in"),
)

ROWS = (
    Entry(
        name="weibull_reliability",
        meaning="The share that is still sound at a life.",
        arguments=(_LIFE, _SHAPE, _SCALE),
        unit="",
        formula="e to the power of minus (life over scale) to the shape",
        source=_HANDBOOK,
        where="life:weibull_reliability",
        example="life_kg=500 shape=3 scale_kg=900",
        validity=_ONE_MODE,
    ),
    Entry(
        name="weibull_failed",
        meaning="The share that has failed by a life.",
        arguments=(_LIFE, _SHAPE, _SCALE),
        unit="",
        formula="1 minus the reliability",
        source=_HANDBOOK,
        where="life:weibull_failed",
        example="life_kg=1000 shape=1.5 scale_kg=5000",
        validity=_ONE_MODE,
    ),
    Entry(
        name="weibull_hazard",
        meaning="The failure rate among those still sound.",
        arguments=(_LIFE, _SHAPE, _SCALE),
        unit="1/kg",
        formula="shape over scale times (life over scale) to the power of shape minus 1",
        source=_HANDBOOK,
        where="life:weibull_hazard_per_kg",
        example="life_kg=1000 shape=1.5 scale_kg=5000",
        validity="describes a population, not one machine",
    ),
    Entry(
        name="weibull_density",
        meaning="The share of all that fails per kilogram at a life.",
        arguments=(_LIFE, _SHAPE, _SCALE),
        unit="1/kg",
        formula="hazard times reliability",
        source=_HANDBOOK,
        where="life:weibull_density_per_kg",
        example="life_kg=1000 shape=1.5 scale_kg=5000",
        validity=_ONE_MODE,
    ),
    Entry(
        name="mean_hazard",
        meaning="The average failure rate between two lives.",
        arguments=(
            Argument("first_kg", "kg", "earlier life", 0),
            Argument("second_kg", "kg", "later life", 0),
            _SHAPE,
            _SCALE,
        ),
        unit="1/kg",
        formula="difference of (life over scale) to the shape, over the kilograms between",
        source="NIST/SEMATECH e-Handbook of Statistical Methods, 8.1.2.3 (from memory)",
        where="life:mean_hazard_per_kg",
        example="first_kg=0 second_kg=1000 shape=3 scale_kg=1000",
        validity=_ONE_MODE,
    ),
    Entry(
        name="weibull_mean",
        meaning="The mean life.",
        arguments=(_SHAPE, _SCALE),
        unit="kg",
        formula="scale times the gamma function of 1 plus 1 over shape",
        source=_HANDBOOK,
        where="life:weibull_mean_kg",
        example="shape=3 scale_kg=900",
        validity=_ONE_MODE,
    ),
    Entry(
        name="weibull_sd",
        meaning="The standard deviation of the lives.",
        arguments=(_SHAPE, _SCALE),
        unit="kg",
        formula="scale times the root of gamma(1 + 2/shape) minus gamma(1 + 1/shape) squared",
        source=_HANDBOOK,
        where="life:weibull_sd_kg",
        example="shape=1.5 scale_kg=5000",
        validity=_ONE_MODE,
    ),
    Entry(
        name="weibull_life",
        meaning="The life by which so many percent have failed (10: B10 life, 50: median).",
        arguments=(
            Argument("failed_percent", "%", "percent failed", 0, 100, above=True, below=True),
            _SHAPE,
            _SCALE,
        ),
        unit="kg",
        formula="scale times (minus ln of the share still sound) to the power of 1 over shape",
        source=_HANDBOOK,
        where="life:weibull_life_kg",
        example="failed_percent=10 shape=3 scale_kg=900",
        validity=_ONE_MODE,
        caution=_CAUTION,
    ),
    Entry(
        name="reliability_after",
        meaning="The chance that a sound burr of an age lasts so much further.",
        arguments=(_AGE, Argument("further_kg", "kg", "kilograms more", 0), _SHAPE, _SCALE),
        unit="",
        formula="reliability at the later life over reliability at the age",
        source=_HANDBOOK,
        where="life:reliability_after",
        example="age_kg=500 further_kg=100 shape=3 scale_kg=900",
        validity=_ONE_MODE,
    ),
    Entry(
        name="further_life",
        meaning="How much further a sound burr may go until a risk is reached.",
        arguments=(
            _AGE,
            Argument("risk", "", "accepted chance of failing", 0, 1, above=True, below=True),
            _SHAPE,
            _SCALE,
        ),
        unit="kg",
        formula="scale times ((age over scale) to the shape minus ln(1 minus risk)) to the power "
        "of 1 over shape, minus the age",
        source=_HANDBOOK,
        where="life:further_life_kg",
        example="age_kg=500 risk=0.1 shape=3 scale_kg=900",
        validity=_ONE_MODE,
    ),
    Entry(
        name="mean_further_life",
        meaning="The mean life left to a sound burr of an age.",
        arguments=(_AGE, _SHAPE, _SCALE),
        unit="kg",
        formula="area under the reliability from the age on, over the reliability at the age",
        source=_HANDBOOK,
        where="life:mean_further_life_kg",
        example="age_kg=500 shape=3 scale_kg=900",
        validity=_ONE_MODE,
    ),
    Entry(
        name="rank_benard",
        meaning="The median rank of a failure by Benard's approximation.",
        arguments=(
            Argument("order", "", "place of the failure", 1, shape="whole"),
            Argument("count", "", "how many lives", 1, shape="whole"),
        ),
        unit="",
        formula="(order minus 0.3) over (count plus 0.4)",
        source="as used in the NIST/SEMATECH e-Handbook, probability plotting",
        where="life_fit:rank_benard",
        example="order=1 count=5",
        validity="an approximation of the exact median rank",
    ),
    Entry(
        name="rank_exact",
        meaning="The median rank of a failure, exact.",
        arguments=(
            Argument("order", "", "place of the failure", 1, shape="whole"),
            Argument("count", "", "how many lives", 1, shape="whole"),
        ),
        unit="",
        formula="median of the beta distribution with (order, count minus order plus 1)",
        source="definition of the median of an order statistic",
        where="life_fit:rank_exact",
        example="order=1 count=5",
    ),
    Entry(
        name="weibull_fit",
        meaning="The Weibull distribution that makes the lives most likely.",
        arguments=(
            _FAILURES,
            _SUSPENSIONS,
            _CONFIDENCE,
            Argument("interval", "", "kind of interval", shape="text", choices=INTERVALS,
                     required=False),
        ),
        unit="",
        formula="maximum likelihood with suspensions; errors from the observed information",
        source=_LIKELIHOOD,
        where="life_fit:weibull_fit",
        example=f"{_TEST} {_REST}",
        validity=_ONE_MODE,
        caution="The shape from few failures is biased high; say which kind of interval is meant.",
        results=(
            *_FITTED,
            Result("log_likelihood", "", "log likelihood of the fit"),
            Result("shape_error", "", "standard error of the shape"),
            Result("scale_error_kg", "kg", "standard error of the scale"),
            Result("correlation", "", "between the two estimates"),
            Result("shape_low", "", "lower end of the shape"),
            Result("shape_high", "", "upper end of the shape"),
            Result("scale_low_kg", "kg", "lower end of the scale"),
            Result("scale_high_kg", "kg", "upper end of the scale"),
            Result("interval", "", "kind of interval"),
        ),
    ),
    Entry(
        name="weibull_plot_fit",
        meaning="The Weibull distribution by a line through the probability plot.",
        arguments=(
            Argument("failures_kg", "kg", "lives of the first failures", 0, shape="sequence",
                     above=True, least=2),
            Argument("count", "", "units on test", 2, shape="whole"),
            Argument("regress", "", "which way the line is fitted", shape="text",
                     choices=REGRESSIONS, required=False),
        ),
        unit="",
        formula="line of ln(-ln(1 - rank)) over ln life, with Benard's ranks",
        source="NIST/SEMATECH e-Handbook of Statistical Methods, 8.2.2.1 (from memory)",
        where="life_fit:weibull_plot_fit",
        example=f"{_TEST} count=20",
        validity="all units not failed are still sound after the last failure",
        results=_FITTED,
    ),
    Entry(
        name="survival_at",
        meaning="The share still sound at a life, by Kaplan-Meier.",
        arguments=(_LIFE, _FAILURES, _SUSPENSIONS),
        unit="",
        formula="product over the failures of (at risk minus failed) over at risk",
        source="NIST/SEMATECH e-Handbook of Statistical Methods, 8.2.1.5",
        where="life_fit:survival_at",
        example=f"life_kg=300 {_TEST} {_REST}",
        validity="suspensions are independent of the failure to come",
    ),
)  # fmt: skip
