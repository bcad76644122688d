"""Rows of ``fleet`` and ``spares``: time between failures, availability, spares in stock."""

from __future__ import annotations

from trainer.maths.catalogue import Argument, Entry, Result
from trainer.maths.fleet import ENDED_BY
from trainer.maths.spares import LARGEST_DEMAND

_CHANCE = "failures by chance at a constant rate, not wear-out"
_BAYES = "Bayes' rule with Jeffreys' prior for a Poisson rate (from memory)"
_POISSON = "Poisson distribution; MIL-HDBK-338B (from memory)"
_RANDOM = (
    "random demand or a large fleet of mixed ages; a few machines with known counters need "
    "planning dates instead"
)
_TOTAL = Argument("total_h", "h", "hours of all units together", 0, above=True)
_MEAN = Argument("mean_h", "h", "mean time between failures", 0, above=True)
_SPARES = Argument("spares", "", "spares in stock", 0, shape="whole")
_WANTED = Argument("chance", "", "chance that they are enough", 0, 1, above=True, below=True)
_SEEN = Argument("failures", "", "failures seen so far", 0, shape="whole")
_SEEN_H = Argument("seen_h", "h", "hours of use they were seen in", 0, above=True)
_AHEAD_H = Argument("ahead_h", "h", "hours of use to come", 0, above=True)
_SHARES = Argument("shares", "", "availability of each", 0, 1, shape="sequence")

ROWS = (
    Entry(
        name="failure_time",
        meaning="The mean time between chance failures, with bounds.",
        arguments=(
            _TOTAL,
            Argument("failures", "", "failures seen", 0, shape="whole"),
            Argument("confidence", "", "confidence", 0, 1, above=True, below=True, required=False),
            Argument("ended_by", "", "what ended the test", shape="text", choices=ENDED_BY,
                     required=False),
        ),
        unit="",
        formula="total time over failures; twice the total time over chi-square quantiles",
        source="NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.5.1; failure-terminated form "
        "from memory",
        where="fleet:failure_time",
        example="total_h=800 failures=2",
        validity=_CHANCE,
        results=(
            Result("mean_h", "h", "total time over failures"),
            Result("low_h", "h", "lower bound"),
            Result("high_h", "h", "upper bound"),
        ),
    ),
    Entry(
        name="mean_failure_time",
        meaning="The mean time between chance failures.",
        arguments=(_TOTAL, Argument("failures", "", "failures seen", 1, shape="whole")),
        unit="h",
        formula="hours of all units together over failures",
        source="NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.5.1",
        where="fleet:mean_failure_time_h",
        example="total_h=800 failures=2",
        validity=_CHANCE,
    ),
    Entry(
        name="chance_reliability",
        meaning="The chance that nothing fails by chance in a time.",
        arguments=(Argument("time_h", "h", "hours", 0), _MEAN),
        unit="",
        formula="e to the power of minus time over mean time between failures",
        source="exponential distribution; NIST/SEMATECH e-Handbook, chapter 8",
        where="fleet:chance_reliability",
        example="time_h=100 mean_h=400",
        validity=_CHANCE,
    ),
    Entry(
        name="time_to_reliability",
        meaning="The time after which the chance of no failure has sunk to a share.",
        arguments=(
            Argument("reliability", "", "share", 0, 1, above=True, below=True),
            _MEAN,
        ),
        unit="h",
        formula="minus mean time between failures times ln of the share",
        source="exponential distribution; NIST/SEMATECH e-Handbook, chapter 8",
        where="fleet:time_to_reliability_h",
        example="reliability=0.9 mean_h=400",
        validity=_CHANCE,
    ),
    Entry(
        name="availability",
        meaning="The share of the time that a repairable machine is fit for use.",
        arguments=(
            Argument("mean_up_h", "h", "mean time between failures", 0, above=True),
            Argument("mean_down_h", "h", "mean time down", 0),
        ),
        unit="",
        formula="time between failures over time between failures plus time down",
        source="published glossaries of inherent and operational availability",
        where="fleet:availability",
        example="mean_up_h=2000 mean_down_h=4.5",
        validity="long-run average of one repairable unit; active repair time alone gives the "
        "inherent, with waiting the operational availability",
    ),
    Entry(
        name="down_time",
        meaning="The hours down in a period.",
        arguments=(
            Argument("availability", "", "share of the time fit for use", 0, 1),
            Argument("period_h", "h", "hours", 0, required=False),
        ),
        unit="h",
        formula="(1 minus availability) times the period",
        source="definition",
        where="fleet:down_time_h",
        example="availability=0.9977550511 period_h=8760",
    ),
    Entry(
        name="series_availability",
        meaning="The availability of parts that must all be fit.",
        arguments=(_SHARES,),
        unit="",
        formula="product of the availabilities",
        source="product rule of independent parts",
        where="fleet:series_availability",
        example="shares=0.99,0.98,0.995",
        validity="parts fail independently",
    ),
    Entry(
        name="parallel_availability",
        meaning="The availability of machines of which one is enough.",
        arguments=(_SHARES,),
        unit="",
        formula="1 minus the product of (1 minus availability)",
        source="product rule of independent parts",
        where="fleet:parallel_availability",
        example="shares=0.95,0.95",
        validity="machines fail independently: not both on one socket",
    ),
    Entry(
        name="fleet_demand",
        meaning="The burr sets a fleet is expected to need while an order is on its way.",
        arguments=(
            Argument("machines", "", "how many machines", 0),
            Argument("rate_kg_per_day", "kg/day", "kilograms a machine and day", 0),
            Argument("lead_time_day", "day", "days an order takes", 0),
            Argument("life_kg", "kg", "mean life of a burr set", 0, above=True),
        ),
        unit="",
        formula="machines times kilograms a day times days over kilograms a set lasts",
        source="common practice, no source",
        where="spares:fleet_demand",
        example="machines=24 rate_kg_per_day=3.1 lead_time_day=60 life_kg=600",
    ),
    Entry(
        name="enough_spares",
        meaning="The chance that so many spares are enough for a random demand.",
        arguments=(Argument("demand", "", "expected number of demands", 0), _SPARES),
        unit="",
        formula="sum of the Poisson chances of 0 to so many demands",
        source=_POISSON,
        where="spares:enough_spares",
        example="demand=3 spares=3",
        validity=_RANDOM,
    ),
    Entry(
        name="spares_needed",
        meaning="The fewest spares that are enough with a chance.",
        arguments=(
            Argument("demand", "", "expected number of demands", 0, LARGEST_DEMAND),
            _WANTED,
        ),
        unit="",
        formula="smallest number whose summed Poisson chances reach the chance asked for",
        source=_POISSON,
        where="spares:spares_needed",
        example="demand=7.44 chance=0.95",
        validity=_RANDOM,
    ),
    Entry(
        name="enough_spares_after",
        meaning="The chance that so many spares are enough when the rate is uncertain.",
        arguments=(_SEEN, _SEEN_H, _AHEAD_H, _SPARES),
        unit="",
        formula="sum of negative binomial chances with size failures plus one half",
        source=_BAYES,
        where="spares:enough_spares_after",
        example="failures=1 seen_h=251775 ahead_h=270742 spares=4",
        validity=_RANDOM,
    ),
    Entry(
        name="spares_needed_after",
        meaning="The fewest spares that are enough with a chance when the rate is uncertain.",
        arguments=(_SEEN, _SEEN_H, _AHEAD_H, _WANTED),
        unit="",
        formula="smallest number whose chance reaches the one asked for",
        source=_BAYES,
        where="spares:spares_needed_after",
        example="failures=1 seen_h=251775 ahead_h=270742 chance=0.9",
        validity=_RANDOM,
    ),
)  # fmt: skip
