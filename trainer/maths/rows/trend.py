"""Rows of ``grind_trend``: the grind time against kilograms, and when it reaches a limit."""

from __future__ import annotations

from trainer.maths.catalogue import Argument, Entry, Result
from trainer.maths.grind_trend import KINDS

_LINE = "NIST/SEMATECH e-Handbook of Statistical Methods, 4.1.4.1 (from memory)"
_FIELLER = "F. A. Graybill and H. K. Iyer, Regression Analysis (1994), pp. 431-434"
_ONE = "one coffee, one dose, one setting, after run-in; independent readings"
_KG = Argument("throughput_kg", "kg", "kilograms ground at each reading", 0, shape="sequence",
               least=3)  # fmt: skip
_S = Argument("time_s", "s", "grind time of one dose at each reading", 0, shape="sequence",
              above=True, least=3)  # fmt: skip
_LIMIT = Argument("limit_s", "s", "grind time at which burrs are changed", 0, above=True)
_CONFIDENCE = Argument("confidence", "", "confidence", 0, 1, above=True, below=True,
                       required=False)  # fmt: skip
_READINGS = "throughput_kg=0,60,120,180,240,300,360 time_s=5.02,5.09,5.21,5.27,5.40,5.44,5.57"

ROWS = (
    Entry(
        name="grind_time_slope",
        meaning="How much the grind time of a dose grows with each kilogram.",
        arguments=(_KG, _S),
        unit="s/kg",
        formula="least-squares slope of grind time on kilograms",
        source=_LINE,
        where="grind_trend:grind_time_slope_s_per_kg",
        example=_READINGS,
        validity=_ONE,
    ),
    Entry(
        name="grind_time_at",
        meaning="The grind time that the line gives at a throughput.",
        arguments=(_KG, _S, Argument("at_kg", "kg", "throughput asked for", 0)),
        unit="s",
        formula="height of the least-squares line",
        source=_LINE,
        where="grind_trend:grind_time_at_s",
        example=f"{_READINGS} at_kg=480",
        validity=_ONE,
    ),
    Entry(
        name="grind_time_limit",
        meaning="The throughput at which the line reaches a limit of the grind time.",
        arguments=(_KG, _S, _LIMIT),
        unit="kg",
        formula="mean throughput plus (limit minus mean time) over the slope",
        source=_FIELLER,
        where="grind_trend:grind_time_limit_kg",
        example=f"{_READINGS} limit_s=6",
        validity=f"{_ONE}; not beyond twice the observed range",
    ),
    Entry(
        name="earliest_limit",
        meaning="The throughput to plan on: the lower end of where the limit is reached.",
        arguments=(
            _KG,
            _S,
            _LIMIT,
            _CONFIDENCE,
            Argument("of", "", "what reaches the limit", shape="text", choices=KINDS,
                     required=False),
        ),
        unit="kg",
        formula="lower end of Fieller's interval",
        source=_FIELLER,
        where="grind_trend:earliest_limit_kg",
        example=f"{_READINGS} limit_s=6 of=mean line",
        validity=_ONE,
    ),
    Entry(
        name="grind_time_forecast",
        meaning="The trend of the grind time, its limit and both kinds of interval.",
        arguments=(_KG, _S, _LIMIT, _CONFIDENCE),
        unit="",
        formula="least-squares line; Fieller's interval for the mean line and for one reading",
        source=_FIELLER,
        where="grind_trend:grind_time_forecast",
        example=f"{_READINGS} limit_s=6",
        validity=_ONE,
        results=(
            Result("slope_s_per_kg", "s/kg", "growth per kilogram"),
            Result("slope_error_s_per_kg", "s/kg", "its standard error"),
            Result("start_s", "s", "the line at 0 kg"),
            Result("scatter_s", "s", "residual standard deviation"),
            Result("r_squared", "", "share of the spread that the line explains"),
            Result("reached_kg", "kg", "where the line reaches the limit"),
            Result("mean_low_kg", "kg", "lower end for the mean line"),
            Result("mean_high_kg", "kg", "upper end for the mean line"),
            Result("reading_low_kg", "kg", "lower end for one reading: plan on this"),
            Result("reading_high_kg", "kg", "upper end for one reading"),
            Result("g", "", "below 1 the interval is finite"),
            Result("is_far", "", "whether the limit lies beyond twice the observed range"),
            Result("next_low_s", "s", "lower end of one new reading"),
            Result("next_high_s", "s", "upper end of one new reading"),
        ),
    ),
    Entry(
        name="days_left_uncertainty",
        meaning="The standard uncertainty of the days left.",
        arguments=(
            Argument("left_kg", "kg", "kilograms left", 0, above=True),
            Argument("left_uncertainty_kg", "kg", "its standard uncertainty", 0),
            Argument("rate_kg_per_day", "kg/day", "calendar rate", 0, above=True),
            Argument("rate_uncertainty_kg_per_day", "kg/day", "its standard uncertainty", 0),
        ),
        unit="day",
        formula="days left times the root of the sum of the squared relative uncertainties",
        source="JCGM 100:2008 (GUM), 5.1.6 (from memory)",
        where="grind_trend:days_left_uncertainty_day",
        example="left_kg=400 left_uncertainty_kg=40 rate_kg_per_day=4 "
        "rate_uncertainty_kg_per_day=0.3",
        validity="kilograms and rate independent, relative uncertainties small",
    ),
)  # fmt: skip
