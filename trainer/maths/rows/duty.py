"""Rows of ``duty``: what a run log says."""

from __future__ import annotations

from trainer.maths.catalogue import Argument, Entry, Result

PRACTICE = "common practice, no source"
_RUNS = Argument("runs_s", "s", "run log, not overlapping", shape="log")
_WINDOW = Argument("window_s", "s", "length of the window", 0, above=True)
_BEGIN = Argument("begin_s", "s", "begin of the observation; the first start", required=False)
_END = Argument("end_s", "s", "end of the observation; the last stop", required=False)
_LOG_A = "runs_s=0..12,40..58,95..110,118..121,300..330,575..640,660..672,1195..1215"
_NAME_IT = "Say the window and the denominator with every figure."

ROWS = (
    Entry(
        name="seconds_on",
        meaning="Seconds on, of a whole log or between two seconds.",
        arguments=(_RUNS, _BEGIN, _END),
        unit="s",
        formula="sum over the runs of what lies inside; a run over an edge is cut there",
        source=PRACTICE,
        where="duty:busy_s",
        example=f"{_LOG_A} begin_s=0 end_s=600",
    ),
    Entry(
        name="duty_over",
        meaning="Share of a named time that the motor ran.",
        arguments=(
            _RUNS,
            Argument("over_s", "s", "the day, the opening hours, the powered-on time", 0,
                     above=True),
        ),
        unit="",
        formula="seconds on over the denominator",
        source=PRACTICE,
        where="duty:duty_share",
        example=f"{_LOG_A} over_s=1800",
        caution=_NAME_IT,
    ),
    Entry(
        name="duty_in_spans",
        meaning="Share of several spans of time, such as opening hours.",
        arguments=(_RUNS, Argument("spans_s", "s", "spans, not overlapping", shape="log")),
        unit="",
        formula="seconds on inside the spans over the length of the spans",
        source=PRACTICE,
        where="duty:duty_in_spans",
        example=f"{_LOG_A} spans_s=0..100,300..900",
        validity="running outside the spans is not counted",
        caution=_NAME_IT,
    ),
    Entry(
        name="longest_run",
        meaning="The longest single run.",
        arguments=(_RUNS,),
        unit="s",
        formula="largest of end minus begin",
        source=PRACTICE,
        where="duty:longest_run_s",
        example=_LOG_A,
        validity="runs that touch are one",
    ),
    Entry(
        name="starts_an_hour",
        meaning="Motor starts an hour of the observation.",
        arguments=(_RUNS, _BEGIN, _END),
        unit="1/h",
        formula="runs that begin inside the observation over its hours",
        source=PRACTICE,
        where="duty:starts_per_h",
        example=f"{_LOG_A} begin_s=0 end_s=1800",
        caution="Many short runs heat start winding and capacitor: report starts beside the share.",
    ),
    Entry(
        name="most_starts",
        meaning="The most starts in any window of a length.",
        arguments=(_RUNS, _WINDOW, _BEGIN, _END),
        unit="",
        formula="largest number of starts from one start on, without the window's end",
        source=PRACTICE,
        where="duty:most_starts",
        example=f"{_LOG_A} window_s=600",
    ),
    Entry(
        name="duty_by_bins",
        meaning="Shares of windows laid end to end, such as clock hours.",
        arguments=(_RUNS, _WINDOW, _BEGIN, _END),
        unit="",
        formula="seconds on inside each window over the window; the last over what was observed",
        source=PRACTICE,
        where="duty:bin_shares",
        example=f"{_LOG_A} window_s=600 begin_s=0 end_s=1800",
        validity="hides a peak that straddles an edge",
        caution=_NAME_IT,
        results=(
            Result("share", "", "share of each window"),
            Result("begin_s", "s", "where each window begins"),
        ),
    ),
    Entry(
        name="peak_duty",
        meaning="The largest share on in any window of a length, wherever it begins.",
        arguments=(_RUNS, _WINDOW, _BEGIN, _END),
        unit="",
        formula="seconds on in the busiest window over the window; it begins or ends with a run",
        source=PRACTICE,
        where="duty:peak_duty",
        example=f"{_LOG_A} window_s=600",
        validity="exact; a window longer than the observation is refused",
        caution=_NAME_IT,
    ),
    Entry(
        name="peak_window",
        meaning="The busiest window of a length, and where it lies.",
        arguments=(_RUNS, _WINDOW, _BEGIN, _END),
        unit="",
        formula="as peak_duty; of equally busy windows the earliest",
        source=PRACTICE,
        where="duty:peak_window",
        example=f"{_LOG_A} window_s=600",
        results=(
            Result("share", "", "share on"),
            Result("busy_s", "s", "seconds on"),
            Result("begin_s", "s", "where the window begins"),
            Result("end_s", "s", "where it ends"),
        ),
    ),
)  # fmt: skip
