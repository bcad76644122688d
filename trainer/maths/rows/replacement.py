"""Rows of ``replacement``: planned change at an age, or at failure, at least cost."""

from __future__ import annotations

from trainer.maths.catalogue import Argument, Entry, Result

_BOOK = (
    "R. E. Barlow and F. Proschan, Mathematical Theory of Reliability (1965), chapter 4 "
    "(from memory)"
)
_MODEL = (
    "a change makes as good as new and takes no time, constant costs, long horizon, a failure is "
    "noticed at once"
)
_FLAT = "The curve is flat: round the age to the next visit. The failure cost must hold lost trade."
_AGE = Argument("age_kg", "kg", "planned age", 0, above=True)
_PLANNED = Argument("planned_money", "money", "cost of a planned change", 0, above=True)
_FAILURE = Argument("failure_money", "money", "cost of a change at failure", 0, above=True)
_REPAIR = Argument("repair_money", "money", "cost of one repair", 0, above=True)
_SHAPE = Argument("shape", "", "Weibull shape", 0, above=True)
_SCALE = Argument("scale_kg", "kg", "Weibull scale", 0, above=True)

ROWS = (
    Entry(
        name="mean_cycle",
        meaning="The mean kilograms between changes at an age or at failure.",
        arguments=(_AGE, _SHAPE, _SCALE),
        unit="kg",
        formula="area under the reliability up to the age",
        source=_BOOK,
        where="replacement:mean_cycle_kg",
        example="age_kg=452 shape=3 scale_kg=900",
        validity=_MODEL,
    ),
    Entry(
        name="replacement_cost",
        meaning="The cost a kilogram of changing at an age or at failure.",
        arguments=(_AGE, _PLANNED, _FAILURE, _SHAPE, _SCALE),
        unit="money/kg",
        formula="(planned cost times reliability plus failure cost times share failed) over the "
        "mean kilograms between changes",
        source=_BOOK,
        where="replacement:replacement_cost_money_per_kg",
        example="age_kg=493 planned_money=1 failure_money=5 shape=2.5 scale_kg=1000",
        validity=_MODEL,
    ),
    Entry(
        name="best_replacement",
        meaning="The planned age of least cost, or run to failure.",
        arguments=(_PLANNED, _FAILURE, _SHAPE, _SCALE),
        unit="",
        formula="hazard times the area under the reliability minus the share failed equals planned "
        "cost over (failure cost minus planned cost)",
        source=_BOOK,
        where="replacement:best_replacement",
        example="planned_money=120 failure_money=420 shape=3 scale_kg=900",
        validity=_MODEL,
        caution=_FLAT,
        results=(
            Result("age_kg", "kg", "planned age; unknown when running to failure is cheapest"),
            Result("cost_money_per_kg", "money/kg", "cost at that age"),
            Result("run_to_failure_money_per_kg", "money/kg", "cost without planned changes"),
            Result("reliability", "", "chance to reach the age"),
            Result("mean_cycle_kg", "kg", "mean kilograms between changes"),
        ),
    ),
    Entry(
        name="replacement_age",
        meaning="The planned age of least cost a kilogram.",
        arguments=(_PLANNED, _FAILURE, _SHAPE, _SCALE),
        unit="kg",
        formula="as best_replacement",
        source=_BOOK,
        where="replacement:replacement_age_kg",
        example="planned_money=120 failure_money=420 shape=3 scale_kg=900",
        validity=f"{_MODEL}; shape above 1",
        caution=_FLAT,
    ),
    Entry(
        name="repair_replacement",
        meaning="The age of least cost when a failure is only repaired.",
        arguments=(
            _PLANNED,
            _REPAIR,
            Argument("shape", "", "Weibull shape", 1, above=True),
            _SCALE,
        ),
        unit="kg",
        formula="scale times (planned cost over (repair cost times (shape minus 1))) to the power "
        "of 1 over shape",
        source="minimal-repair model of the textbooks (from memory)",
        where="replacement:repair_replacement_kg",
        example="planned_money=1 repair_money=5 shape=2.5 scale_kg=1000",
        validity="a repair makes as good as just before the failure",
        caution="Another model of cost than best_replacement: compare with care.",
    ),
    Entry(
        name="repair_cost",
        meaning="The cost a kilogram of changing at an age and repairing failures before it.",
        arguments=(_AGE, _PLANNED, _REPAIR, _SHAPE, _SCALE),
        unit="money/kg",
        formula="(planned cost plus repair cost times (age over scale) to the shape) over the age",
        source="minimal-repair model of the textbooks (from memory)",
        where="replacement:repair_cost_money_per_kg",
        example="age_kg=447 planned_money=1 repair_money=5 shape=2.5 scale_kg=1000",
        validity="a repair makes as good as just before the failure",
    ),
)
