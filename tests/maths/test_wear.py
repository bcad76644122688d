"""Archard's law against published worked inputs; own measurements are made up."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.errors import InputError
from trainer.maths.units import convert, parse_unit
from trainer.maths.wear import (
    CONES,
    CONVENTIONS,
    TYPICAL,
    depth_under_pressure_um,
    grit_coefficient,
    sliding_distance_m,
    sliding_life_s,
    specific_wear_rate_mm3_per_n_m,
    vickers_pa,
    volume_of_loss_mm3,
    wear_coefficient,
    wear_rate_m3_per_s,
    worn_depth_um,
    worn_volume_m3,
)

near = pytest.approx


def test_a_published_tool_s_default_inputs() -> None:
    # inputs published with an Archard calculator: K 1e-5, 100 N, 1 m/s, 500 MPa, 7800 kg/m3,
    # 1e-3 m2, limit 1 mm3; outputs worked by hand
    rate = wear_rate_m3_per_s(1e-5, 100, 1, 500e6, "KFs/H")
    assert rate == near(2e-12, rel=1e-12)
    assert rate * 7800 == near(1.56e-8, rel=1e-12)
    an_hour = worn_volume_m3(1e-5, 100, 3600, 500e6, "KFs/H")
    assert worn_depth_um(an_hour * 1e9, 1000) == near(7.2, rel=1e-12)
    assert depth_under_pressure_um(1e-5, 100 / 1e-3, 3600, 500e6, "KFs/H") == near(7.2, rel=1e-12)
    assert sliding_life_s(1, rate) == near(500, rel=1e-12)
    assert sliding_life_s(1, wear_rate_m3_per_s(1e-4, 100, 1, 500e6, "KFs/H")) == near(50)


def test_rate_grows_with_speed() -> None:
    # 4 m/s wear four times as fast as 1 m/s
    assert wear_rate_m3_per_s(1e-5, 100, 4, 500e6, "KFs/H") == near(8e-12, rel=1e-12)
    assert wear_rate_m3_per_s(1e-5, 0, 0, 500e6, "KFs/3H") == 0


def test_steel_is_the_usual_density() -> None:
    assert volume_of_loss_mm3(7.8) == near(1000)
    assert sliding_distance_m(1000 / math.pi, 60, 10) == near(10)
    assert vickers_pa(0.5) == near(4.903325e6)


def test_the_two_forms_differ_by_three() -> None:
    # K 7e-3 and HB 120 published with the form KFs/3H; the force of 980 N is made up
    hardness = 120 * 9.8e6
    assert hardness == near(1.176e9)
    third = worn_volume_m3(7e-3, 980, 1, hardness, "KFs/3H")
    whole = worn_volume_m3(7e-3, 980, 1, hardness, "KFs/H")
    assert third == near(1.944444444e-9, rel=1e-9)
    assert whole == near(5.833333333e-9, rel=1e-9)
    # the commonest error of the field: the wrong form is no rounding difference
    assert whole != near(third, rel=0.5)


def test_a_burr_weighed_before_and_after() -> None:
    # made up: 0.12 g lost in 98000 s at 1400 1/min on 48 mm under 60 N
    hardness = vickers_pa(697)
    assert hardness == near(6.835235050e9, rel=1e-9)
    volume = volume_of_loss_mm3(0.12, 7800)
    assert volume == near(15.38461538, abs=1e-8)
    way = sliding_distance_m(48, 1400, 98_000)
    assert way == near(344_821.2097, abs=1e-4)
    assert specific_wear_rate_mm3_per_n_m(volume, 60, way) == near(7.436034943e-7, rel=1e-9)
    coefficient = wear_coefficient(volume / 1e9, 60, way, hardness, "KFs/H")
    assert coefficient == near(5.082704668e-6, rel=1e-9)
    assert wear_coefficient(volume / 1e9, 60, way, hardness, "KFs/3H") == near(3 * coefficient)


def test_specific_wear_rate_in_si() -> None:
    # 1 mm3/(N m) is 1e-9 m2/N
    assert parse_unit("mm3/(N m)").factor == parse_unit("m2/N").factor / 10**9
    from decimal import Decimal

    assert convert(Decimal(1), parse_unit("mm3/(N m)"), parse_unit("m2/N")) == Decimal("1e-9")


def test_grit() -> None:
    # tangent of 45 degrees is 1
    assert grit_coefficient(45, "2tan/pi") == near(2 / math.pi)
    assert grit_coefficient(45, "tan/pi") == near(1 / math.pi)
    assert grit_coefficient(10, "2tan/pi") == near(0.112253, abs=1e-6)  # tan 10 deg = 0.176327
    for angle in (0, 90, 100, -1):
        with pytest.raises(InputError, match="attack_deg"):
            grit_coefficient(angle, "tan/pi")


@given(
    st.floats(1e-8, 0.1), st.floats(1, 1e4), st.floats(1, 1e6), st.floats(1e8, 1e10),
    st.sampled_from(CONVENTIONS),
)  # fmt: skip
def test_volume_and_coefficient_undo_each_other(
    coefficient: float, force: float, way: float, hardness: float, convention: str
) -> None:
    volume = worn_volume_m3(coefficient, force, way, hardness, convention)
    assert wear_coefficient(volume, force, way, hardness, convention) == near(
        coefficient, rel=1e-12
    )
    assert worn_volume_m3(coefficient, 2 * force, way, hardness, convention) == near(2 * volume)
    assert worn_volume_m3(coefficient, force, way, 2 * hardness, convention) == near(volume / 2)
    a_second = wear_rate_m3_per_s(coefficient, force, 1, hardness, convention)
    assert a_second * way == near(volume, rel=1e-12)


@given(st.floats(0.001, 100), st.floats(1, 1e5), st.floats(1e3, 1e9))
def test_depth_two_ways(volume_mm3: float, area_mm2: float, hardness: float) -> None:
    # K such that K p s / H is the volume over the area
    pressure, way = 1e5, 1e3
    coefficient = volume_mm3 / 1000 / area_mm2 * hardness / (pressure * way)
    assert depth_under_pressure_um(coefficient, pressure, way, hardness, "KFs/H") == near(
        worn_depth_um(volume_mm3, area_mm2), rel=1e-9
    )


@pytest.mark.parametrize("convention", ["", "KFs", "kfs/h", "3"])
def test_the_form_must_be_named(convention: str) -> None:
    with pytest.raises(InputError, match=r"convention .*KFs/H, KFs/3H"):
        worn_volume_m3(1e-5, 1, 1, 1e9, convention)
    with pytest.raises(InputError, match=r"cone .*2tan/pi, tan/pi"):
        grit_coefficient(10, convention)


def test_typical_coefficients_are_tagged() -> None:
    for row in TYPICAL:
        assert 0 < row.low <= row.high < 1
        assert row.source
        assert row.convention in {"", *CONVENTIONS}
    assert len(TYPICAL) == 9
    assert len(CONES) == 2


def test_hardness_is_a_pressure() -> None:
    # 60 HRC is about 697 HV (ASTM E140, from memory), not 60 of anything that is a pressure
    assert vickers_pa(60) < vickers_pa(697) / 10
    with pytest.raises(InputError, match="HRC"):
        parse_unit("HRC")
