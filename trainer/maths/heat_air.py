"""Cooling air: flow for a loss, rise for a flow, density with temperature and height, fan laws.

Density and heat capacity are given, not assumed. A shaft fan cools with the motor's speed and not
at all at standstill.
"""

from __future__ import annotations

from trainer.maths.ranges import not_negative, number, positive

# Source: engineersedge.com, air at one atmosphere: J/(kg K) from 15 to 70 degC, and kg/m3.
AIR_HEAT_J_PER_KG_K = 1007.0
AIR_DENSITIES_KG_PER_M3 = {20: 1.204, 25: 1.184, 30: 1.164, 35: 1.145, 40: 1.127}
# Source: International Standard Atmosphere (from memory): gas constant of air, sea-level pressure
# and temperature, fall of temperature with height, free fall.
AIR_J_PER_KG_K = 287.05
SEA_LEVEL_PA = 101_325.0
SEA_LEVEL_K = 288.15
LAPSE_K_PER_M = 0.0065
PRESSURE_EXPONENT = 9.80665 / (287.05287 * LAPSE_K_PER_M)
TROPOPAUSE_M = 11_000.0
ZERO_DEGC_K = 273.15


def air_flow_m3_per_s(
    loss_w: float, rise_k: float, density_kg_per_m3: float, heat_j_per_kg_k: float
) -> float:
    """The air that carries a loss away with a given rise.

    Formula: loss over (density times heat capacity times rise).

    Args:
        loss_w: heat, W, 0 or more.
        rise_k: rise of the air, K, above 0.
        density_kg_per_m3: density at the inlet, kg/m3, above 0.
        heat_j_per_kg_k: heat capacity, J/(kg K), above 0; air about 1007.

    Returns:
        Cubic metres per second at inlet density.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: heat balance of a steady flow; all heat into the air, sea level.

    Example:
        >>> round(air_flow_m3_per_s(150, 15, 1.164, 1007), 10)
        0.0085313459
    """
    carried = positive("density_kg_per_m3", density_kg_per_m3) * positive(
        "heat_j_per_kg_k", heat_j_per_kg_k
    )
    return not_negative("loss_w", loss_w) / (carried * positive("rise_k", rise_k))


def air_rise_k(
    loss_w: float, flow_m3_per_s: float, density_kg_per_m3: float, heat_j_per_kg_k: float
) -> float:
    """The rise of the air that carries a loss away: half the flow, double the rise.

    Formula: loss over (density times heat capacity times flow).

    Args:
        loss_w: heat, W, 0 or more.
        flow_m3_per_s: flow at inlet density, m3/s, above 0.
        density_kg_per_m3: density at the inlet, kg/m3, above 0.
        heat_j_per_kg_k: heat capacity, J/(kg K), above 0; air about 1007.

    Returns:
        Kelvin.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: heat balance of a steady flow; all heat into the air.

    Example:
        >>> round(air_rise_k(150, 30 / 3600, 1.164, 1007), 6)
        15.356423
    """
    carried = positive("density_kg_per_m3", density_kg_per_m3) * positive(
        "heat_j_per_kg_k", heat_j_per_kg_k
    )
    return not_negative("loss_w", loss_w) / (carried * positive("flow_m3_per_s", flow_m3_per_s))


def air_density_kg_per_m3(temperature_degc: float, pressure_pa: float = SEA_LEVEL_PA) -> float:
    """The density of dry air.

    Formula: pressure over (gas constant of air times absolute temperature).

    Args:
        temperature_degc: air temperature, degC, above absolute zero.
        pressure_pa: pressure, Pa, above 0; sea level when not given.

    Returns:
        Kilograms per cubic metre.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: ideal gas; gas constant 287.05 J/(kg K) from memory.

    Example:
        >>> round(air_density_kg_per_m3(20), 6)
        1.204118
    """
    warm = number("temperature_degc", temperature_degc, -ZERO_DEGC_K, above=True) + ZERO_DEGC_K
    return positive("pressure_pa", pressure_pa) / (AIR_J_PER_KG_K * warm)


def pressure_ratio_at_height(height_m: float) -> float:
    """Air pressure at a height over that at sea level; also the density at equal temperature.

    Formula: (1 - 0.0065 height over 288.15) to the power 5.2559.

    Args:
        height_m: height over the sea, m, 0 to 11000.

    Returns:
        A ratio; the rise of cooling air grows by its inverse.

    Raises:
        InputError: MTH-030 for a height out of range.

    Source: International Standard Atmosphere (from memory).

    Example:
        >>> round(pressure_ratio_at_height(1500), 6)
        0.834503
    """
    fallen = LAPSE_K_PER_M * number("height_m", height_m, 0, TROPOPAUSE_M) / SEA_LEVEL_K
    return float((1 - fallen) ** PRESSURE_EXPONENT)


def density_ratio_at_height(height_m: float) -> float:
    """Air density at a height over that at sea level, with the colder air of that height.

    Formula: (1 - 0.0065 height over 288.15) to the power 4.2559.

    Args:
        height_m: height over the sea, m, 0 to 11000.

    Returns:
        A ratio; a bar counter is as warm as at the sea, so ``pressure_ratio_at_height`` is meant
        there.

    Raises:
        InputError: MTH-030 for a height out of range.

    Source: International Standard Atmosphere (from memory).

    Example:
        >>> round(density_ratio_at_height(1500), 5)
        0.86373
    """
    fallen = LAPSE_K_PER_M * number("height_m", height_m, 0, TROPOPAUSE_M) / SEA_LEVEL_K
    return float((1 - fallen) ** (PRESSURE_EXPONENT - 1))


def fan_flow_ratio(speed_ratio: float, size_ratio: float = 1.0) -> float:
    """How the flow of a fan changes with speed and with the size of a similar fan.

    Formula: speed ratio times size ratio to the third power.

    Args:
        speed_ratio: new over old speed, 0 or more.
        size_ratio: new over old diameter of a similar fan, above 0.

    Returns:
        New over old flow.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: fan laws, as trade articles on pumps and fans give them for speed; diameters of similar
        fans from memory.

    Example:
        >>> fan_flow_ratio(0.8)
        0.8
    """
    return not_negative("speed_ratio", speed_ratio) * positive("size_ratio", size_ratio) ** 3


def fan_pressure_ratio(
    speed_ratio: float, size_ratio: float = 1.0, density_ratio: float = 1.0
) -> float:
    """How the pressure of a fan changes with speed, size of a similar fan and density.

    Formula: speed ratio squared, size ratio squared, density ratio, multiplied.

    Args:
        speed_ratio: new over old speed, 0 or more.
        size_ratio: new over old diameter of a similar fan, above 0.
        density_ratio: new over old density, above 0.

    Returns:
        New over old pressure.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: fan laws, as trade articles on pumps and fans give them for speed; the rest from memory.

    Example:
        >>> round(fan_pressure_ratio(1.1), 6)
        1.21
    """
    speed = not_negative("speed_ratio", speed_ratio)
    size = positive("size_ratio", size_ratio)
    return speed**2 * size**2 * positive("density_ratio", density_ratio)


def fan_power_ratio(
    speed_ratio: float, size_ratio: float = 1.0, density_ratio: float = 1.0
) -> float:
    """How the power of a fan changes with speed, size of a similar fan and density.

    Formula: speed ratio to the third, size ratio to the fifth power, density ratio, multiplied.

    Args:
        speed_ratio: new over old speed, 0 or more.
        size_ratio: new over old diameter of a similar fan, above 0.
        density_ratio: new over old density, above 0.

    Returns:
        New over old power.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: fan laws, as trade articles on pumps and fans give them for speed; the rest from memory.

    Example:
        >>> round(fan_power_ratio(0.8), 6)
        0.512
    """
    speed = not_negative("speed_ratio", speed_ratio)
    size = positive("size_ratio", size_ratio)
    return speed**3 * size**5 * positive("density_ratio", density_ratio)
