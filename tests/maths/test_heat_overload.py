"""Overload for a short time or with rests, and insulation life."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import InputError
from trainer.maths import ranges
from trainer.maths.catalogue import entry
from trainer.maths.heat_cycles import steady_peak_k
from trainer.maths.heat_overload import (
    BREAKDOWN_RATIOS,
    intermittent_load_ratio,
    intermittent_loss_ratio,
    life_factor,
    load_ratio,
    short_load_ratio,
    short_loss_ratio,
)

near = pytest.approx


@pytest.mark.parametrize(
    ("run", "loss", "plain", "with_iron"),
    [
        # run over time constant; worked out from the closed form
        (0.10, 10.508331945, 3.241655741, 3.906724705),
        (0.25, 4.520811664, 2.126220041, 2.506235722),
        (0.50, 2.541494083, 1.594206412, 1.819956352),
        (1.00, 1.581976707, 1.257766555, 1.368563137),
        (2.00, 1.156517643, 1.075415103, 1.111204960),
    ],
)
def test_one_run_from_cold(run: float, loss: float, plain: float, with_iron: float) -> None:
    assert short_loss_ratio(run * 900, 900) == near(loss, abs=1e-9)
    assert load_ratio(loss) == near(plain, abs=1e-9)
    assert short_load_ratio(run * 900, 900) == near(plain, abs=1e-9)
    assert short_load_ratio(run * 900, 900, 0.5) == near(with_iron, abs=1e-9)


def test_a_companion_s_integer_division() -> None:
    # a companion's Ex. 5.3, data: alpha 0.4, 100 and 150 min, 15 min on, 30 min off. It prints
    # 1.071304005 because -15/100 came to -1.
    found = intermittent_load_ratio(15 * 60, 30 * 60, 100 * 60, 150 * 60, 0.4)
    assert found == near(1.602538254, abs=1e-9)
    assert found != near(1.071304005, abs=0.1)
    # without constant loss: the root of the loss ratio
    plain = intermittent_load_ratio(15, 30, 100, 150)
    assert plain == near(intermittent_loss_ratio(15, 30, 100, 150) ** 0.5)
    # whole numbers in, the same out
    assert intermittent_load_ratio(15, 30, 100, 150, 0.4) == near(found, rel=1e-12)


def test_the_torque_limit_stands_beside_every_result() -> None:
    # 1.6 to 2.5 times rated (from memory)
    assert BREAKDOWN_RATIOS == (1.6, 2.5)
    for name in ("short_load_ratio", "intermittent_load_ratio", "load_ratio"):
        for ratio in BREAKDOWN_RATIOS:
            assert f"{ratio}" in entry(name).caution


@pytest.mark.parametrize(("above", "factor"), [(5, 0.7071), (10, 0.5), (25, 0.1768), (0, 1)])
def test_life_halves_every_ten_kelvin(above: float, factor: float) -> None:
    # a trade page on insulation classes
    assert life_factor(above) == near(factor, abs=5e-5)
    assert life_factor(above) * life_factor(-above) == near(1)


def test_guards() -> None:
    for run in (0, -1, math.nan):
        with pytest.raises(InputError, match="on_s"):
            short_load_ratio(run, 900)
        with pytest.raises(InputError, match="on_s"):
            intermittent_load_ratio(run, 10, 900, 900)
    with pytest.raises(InputError, match=r"constant_loss_ratio is -0\.1"):
        load_ratio(2, -0.1)
    with pytest.raises(InputError, match="loss_ratio"):
        load_ratio(0)
    assert load_ratio(0.5, 1) == 0  # all that is allowed goes into the constant loss
    with pytest.raises(InputError, match="constant loss alone") as caught:
        load_ratio(0.2, 0.5)
    assert caught.value.code == ranges.no_result
    with pytest.raises(InputError, match="above_k"):
        life_factor(1000)


@given(st.floats(1, 2000), st.floats(0, 2000), st.floats(50, 5000), st.floats(50, 5000))
def test_the_loss_ratio_brings_just_the_rated_rise(
    on: float, off: float, heating: float, cooling: float
) -> None:
    ratio = intermittent_loss_ratio(on, off, heating, cooling)
    assert ratio >= 1 - 1e-12
    assert steady_peak_k(on, off, 80 * ratio, heating, cooling) == near(80, rel=1e-9)
    # a rest until cold is the run from cold
    assert intermittent_loss_ratio(on, 1e9, heating, cooling) == near(
        short_loss_ratio(on, heating), rel=1e-9
    )
    assert load_ratio(ratio, 0.4) >= load_ratio(ratio) - 1e-9
    assert load_ratio(1, 0.7) == near(1)
