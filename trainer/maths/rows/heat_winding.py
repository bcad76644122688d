"""Rows of ``heat_winding`` and ``heat_air``: winding temperature, classes, cooling air."""

from __future__ import annotations

from trainer.maths.catalogue import Argument, Entry
from trainer.maths.heat_winding import ABSOLUTE_ZERO_DEGC, CLASSES, FITS, SIZES

_METHOD = "resistance method, IEC 60034-1 cl. 8.6.2, IEC 60335-1 cl. 11.3 (clauses from memory)"
_DEAD = (
    "Isolate, keep the plug in your control, discharge the capacitor and measure it dead before "
    "measuring a winding."
)
_CONSTANT = "constant of the material: 234.5 or 235 copper, 225 or 228 aluminium; documents differ"
_MATERIAL = Argument("material_k", "K", _CONSTANT, 0, above=True)
_COLD_OHM = Argument("cold_ohm", "ohm", "resistance cold", 0, above=True)
_HOT_OHM = Argument("hot_ohm", "ohm", "resistance hot, at least the cold one", 0, above=True)
_COLD = Argument("cold_degc", "degC", "temperature when cold", ABSOLUTE_ZERO_DEGC)
_CLASS = Argument("thermal_class", "", "insulation class", shape="text", choices=CLASSES)
_LOSS = Argument("loss_w", "W", "heat", 0)
_DENSITY = Argument("density_kg_per_m3", "kg/m3", "density of the air at the inlet", 0, above=True)
_HEAT = Argument("heat_j_per_kg_k", "J/(kg K)", "heat capacity; air about 1007", 0, above=True)
_HEIGHT = Argument("height_m", "m", "height over the sea", 0, 11_000)
_SPEED = Argument("speed_ratio", "", "new over old speed", 0)
_SIZE = Argument("size_ratio", "", "new over old diameter of a similar fan", 0, above=True,
                 required=False)  # fmt: skip
_THICK = Argument("density_ratio", "", "new over old density", 0, above=True, required=False)
_BALANCE = "heat balance of a steady flow"
_ISA = "International Standard Atmosphere (from memory)"
_FAN = "fan laws, as trade articles give them for speed; size and density from memory"
_GUARD = "Never run a fan or its guard open to look at it; isolate before cleaning a grille."

ROWS = (
    Entry(
        name="winding_temperature",
        meaning="The mean temperature of a winding from its resistance cold and hot.",
        arguments=(_COLD_OHM, _HOT_OHM, _COLD, _MATERIAL),
        unit="degC",
        formula="hot over cold resistance, times (constant plus cold temperature), minus constant",
        source=_METHOD,
        where="heat_winding:winding_degc",
        example="cold_ohm=80 hot_ohm=100 cold_degc=20 material_k=234.5",
        validity="a mean; the hot spot is 5 to 15 K above it (from memory)",
        caution=_DEAD,
    ),
    Entry(
        name="winding_rise",
        meaning="The rise of a winding over the coolant at the end of the test.",
        arguments=(
            _COLD_OHM, _HOT_OHM, _COLD,
            Argument("coolant_degc", "degC", "coolant at the end of the test", ABSOLUTE_ZERO_DEGC),
            _MATERIAL,
        ),
        unit="K",
        formula="winding temperature minus coolant temperature at the end",
        source=_METHOD,
        where="heat_winding:winding_rise_k",
        example="cold_ohm=3.40 hot_ohm=4.55 cold_degc=25 coolant_degc=27 material_k=234.5",
        caution=_DEAD,
    ),
    Entry(
        name="resistance_ratio",
        meaning="Hot over cold resistance between two temperatures.",
        arguments=(
            _COLD, Argument("hot_degc", "degC", "temperature when hot", ABSOLUTE_ZERO_DEGC),
            _MATERIAL,
        ),
        unit="",
        formula="(constant plus hot) over (constant plus cold)",
        source="resistance method turned round",
        where="heat_winding:resistance_ratio",
        example="cold_degc=20 hot_degc=100 material_k=234.5",
    ),
    Entry(
        name="resistance_coefficient",
        meaning="The temperature coefficient of resistance referred to a temperature.",
        arguments=(
            Argument("at_degc", "degC", "what it is referred to", ABSOLUTE_ZERO_DEGC), _MATERIAL,
        ),
        unit="1/K",
        formula="1 over (constant plus that temperature)",
        source="0.00393 per kelvin for copper from 20 degC on an engineering portal",
        where="heat_winding:coefficient_per_k",
        example="at_degc=20 material_k=234.5",
        validity="referred to 0 degC it must not be used from 20 degC",
    ),
    Entry(
        name="switch_off_resistance",
        meaning="The resistance at the moment of switch-off from readings taken after it.",
        arguments=(
            Argument("time_s", "s", "seconds after switch-off", 0, shape="sequence", least=2),
            Argument("resistance_ohm", "ohm", "resistances", 0, shape="sequence", above=True,
                     least=2),
            Argument("fit", "", "what is taken as a straight line", shape="text", choices=FITS,
                     required=False),
        ),
        unit="ohm",
        formula="least-squares line of ln(resistance), or of resistance, over time, at time 0",
        source="extrapolation as IEC 60034-1 asks for (from memory)",
        where="heat_winding:switch_off_ohm",
        example="time_s=20,40,60 resistance_ohm=8.06,7.99,7.93",
        caution=_DEAD,
    ),
    Entry(
        name="rise_limit",
        meaning="The rise by resistance that a class of insulation allows.",
        arguments=(_CLASS, Argument("size", "", "which table", shape="text", choices=SIZES)),
        unit="K",
        formula="looked up",
        source="IEC 60034-1 rise table: B, F, H from 600 W as a motor manual prints them, the "
        "others from memory; appliances IEC 60335-1 cl. 11 table 3 (from memory)",
        where="heat_winding:rise_limit_k",
        example="thermal_class=F size=below 600 W",
        validity="coolant up to 40 degC",
        caution="Follow the local code and read the plate: grinder motors lie on both sides of "
        "600 W.",
    ),
    Entry(
        name="hot_spot_limit",
        meaning="The temperature that the hottest point of a class of insulation may have.",
        arguments=(_CLASS,),
        unit="degC",
        formula="looked up",
        source="IEC 60085, as a motor manual prints it",
        where="heat_winding:hot_spot_limit_degc",
        example="thermal_class=B",
    ),
    Entry(
        name="cooling_air_flow",
        meaning="The air that carries a loss away with a given rise.",
        arguments=(
            _LOSS, Argument("rise_k", "K", "rise of the air", 0, above=True), _DENSITY, _HEAT,
        ),
        unit="m3/s",
        formula="loss over (density times heat capacity times rise)",
        source=_BALANCE,
        where="heat_air:air_flow_m3_per_s",
        example="loss_w=150 rise_k=15 density_kg_per_m3=1.164 heat_j_per_kg_k=1007",
        validity="all heat into the air; flow at inlet density",
    ),
    Entry(
        name="cooling_air_rise",
        meaning="The rise of the air that carries a loss away.",
        arguments=(
            _LOSS, Argument("flow_m3_per_s", "m3/s", "flow at inlet density", 0, above=True),
            _DENSITY, _HEAT,
        ),
        unit="K",
        formula="loss over (density times heat capacity times flow)",
        source=_BALANCE,
        where="heat_air:air_rise_k",
        example="loss_w=150 flow_m3_per_s=0.008333 density_kg_per_m3=1.164 heat_j_per_kg_k=1007",
        validity="half the flow, double the rise",
        caution=_GUARD,
    ),
    Entry(
        name="air_density",
        meaning="The density of dry air.",
        arguments=(
            Argument("temperature_degc", "degC", "air temperature", ABSOLUTE_ZERO_DEGC,
                     above=True),
            Argument("pressure_pa", "Pa", "pressure; sea level", 0, above=True, required=False),
        ),
        unit="kg/m3",
        formula="pressure over (gas constant of air times absolute temperature)",
        source="ideal gas; gas constant 287.05 J/(kg K) from memory",
        where="heat_air:air_density_kg_per_m3",
        example="temperature_degc=20",
    ),
    Entry(
        name="pressure_ratio_at_height",
        meaning="Air pressure at a height over that at sea level.",
        arguments=(_HEIGHT,),
        unit="",
        formula="(1 - 0.0065 height over 288.15) to the power 5.2559",
        source=_ISA,
        where="heat_air:pressure_ratio_at_height",
        example="height_m=1500",
        validity="also the density at equal temperature; cooling air rises by its inverse",
    ),
    Entry(
        name="density_ratio_at_height",
        meaning="Air density at a height, in the colder air there, over that at sea level.",
        arguments=(_HEIGHT,),
        unit="",
        formula="(1 - 0.0065 height over 288.15) to the power 4.2559",
        source=_ISA,
        where="heat_air:density_ratio_at_height",
        example="height_m=1500",
    ),
    Entry(
        name="fan_flow_ratio",
        meaning="How the flow of a fan changes with speed and size.",
        arguments=(_SPEED, _SIZE),
        unit="",
        formula="speed ratio times size ratio to the third power",
        source=_FAN,
        where="heat_air:fan_flow_ratio",
        example="speed_ratio=1.2",
        validity="same system; similar fans",
    ),
    Entry(
        name="fan_pressure_ratio",
        meaning="How the pressure of a fan changes with speed, size and density.",
        arguments=(_SPEED, _SIZE, _THICK),
        unit="",
        formula="speed ratio squared times size ratio squared times density ratio",
        source=_FAN,
        where="heat_air:fan_pressure_ratio",
        example="speed_ratio=1.2",
        validity="same system; similar fans",
    ),
    Entry(
        name="fan_power_ratio",
        meaning="How the power of a fan changes with speed, size and density.",
        arguments=(_SPEED, _SIZE, _THICK),
        unit="",
        formula="speed ratio to the third times size ratio to the fifth power times density ratio",
        source=_FAN,
        where="heat_air:fan_power_ratio",
        example="speed_ratio=1.2",
        validity="same system; similar fans",
    ),
)  # fmt: skip
