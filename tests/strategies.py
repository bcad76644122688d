"""Hypothesis builders that several rooms share, and the two profiles.

``quick`` is what runs by default: the same hundred examples each time. ``deep`` looks further and
differently each time; ``HYPOTHESIS_PROFILE=deep``, set by ``.ci/run --deep``, asks for it.
Importing this module loads the profile.
"""

from __future__ import annotations

import os
from decimal import Decimal

from hypothesis import settings
from hypothesis import strategies as st

from trainer.maths.unit_table import ATOMS
from trainer.maths.units import Unit, parse_unit

settings.register_profile("quick", max_examples=100, derandomize=True, deadline=None, database=None)
settings.register_profile("deep", max_examples=2000, deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "quick"))


def plain_decimals(
    low: str = "-1000000", high: str = "1000000", places: int = 6
) -> st.SearchStrategy[Decimal]:
    """Decimals as people write them: so many digits after the mark, within bounds."""
    return st.decimals(
        min_value=Decimal(low),
        max_value=Decimal(high),
        places=places,
        allow_nan=False,
        allow_infinity=False,
    )


def simple_units() -> st.SearchStrategy[Unit]:
    """Any one unit of the table."""
    return st.sampled_from([parse_unit(atom.symbol) for atom in ATOMS])


@st.composite
def compound_units(draw: st.DrawFn) -> Unit:
    """A unit built from up to three others over up to two, with small powers."""
    atoms = st.sampled_from([atom.symbol for atom in ATOMS if atom.symbol != "degC"])
    terms = st.tuples(
        atoms.filter(lambda symbol: "%" not in symbol), st.sampled_from(["", "2", "3"])
    )
    above = draw(st.lists(terms, min_size=0, max_size=3))
    below = draw(st.lists(terms, min_size=0 if above else 1, max_size=2))
    over = " ".join(symbol + power for symbol, power in above) or "1"
    under = " ".join(symbol + power for symbol, power in below)
    if len(below) > 1:
        under = f"({under})"
    return parse_unit(f"{over}/{under}" if under else over)
