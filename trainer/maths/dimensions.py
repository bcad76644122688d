"""Dimensions: exponents over seven base kinds, and their names in words.

The base units are kilogram, metre, second, kelvin, ampere, turn and money.
"""

from __future__ import annotations

Dimension = tuple[int, ...]
BASE = ("mass", "length", "time", "temperature", "current", "angle", "money")


def dim(
    *, mass: int = 0, length: int = 0, time: int = 0, temperature: int = 0,
    current: int = 0, angle: int = 0, money: int = 0,
) -> Dimension:  # fmt: skip
    """A dimension from the exponents that are not zero."""
    return (mass, length, time, temperature, current, angle, money)


NUMBER = dim()
MASS = dim(mass=1)
LENGTH = dim(length=1)
VOLUME = dim(length=3)
TIME = dim(time=1)
RATE = dim(time=-1)
TEMPERATURE = dim(temperature=1)
CURRENT = dim(current=1)
ANGLE = dim(angle=1)
MONEY = dim(money=1)
FORCE = dim(mass=1, length=1, time=-2)
PRESSURE = dim(mass=1, length=-1, time=-2)
ENERGY = dim(mass=1, length=2, time=-2)
POWER = dim(mass=1, length=2, time=-3)
VOLTAGE = dim(mass=1, length=2, time=-3, current=-1)
RESISTANCE = dim(mass=1, length=2, time=-3, current=-2)
CONDUCTANCE = dim(mass=-1, length=-2, time=3, current=2)
CAPACITANCE = dim(mass=-1, length=-2, time=4, current=2)

_DIMENSION_NAMES: dict[Dimension, str] = {
    NUMBER: "a number",
    dim(length=2): "area",
    dim(length=3): "volume",
    dim(time=-1): "number per time",
    dim(length=1, time=-1): "speed",
    dim(length=1, time=-2): "acceleration",
    dim(length=3, time=-1): "volume per time",
    dim(mass=1, length=-3): "density",
    dim(mass=1, length=1, time=-2): "force",
    dim(mass=1, length=-1, time=-2): "pressure",
    dim(mass=1, length=2, time=-2): "energy or torque",
    dim(mass=1, length=2, time=-3): "power",
    dim(mass=1, length=2, time=-3, current=-1): "voltage",
    dim(mass=1, length=2, time=-3, current=-2): "resistance",
    dim(mass=1, length=3, time=-3, current=-2): "resistivity",
    dim(mass=1, length=1, time=-3, current=-2): "resistance per length",
    dim(mass=-1, length=-2, time=3, current=2): "conductance",
    dim(mass=-1, length=-2, time=4, current=2): "capacitance",
    dim(time=1, current=1): "charge",
    dim(mass=1, length=2): "moment of inertia",
    dim(length=2, time=-2, temperature=-1): "specific heat",
    dim(mass=1, length=2, time=-2, temperature=-1): "heat capacity",
    dim(mass=1, length=2, time=-3, temperature=-1): "power per temperature",
    dim(mass=-1, length=-2, time=3, temperature=1): "temperature per power",
}


def dimension_name(dimension: Dimension) -> str:
    """What a dimension measures, in words.

    Example:
        >>> dimension_name(dim(length=1, mass=-1))
        'length per mass'
    """
    known = _DIMENSION_NAMES.get(dimension)
    if known is not None:
        return known
    powers = {1: "", 2: " squared", 3: " cubed"}

    def words(sign: int) -> str:
        return " times ".join(
            name + powers.get(sign * power, f" to the power {sign * power}")
            for name, power in zip(BASE, dimension, strict=True)
            if sign * power > 0
        )

    above, below = words(1), words(-1)
    return f"{above or 'number'} per {below}" if below else above
