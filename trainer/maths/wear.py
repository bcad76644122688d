"""Abrasive wear after Archard: volume, depth and coefficient, always with the convention named.

Two forms of the law are in use and differ by a factor of three, the commonest error in this field:
``KFs/H`` and ``KFs/3H``. The same wear gives a coefficient three times larger in the second. Every
function that holds a coefficient therefore asks which form it belongs to.

Source: J. F. Archard, Journal of Applied Physics 24 (1953) 981-988 (from memory); both forms as
read in published pages on the wear coefficient. Valid for steady wear after run-in by one
mechanism; scatter of a factor of ten is normal (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from trainer.maths.ranges import not_negative, number, one_of, positive

CONVENTIONS: Final = ("KFs/H", "KFs/3H")
CONES: Final = ("2tan/pi", "tan/pi")
MM3_PER_M3 = 1e9
VICKERS_PA = 9.80665e6  # kgf/mm2 in Pa (from memory)


@dataclass(frozen=True, slots=True)
class TypicalCoefficient:
    """A published range of the dimensionless coefficient, with its convention and where from."""

    pair: str
    low: float
    high: float
    convention: str
    source: str


# No published coefficient for coffee on burr steel was found: beans are far softer than the steel,
# so a burr's own wear per kilogram must come from measurements (``wear_life``).
TYPICAL: tuple[TypicalCoefficient, ...] = (
    TypicalCoefficient(
        "abrasive, general", 1e-2, 1e-1, "", "a course page whose own formula leaves out H; rough"
    ),
    TypicalCoefficient(
        "two-body abrasive, metals", 5e-3, 5e-2, "", "Hutchings & Shipway, Tribology (from memory)"
    ),
    TypicalCoefficient(
        "three-body abrasive, metals", 5e-4, 5e-3, "", "Hutchings & Shipway (from memory)"
    ),
    TypicalCoefficient("fretting", 1e-6, 1e-4, "", "a course page"),
    TypicalCoefficient("adhesive", 1e-4, 1e-4, "", "a course page"),
    TypicalCoefficient("mild to severe sliding", 1e-8, 1e-2, "KFs/3H", "a chemistry encyclopaedia"),
    TypicalCoefficient(
        "hard tool steel, unlubricated", 1.3e-4, 1.3e-4, "KFs/3H", "an encyclopaedia's table"
    ),
    TypicalCoefficient(
        "ferritic stainless steel", 1.7e-5, 1.7e-5, "KFs/3H", "an encyclopaedia's table"
    ),
    TypicalCoefficient(
        "mild steel on mild steel", 7e-3, 7e-3, "KFs/3H", "an encyclopaedia's table"
    ),
)


def _divisor(convention: str) -> float:
    return 3.0 if one_of("convention", convention, CONVENTIONS) == "KFs/3H" else 1.0


def worn_volume_m3(
    wear_coefficient: float, force_n: float, distance_m: float, hardness_pa: float, convention: str
) -> float:
    """The volume that sliding wears off.

    Formula: coefficient times force times sliding distance over hardness of the softer body (over
    three times the hardness in the form ``KFs/3H``).

    Args:
        wear_coefficient: dimensionless, 0 or more, belonging to ``convention``.
        force_n: normal force, N, 0 or more.
        distance_m: sliding distance, m, 0 or more.
        hardness_pa: indentation hardness, Pa, above 0; a Vickers number goes through
            ``vickers_pa``, a Rockwell number is no pressure at all.
        convention: ``KFs/H`` or ``KFs/3H``.

    Returns:
        Volume, m3.

    Raises:
        InputError: MTH-030 for a value out of range or another convention.

    Source: Archard 1953 (from memory).

    Example:
        >>> print(f'{worn_volume_m3(7e-3, 980, 1, 1.176e9, "KFs/3H"):.9e}')
        1.944444444e-09
    """
    return (
        not_negative("wear_coefficient", wear_coefficient)
        * not_negative("force_n", force_n)
        * not_negative("distance_m", distance_m)
        / (_divisor(convention) * positive("hardness_pa", hardness_pa))
    )


def wear_coefficient(
    volume_m3: float, force_n: float, distance_m: float, hardness_pa: float, convention: str
) -> float:
    """The coefficient that belongs to a measured volume.

    Formula: volume times hardness over force and distance (times three in the form ``KFs/3H``).

    Args:
        volume_m3: worn volume, m3, 0 or more.
        force_n: normal force, N, above 0.
        distance_m: sliding distance, m, above 0.
        hardness_pa: indentation hardness, Pa, above 0.
        convention: ``KFs/H`` or ``KFs/3H``.

    Returns:
        The dimensionless coefficient of that convention.

    Raises:
        InputError: MTH-030 for a value out of range or another convention.

    Source: Archard 1953 (from memory).

    Example:
        >>> round(wear_coefficient(1e-9, 50, 1000, 5e9, "KFs/H"), 12)
        0.0001
    """
    return (
        _divisor(convention)
        * not_negative("volume_m3", volume_m3)
        * positive("hardness_pa", hardness_pa)
        / (positive("force_n", force_n) * positive("distance_m", distance_m))
    )


def wear_rate_m3_per_s(
    wear_coefficient: float,
    force_n: float,
    speed_m_per_s: float,
    hardness_pa: float,
    convention: str,
) -> float:
    """The volume worn off each second of sliding.

    Formula: coefficient times force times sliding speed over hardness (over three times hardness).

    Args:
        wear_coefficient: dimensionless, 0 or more.
        force_n: normal force, N, 0 or more.
        speed_m_per_s: sliding speed, m/s, 0 or more.
        hardness_pa: indentation hardness, Pa, above 0.
        convention: ``KFs/H`` or ``KFs/3H``.

    Returns:
        Volume per second, m3/s.

    Raises:
        InputError: MTH-030 for a value out of range or another convention.

    Source: Archard 1953 (from memory), rate form as published with worked inputs.

    Example:
        >>> wear_rate_m3_per_s(1e-5, 100, 1, 500e6, "KFs/H")
        2e-12
    """
    return (
        not_negative("wear_coefficient", wear_coefficient)
        * not_negative("force_n", force_n)
        * not_negative("speed_m_per_s", speed_m_per_s)
        / (_divisor(convention) * positive("hardness_pa", hardness_pa))
    )


def specific_wear_rate_mm3_per_n_m(volume_mm3: float, force_n: float, distance_m: float) -> float:
    """The specific wear rate, which needs no hardness and no convention.

    Formula: volume over force and distance. 1 mm3/(N m) is 1e-9 m2/N.

    Args:
        volume_mm3: worn volume, mm3, 0 or more.
        force_n: normal force, N, above 0.
        distance_m: sliding distance, m, above 0.

    Returns:
        mm3/(N m).

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: definition of the specific wear rate, as published.

    Example:
        >>> print(f"{specific_wear_rate_mm3_per_n_m(15.38461538, 60, 344821.2097):.6e}")
        7.436035e-07
    """
    work = positive("force_n", force_n) * positive("distance_m", distance_m)
    return not_negative("volume_mm3", volume_mm3) / work


def worn_depth_um(volume_mm3: float, area_mm2: float) -> float:
    """The depth of a volume worn evenly off a face.

    Formula: volume over area.

    Args:
        volume_mm3: worn volume, mm3, 0 or more.
        area_mm2: face area, mm2, above 0.

    Returns:
        Depth, um.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: geometry; depth form of Archard's law as published.

    Example:
        >>> worn_depth_um(7.2, 1000)
        7.2
    """
    return 1000 * not_negative("volume_mm3", volume_mm3) / positive("area_mm2", area_mm2)


def depth_under_pressure_um(
    wear_coefficient: float,
    pressure_pa: float,
    distance_m: float,
    hardness_pa: float,
    convention: str,
) -> float:
    """The depth worn under an even pressure.

    Formula: coefficient times pressure times distance over hardness (over three times hardness).

    Args:
        wear_coefficient: dimensionless, 0 or more.
        pressure_pa: even pressure on the face, Pa, 0 or more.
        distance_m: sliding distance, m, 0 or more.
        hardness_pa: indentation hardness, Pa, above 0.
        convention: ``KFs/H`` or ``KFs/3H``.

    Returns:
        Depth, um.

    Raises:
        InputError: MTH-030 for a value out of range or another convention.

    Source: depth form of Archard's law as published.

    Example:
        >>> round(depth_under_pressure_um(1e-5, 1e5, 3600, 500e6, "KFs/H"), 9)
        7.2
    """
    return (
        1e6
        * not_negative("wear_coefficient", wear_coefficient)
        * not_negative("pressure_pa", pressure_pa)
        * not_negative("distance_m", distance_m)
        / (_divisor(convention) * positive("hardness_pa", hardness_pa))
    )


def grit_coefficient(attack_deg: float, cone: str) -> float:
    """The coefficient of hard grit that ploughs like a cone.

    Formula: twice the tangent of the attack angle over pi, or once, by the way the cone's half is
    counted; the answer belongs to the form ``KFs/H``.

    Args:
        attack_deg: angle between the cone's flank and the face, deg, above 0 and below 90.
        cone: ``2tan/pi`` or ``tan/pi``.

    Returns:
        The dimensionless coefficient.

    Raises:
        InputError: MTH-030 for an angle out of range or another cone.

    Source: E. Rabinowicz, Friction and Wear of Materials (from memory).

    Example:
        >>> round(grit_coefficient(45, "tan/pi"), 6)
        0.31831
    """
    angle = number("attack_deg", attack_deg, 0, 90, above=True, below=True)
    factor = 2 if one_of("cone", cone, CONES) == "2tan/pi" else 1
    return factor * math.tan(math.radians(angle)) / math.pi


def vickers_pa(vickers: float) -> float:
    """The indentation hardness of a Vickers number.

    Formula: number times 9.80665 MPa (kgf per mm2). A Rockwell number has no such factor: read a
    conversion table first (60 HRC is about 697 HV, ASTM E140, from memory).

    Args:
        vickers: Vickers number, above 0.

    Returns:
        Hardness, Pa.

    Raises:
        InputError: MTH-030 for a number that is not above 0.

    Source: kgf/mm2 in Pa (from memory).

    Example:
        >>> round(vickers_pa(697))
        6835235050
    """
    return VICKERS_PA * positive("vickers", vickers)


def sliding_distance_m(diameter_mm: float, speed_per_min: float, motor_s: float) -> float:
    """The way a point of the burr slides while the motor runs.

    Formula: pi times diameter times turns made.

    Args:
        diameter_mm: diameter of the circle that the point runs on, mm, above 0.
        speed_per_min: burr speed, 1/min, 0 or more.
        motor_s: seconds the motor ran, 0 or more.

    Returns:
        Distance, m.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: geometry.

    Example:
        >>> round(sliding_distance_m(48, 1400, 98000), 4)
        344821.2097
    """
    turns = not_negative("speed_per_min", speed_per_min) / 60 * not_negative("motor_s", motor_s)
    return math.pi * positive("diameter_mm", diameter_mm) / 1000 * turns


def volume_of_loss_mm3(loss_g: float, density_kg_per_m3: float = 7800.0) -> float:
    """The volume of a mass that a burr has lost, from two weighings of the clean burr.

    Formula: mass over density.

    Args:
        loss_g: mass lost, g, 0 or more.
        density_kg_per_m3: density, kg/m3, above 0; steel about 7800 (from memory).

    Returns:
        Volume, mm3.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: definition of density.

    Example:
        >>> round(volume_of_loss_mm3(0.12, 7800), 8)
        15.38461538
    """
    loss_kg = not_negative("loss_g", loss_g) / 1000
    return MM3_PER_M3 * loss_kg / positive("density_kg_per_m3", density_kg_per_m3)


def sliding_life_s(limit_mm3: float, rate_m3_per_s: float) -> float:
    """The sliding time until a volume is worn off.

    Formula: volume allowed over volume worn each second.

    Args:
        limit_mm3: volume that may be worn off, mm3, 0 or more.
        rate_m3_per_s: wear rate, m3/s, above 0.

    Returns:
        Time, s.

    Raises:
        InputError: MTH-030 for a value out of range.

    Source: definition.

    Example:
        >>> round(sliding_life_s(1, 2e-12), 6)
        500.0
    """
    limit_m3 = not_negative("limit_mm3", limit_mm3) / MM3_PER_M3
    return limit_m3 / positive("rate_m3_per_s", rate_m3_per_s)
