"""Rows of ``wear`` and ``wear_life``: Archard's law, wear per kilogram, kilograms left."""

from __future__ import annotations

from trainer.maths.catalogue import Argument, Entry, Result
from trainer.maths.wear import CONES, CONVENTIONS

_ARCHARD = "J. F. Archard, Journal of Applied Physics 24 (1953) 981-988 (from memory)"
_GUM = "JCGM 100:2008 (GUM), 5.1.2 (from memory)"
_STEADY = "steady wear after run-in, one mechanism, load and contact unchanged"
_THREE = "The two conventions differ by a factor of three: name the one the coefficient is from."
_SAFE = "Measure burrs isolated and with gloves: they cut when still."
_COEFFICIENT = Argument("wear_coefficient", "", "dimensionless coefficient", 0)
_FORCE = Argument("force_n", "N", "normal force", 0)
_FORCE_ABOVE = Argument("force_n", "N", "normal force", 0, above=True)
_WAY = Argument("distance_m", "m", "sliding distance", 0)
_WAY_ABOVE = Argument("distance_m", "m", "sliding distance", 0, above=True)
_HARDNESS = Argument("hardness_pa", "Pa", "indentation hardness of the softer body", 0, above=True)
_FORM = Argument("convention", "", "form of the law", shape="text", choices=CONVENTIONS)
_FIRST_UM = Argument("first_um", "um", "depth at the first measurement", 0)
_FIRST_KG = Argument("first_kg", "kg", "kilograms ground by then", 0)
_SECOND_UM = Argument("second_um", "um", "depth at the second measurement", 0)
_SECOND_KG = Argument("second_kg", "kg", "kilograms ground by then", 0)
_LIMIT_UM = Argument("limit_um", "um", "depth limit", 0, above=True)
_DEPTH_UM = Argument("depth_um", "um", "depth now", 0)

ROWS = (
    Entry(
        name="worn_volume",
        meaning="The volume that sliding wears off.",
        arguments=(_COEFFICIENT, _FORCE, _WAY, _HARDNESS, _FORM),
        unit="m3",
        formula="coefficient times force times distance over hardness (or three times hardness)",
        source=_ARCHARD,
        where="wear:worn_volume_m3",
        example="wear_coefficient=7e-3 force_n=980 distance_m=1 hardness_pa=1.176e9 "
        "convention=KFs/3H",
        validity=_STEADY,
        caution=_THREE,
    ),
    Entry(
        name="wear_coefficient",
        meaning="The coefficient that belongs to a measured volume.",
        arguments=(
            Argument("volume_m3", "m3", "worn volume", 0),
            _FORCE_ABOVE,
            _WAY_ABOVE,
            _HARDNESS,
            _FORM,
        ),
        unit="",
        formula="volume times hardness over force and distance (times three)",
        source=_ARCHARD,
        where="wear:wear_coefficient",
        example="volume_m3=1.5e-8 force_n=60 distance_m=344821 hardness_pa=6.8e9 convention=KFs/H",
        validity=_STEADY,
        caution=_THREE,
    ),
    Entry(
        name="wear_rate_of_sliding",
        meaning="The volume worn off each second of sliding.",
        arguments=(
            _COEFFICIENT,
            _FORCE,
            Argument("speed_m_per_s", "m/s", "sliding speed", 0),
            _HARDNESS,
            _FORM,
        ),
        unit="m3/s",
        formula="coefficient times force times speed over hardness (or three times hardness)",
        source=_ARCHARD,
        where="wear:wear_rate_m3_per_s",
        example="wear_coefficient=1e-5 force_n=100 speed_m_per_s=1 hardness_pa=5e8 "
        "convention=KFs/H",
        validity=_STEADY,
        caution=_THREE,
    ),
    Entry(
        name="specific_wear_rate",
        meaning="The specific wear rate, which needs no hardness.",
        arguments=(Argument("volume_mm3", "mm3", "worn volume", 0), _FORCE_ABOVE, _WAY_ABOVE),
        unit="mm3/(N m)",
        formula="volume over force and distance",
        source="definition, as published",
        where="wear:specific_wear_rate_mm3_per_n_m",
        example="volume_mm3=15.4 force_n=60 distance_m=344821",
        validity=_STEADY,
    ),
    Entry(
        name="worn_depth",
        meaning="The depth of a volume worn evenly off a face.",
        arguments=(
            Argument("volume_mm3", "mm3", "worn volume", 0),
            Argument("area_mm2", "mm2", "face area", 0, above=True),
        ),
        unit="um",
        formula="volume over area",
        source="geometry",
        where="wear:worn_depth_um",
        example="volume_mm3=7.2 area_mm2=1000",
        validity="even wear over the face",
    ),
    Entry(
        name="depth_under_pressure",
        meaning="The depth worn under an even pressure.",
        arguments=(
            _COEFFICIENT,
            Argument("pressure_pa", "Pa", "even pressure on the face", 0),
            _WAY,
            _HARDNESS,
            _FORM,
        ),
        unit="um",
        formula="coefficient times pressure times distance over hardness (or three times)",
        source=_ARCHARD,
        where="wear:depth_under_pressure_um",
        example="wear_coefficient=1e-5 pressure_pa=1e5 distance_m=3600 hardness_pa=5e8 "
        "convention=KFs/H",
        validity=_STEADY,
        caution=_THREE,
    ),
    Entry(
        name="grit_coefficient",
        meaning="The coefficient of hard grit that ploughs like a cone, for the form KFs/H.",
        arguments=(
            Argument("attack_deg", "deg", "attack angle", 0, 90, above=True, below=True),
            Argument("cone", "", "how the cone is counted", shape="text", choices=CONES),
        ),
        unit="",
        formula="tangent of the attack angle over pi, once or twice",
        source="E. Rabinowicz, Friction and Wear of Materials (from memory)",
        where="wear:grit_coefficient",
        example="attack_deg=10 cone=2tan/pi",
        validity="two-body abrasion by sharp grit; an upper bound",
    ),
    Entry(
        name="vickers_hardness",
        meaning="The indentation hardness of a Vickers number.",
        arguments=(Argument("vickers", "", "Vickers number", 0, above=True),),
        unit="Pa",
        formula="number times 9.80665 MPa",
        source="kgf/mm2 in Pa (from memory)",
        where="wear:vickers_pa",
        example="vickers=697",
        caution="A Rockwell number is not a pressure: convert it by a table first.",
    ),
    Entry(
        name="sliding_distance",
        meaning="The way a point of the burr slides while the motor runs.",
        arguments=(
            Argument("diameter_mm", "mm", "diameter of the point's circle", 0, above=True),
            Argument("speed_per_min", "1/min", "burr speed", 0),
            Argument("motor_s", "s", "seconds the motor ran", 0),
        ),
        unit="m",
        formula="pi times diameter times turns made",
        source="geometry",
        where="wear:sliding_distance_m",
        example="diameter_mm=48 speed_per_min=1400 motor_s=98000",
    ),
    Entry(
        name="volume_of_loss",
        meaning="The volume of a mass that a burr has lost.",
        arguments=(
            Argument("loss_g", "g", "mass lost between two weighings of the clean burr", 0),
            Argument("density_kg_per_m3", "kg/m3", "density", 0, above=True, required=False),
        ),
        unit="mm3",
        formula="mass over density",
        source="definition of density; 7800 kg/m3 for steel from memory",
        where="wear:volume_of_loss_mm3",
        example="loss_g=0.12 density_kg_per_m3=7800",
        caution=_SAFE,
    ),
    Entry(
        name="sliding_life",
        meaning="The sliding time until a volume is worn off.",
        arguments=(
            Argument("limit_mm3", "mm3", "volume that may be worn off", 0),
            Argument("rate_m3_per_s", "m3/s", "wear rate", 0, above=True),
        ),
        unit="s",
        formula="volume allowed over volume worn each second",
        source="definition",
        where="wear:sliding_life_s",
        example="limit_mm3=1 rate_m3_per_s=2e-12",
        validity=_STEADY,
    ),
    Entry(
        name="depth_after",
        meaning="The depth of wear after a throughput.",
        arguments=(
            Argument("start_um", "um", "depth that run-in left", 0),
            Argument("rate_um_per_kg", "um/kg", "wear per kilogram", 0),
            Argument("throughput_kg", "kg", "kilograms ground since", 0),
        ),
        unit="um",
        formula="start depth plus wear per kilogram times kilograms",
        source=_ARCHARD,
        where="wear_life:depth_after_um",
        example="start_um=10 rate_um_per_kg=0.05 throughput_kg=400",
        validity="force and sliding way per kilogram unchanged, after run-in",
    ),
    Entry(
        name="left_at_rate",
        meaning="Kilograms left until a depth limit at a known wear per kilogram.",
        arguments=(
            _LIMIT_UM,
            _DEPTH_UM,
            Argument("rate_um_per_kg", "um/kg", "wear per kilogram", 0, above=True),
        ),
        unit="kg",
        formula="(limit minus depth) over wear per kilogram",
        source=_ARCHARD,
        where="wear_life:left_at_rate_kg",
        example="limit_um=60 depth_um=35 rate_um_per_kg=0.0625",
        validity="force and sliding way per kilogram unchanged",
    ),
    Entry(
        name="wear_per_kg",
        meaning="Wear per kilogram from two measurements of depth.",
        arguments=(_FIRST_UM, _FIRST_KG, _SECOND_UM, _SECOND_KG),
        unit="um/kg",
        formula="difference of the depths over difference of the kilograms",
        source="definition of a slope",
        where="wear_life:wear_rate_um_per_kg",
        example="first_um=12 first_kg=150 second_um=31 second_kg=410",
        validity="both measurements after run-in and in one stage of a coated burr",
        caution=_SAFE,
    ),
    Entry(
        name="wear_per_kg_uncertainty",
        meaning="The standard uncertainty of the wear per kilogram.",
        arguments=(
            _FIRST_KG,
            _SECOND_KG,
            Argument("first_uncertainty_um", "um", "standard uncertainty of the first depth", 0),
            Argument("second_uncertainty_um", "um", "standard uncertainty of the second depth", 0),
        ),
        unit="um/kg",
        formula="root of the sum of the squared uncertainties over the kilograms between",
        source=_GUM,
        where="wear_life:wear_rate_uncertainty_um_per_kg",
        example="first_kg=150 second_kg=410 first_uncertainty_um=2 second_uncertainty_um=2",
        validity="kilograms taken as exact, depths independent",
    ),
    Entry(
        name="kilograms_left",
        meaning="Kilograms left until a depth limit, from two measurements.",
        arguments=(_FIRST_UM, _FIRST_KG, _SECOND_UM, _SECOND_KG, _LIMIT_UM),
        unit="kg",
        formula="(limit minus second depth) over the wear per kilogram between the two",
        source="definition of a slope",
        where="wear_life:kilograms_left_kg",
        example="first_um=12 first_kg=150 second_um=31 second_kg=410 limit_um=60",
        validity="both measurements after run-in and in one stage of a coated burr",
    ),
    Entry(
        name="wear_forecast",
        meaning="When a depth limit is reached, and how sure that is.",
        arguments=(
            _FIRST_UM,
            _FIRST_KG,
            _SECOND_UM,
            _SECOND_KG,
            _LIMIT_UM,
            Argument("first_uncertainty_um", "um", "standard uncertainty of the first depth", 0,
                     required=False),
            Argument("second_uncertainty_um", "um", "standard uncertainty of the second depth", 0,
                     required=False),
        ),
        unit="",
        formula="kilograms left from the slope; uncertainty by sensitivities of both depths",
        source=_GUM,
        where="wear_life:wear_forecast",
        example="first_um=12 first_kg=150 second_um=31 second_kg=410 limit_um=60 "
        "first_uncertainty_um=2 second_uncertainty_um=2",
        validity="two depths closer than their uncertainties are marked as not resolved",
        results=(
            Result("rate_um_per_kg", "um/kg", "wear per kilogram"),
            Result("rate_uncertainty_um_per_kg", "um/kg", "its standard uncertainty"),
            Result("left_kg", "kg", "kilograms left"),
            Result("left_uncertainty_kg", "kg", "its standard uncertainty"),
            Result("reached_at_kg", "kg", "throughput at the limit"),
            Result("per_first_kg_per_um", "kg/um", "change per um of the first depth"),
            Result("per_second_kg_per_um", "kg/um", "change per um of the second depth"),
            Result("is_resolved", "", "whether the depths differ by more than their uncertainty"),
        ),
    ),
    Entry(
        name="two_stage_left",
        meaning="Kilograms left on a coated burr.",
        arguments=(
            _LIMIT_UM,
            _DEPTH_UM,
            Argument("coating_um", "um", "thickness of the hard coating", 0),
            Argument("coating_rate_um_per_kg", "um/kg", "wear in the coating", 0, above=True),
            Argument("core_rate_um_per_kg", "um/kg", "wear in the core", 0, above=True),
        ),
        unit="kg",
        formula="coating left over its rate plus core to the limit over its rate",
        source="common practice, no source",
        where="wear_life:two_stage_left_kg",
        example="limit_um=60 depth_um=2 coating_um=10 coating_rate_um_per_kg=0.02 "
        "core_rate_um_per_kg=0.1",
        validity="hard shell over a softer core",
    ),
)  # fmt: skip
