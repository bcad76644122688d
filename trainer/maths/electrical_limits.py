"""Limits of earth continuity, insulation and leakage of plug-in appliances, by regime.

They differ by country and by edition. Every answer carries the words "follow the local code" and
names the regime it comes from; a regime is never assumed. Limits are decimals: an edge is exact.
Earth continuity is measured first; without it the other tests mean nothing and can be dangerous
(instructions of an appliance tester).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from trainer.errors import InputError
from trainer.maths.ranges import no_result, number, one_of, out_of_range

WORDS = "follow the local code"
IEC = "IEC 60335-1 type test"
VDE = "DIN VDE 0701-0702"
EN = "EN 50678/50699"
UK = "UK IET Code of Practice"
ANZ = "AS/NZS 3760"
UL = "USA UL product standards"
REGIMES = (IEC, VDE, EN, UK, ANZ, UL)
APPLIANCE_CLASSES = ("I", "I with heating elements", "II", "III", "safe separation")

# Source: IEC 60228, class 5 copper at 20 degC (from memory): section mm2, ohm per kilometre.
CORE_OHM_PER_KM = {
    Decimal("0.75"): Decimal("26.0"),
    Decimal("1.0"): Decimal("19.5"),
    Decimal("1.5"): Decimal("13.3"),
    Decimal("2.5"): Decimal("7.98"),
}
LARGEST_TABLE_MM2 = Decimal("1.5")
LARGEST_TABLE_A = Decimal(16)
_GUIDE = "appendix 5 of a German accident insurer's guide (DGUV I 203-071)"
_EARTH_SOURCES = {
    IEC: "IEC 60335-1 cl. 27.5 (from memory), without the cord",
    VDE: f"{_GUIDE}; the steps as an appliance tester's table prints them",
    EN: "a test equipment maker's note on the change of limits; steps as DIN VDE 0701-0702",
    UK: "IET Code of Practice 5th ed. as a test equipment maker quotes it; core resistance "
    "IEC 60228 (from memory)",
    ANZ: "AS/NZS 3760 as two test and tag pages quote it; a forum post says 0.5 ohm",
    UL: "UL 507 cl. 42.1 as a maker's guide quotes it",
}
_SERVICE_500 = "read at 500 V d.c."
_INSULATION: dict[tuple[str, str], tuple[str, str]] = {
    (VDE, "I"): ("1", _GUIDE),
    (VDE, "I with heating elements"): ("0.3", _GUIDE),
    (VDE, "II"): ("2", _GUIDE),
    (VDE, "III"): ("0.25", _GUIDE),
    (VDE, "safe separation"): ("2", _GUIDE),
    (EN, "I"): ("1", "as DIN VDE 0701-0702 (from memory)"),
    (EN, "I with heating elements"): ("0.3", "as DIN VDE 0701-0702 (from memory)"),
    (EN, "II"): ("2", "as DIN VDE 0701-0702 (from memory)"),
    (EN, "III"): ("0.25", "as DIN VDE 0701-0702 (from memory)"),
    (EN, "safe separation"): ("2", "as DIN VDE 0701-0702 (from memory)"),
    (UK, "I"): ("1", "IEE Wiring Matters, autumn 2005 p. 16, and a tester's page"),
    (UK, "II"): ("2", "an electrical tester's page"),
    (ANZ, "I"): ("1", "a test and tag page; 250 V with surge arresters"),
    (ANZ, "II"): ("1", "a test and tag page; 250 V with surge arresters"),
}
_LEAKAGE: dict[tuple[str, str], tuple[str, str]] = {
    (IEC, "class I portable"): ("0.75", "IEC 60335-1 cl. 13.2, 16.2 as two web threads quote it"),
    (IEC, "class I stationary motor"): ("3.5", "as class I portable"),
    (IEC, "class I stationary heating"): ("0.75", "as class I portable; 0.75 mA/kW, at most 5 mA"),
    (IEC, "class II"): ("0.25", "a web thread; later editions 0.35 mA peak (from memory)"),
    (VDE, "protective conductor"): ("3.5", f"{_GUIDE}; heating over 3.5 kW 1 mA/kW, at most 10"),
    (VDE, "touch"): ("0.5", f"{_GUIDE}; conductive parts without protective earth"),
    (EN, "protective conductor"): ("3.5", "as DIN VDE 0701-0702 (from memory)"),
    (EN, "touch"): ("0.5", "as DIN VDE 0701-0702 (from memory)"),
    (UK, "class I hand-held"): ("0.75", "from memory"),
    (UK, "class I other"): ("3.5", "from memory"),
    (UK, "class II"): ("0.25", "from memory"),
    (ANZ, "class I"): ("5", "from memory"),
    (ANZ, "class II"): ("1", "from memory"),
    (UL, "two-wire"): ("0.5", "UL 8750 cl. 8.7.1 as a web page quotes it, same as UL 101"),
    (UL, "three-wire portable"): ("0.5", "as two-wire"),
    (UL, "three-wire stationary"): ("0.75", "as two-wire"),
}
APPLIANCES = tuple(dict.fromkeys(appliance for _, appliance in _LEAKAGE))
_HEATING = {  # mA/kW and the most, for these rows of the table above
    (IEC, "class I stationary heating"): (Decimal("0.75"), Decimal(5)),
    (VDE, "protective conductor"): (Decimal(1), Decimal(10)),
    (EN, "protective conductor"): (Decimal(1), Decimal(10)),
}
PORTABLE_BELOW_KG = Decimal(18)


@dataclass(frozen=True, slots=True)
class EarthLimit:
    """The most that the protective conductor may measure."""

    limit_ohm: Decimal
    regime: str
    words: str
    source: str


@dataclass(frozen=True, slots=True)
class InsulationLimit:
    """The least that the insulation may measure, and the test voltage."""

    limit_megaohm: Decimal
    test_v: Decimal
    regime: str
    words: str
    source: str


@dataclass(frozen=True, slots=True)
class LeakageLimit:
    """The most that may leak."""

    limit_ma: Decimal
    regime: str
    words: str
    source: str


def earth_limit(
    regime: str,
    cord_m: Decimal | None = None,
    section_mm2: Decimal | None = None,
    rated_a: Decimal | None = None,
) -> EarthLimit:
    """The most that the protective conductor of a plug-in class I appliance may measure.

    Formula: IEC and UL 0.1 ohm (IEC without the cord); German and European rule 0.3 ohm to 5 m of
    cord, 0.1 more for each further 7.5 m begun, at most 1.0, up to 1.5 mm2 and 16 A; UK 0.1 ohm
    plus the resistance of the cord's core; AS/NZS 1 ohm.

    Args:
        regime: by name; see ``REGIMES``.
        cord_m: length of the cord, m, above 0; the German, European and UK rules need it.
        section_mm2: section of its cores, mm2, above 0; the UK rule needs it.
        rated_a: rated current, A, above 0.

    Returns:
        The limit, and the words "follow the local code".

    Raises:
        InputError: MTH-030 for an unknown regime or a missing length, MTH-032 for a section or
            current beyond the table (use the calculated rule).

    Source: named in the answer.

    Example:
        >>> limit = earth_limit("DIN VDE 0701-0702", Decimal("12.5"))
        >>> limit.limit_ohm, limit.words
        (Decimal('0.4'), 'follow the local code')
    """
    one_of("regime", regime, REGIMES)
    length = None if cord_m is None else _exact("cord_m", cord_m)
    section = None if section_mm2 is None else _exact("section_mm2", section_mm2)
    rated = None if rated_a is None else _exact("rated_a", rated_a)
    if regime in {IEC, UL}:
        limit = Decimal("0.1")
    elif regime == ANZ:
        limit = Decimal(1)
    elif regime == UK:
        core = core_resistance_ohm(_needed("section_mm2", section), _needed("cord_m", length))
        limit = Decimal("0.1") + core
    else:
        limit = _by_length(_needed("cord_m", length), section, rated)
    return EarthLimit(limit, regime, WORDS, _EARTH_SOURCES[regime])


def _by_length(length: Decimal, section: Decimal | None, rated: Decimal | None) -> Decimal:
    if (section or 0) > LARGEST_TABLE_MM2 or (rated or 0) > LARGEST_TABLE_A:
        raise InputError(
            no_result,
            why="the table ends at section_mm2 1.5 and rated_a 16; beyond it the limit is worked "
            "out from length and section, and is at least 0.1 ohm: follow the local code",
        )
    further = max(Decimal(0), length - 5) / Decimal("7.5")
    steps = further.to_integral_value(ROUND_CEILING)
    return min(Decimal("1.0"), Decimal("0.3") + Decimal("0.1") * steps)


def earth_limit_ohm(
    regime: str,
    cord_m: Decimal | None = None,
    section_mm2: Decimal | None = None,
    rated_a: Decimal | None = None,
) -> Decimal:
    """As ``earth_limit``, the number alone, for a formula; follow the local code.

    Formula: as ``earth_limit``.

    Args:
        regime: by name; see ``REGIMES``.
        cord_m: length of the cord, m, above 0.
        section_mm2: section of its cores, mm2, above 0.
        rated_a: rated current, A, above 0.

    Returns:
        Ohms.

    Raises:
        InputError: as ``earth_limit``.

    Source: as ``earth_limit``.

    Example:
        >>> earth_limit_ohm("UK IET Code of Practice", Decimal(3), Decimal("1.0"))
        Decimal('0.1585')
    """
    return earth_limit(regime, cord_m, section_mm2, rated_a).limit_ohm


def core_resistance_ohm(section_mm2: Decimal, cord_m: Decimal) -> Decimal:
    """The resistance of one core of a flexible cord at 20 degC.

    Formula: ohm per kilometre of the section times length.

    Args:
        section_mm2: 0.75, 1.0, 1.5 or 2.5 mm2, above 0.
        cord_m: length, m, above 0.

    Returns:
        Ohms.

    Raises:
        InputError: MTH-030 for another section.

    Source: IEC 60228, class 5 copper (from memory).

    Example:
        >>> core_resistance_ohm(Decimal("1.5"), Decimal(5))
        Decimal('0.0665')
    """
    section, length = _exact("section_mm2", section_mm2), _exact("cord_m", cord_m)
    if section not in CORE_OHM_PER_KM:
        raise InputError(
            out_of_range, argument="section_mm2", value=f"{section}",
            allowed=f"one of {', '.join(str(known) for known in CORE_OHM_PER_KM)}",
        )  # fmt: skip
    return CORE_OHM_PER_KM[section] * length / 1000


def insulation_limit(regime: str, appliance_class: str) -> InsulationLimit:
    """The least that the insulation of an appliance may measure at 500 V d.c.

    Formula: looked up.

    Args:
        regime: by name; see ``REGIMES``.
        appliance_class: I, I with heating elements, II, III, safe separation.

    Returns:
        The limit, the test voltage, and the words "follow the local code".

    Raises:
        InputError: MTH-030 for an unknown name, MTH-032 where the regime states no such limit.

    Source: named in the answer.

    Example:
        >>> insulation_limit("DIN VDE 0701-0702", "II").limit_megaohm
        Decimal('2')
    """
    one_of("regime", regime, REGIMES)
    one_of("appliance_class", appliance_class, APPLIANCE_CLASSES)
    limit, source = _looked_up(_INSULATION, regime, appliance_class)
    return InsulationLimit(Decimal(limit), Decimal(500), regime, WORDS, source)


def leakage_limit(regime: str, appliance: str, heating_kw: Decimal | None = None) -> LeakageLimit:
    """The most that may leak from an appliance.

    Formula: looked up; with heating power by the kilowatt where the regime says so.

    Args:
        regime: by name; see ``REGIMES``.
        appliance: which current of which appliance, in the regime's own words.
        heating_kw: heating power, kW, 0 or more, where it counts.

    Returns:
        The limit, and the words "follow the local code".

    Raises:
        InputError: MTH-030 for an unknown name, MTH-032 where the regime has no such row.

    Source: named in the answer.

    Example:
        >>> leakage_limit("DIN VDE 0701-0702", "protective conductor", Decimal(6)).limit_ma
        Decimal('6')
    """
    one_of("regime", regime, REGIMES)
    one_of("appliance", appliance, APPLIANCES)
    heating = Decimal(0) if heating_kw is None else _exact("heating_kw", heating_kw, above=False)
    text, source = _looked_up(_LEAKAGE, regime, appliance)
    limit = Decimal(text)
    if (regime, appliance) in _HEATING:
        by_kw, most = _HEATING[regime, appliance]
        limit = min(most, max(limit, by_kw * heating))
    return LeakageLimit(limit, regime, WORDS, source)


def mobility(mass_kg: float, *, is_fixed: bool = False, is_moved_in_use: bool = False) -> str:
    """Whether an appliance counts as portable or stationary for its leakage limit.

    Formula: portable when moved in use, or when not fixed and below 18 kg.

    Args:
        mass_kg: mass, kg, above 0.
        is_fixed: whether it is fixed to its place.
        is_moved_in_use: whether it is moved while used.

    Returns:
        ``portable`` or ``stationary``.

    Raises:
        InputError: MTH-030 for a mass that is not above 0.

    Source: IEC 60335-1 (from memory; the 18 kg in a web thread).

    Example:
        >>> mobility(12), mobility(25)
        ('portable', 'stationary')
    """
    light = number("mass_kg", mass_kg, 0, above=True) < PORTABLE_BELOW_KG
    return "portable" if is_moved_in_use or (light and not is_fixed) else "stationary"


def _looked_up(
    table: dict[tuple[str, str], tuple[str, str]], regime: str, row: str
) -> tuple[str, str]:
    found = table.get((regime, row))
    if found is None:
        known = ", ".join(name for named, name in table if named == regime) or "none"
        raise InputError(
            no_result,
            why=f"{regime} states no service limit for '{row}' here (known: {known}); {WORDS}",
        )
    return found


def _exact(name: str, value: Decimal, *, above: bool = True) -> Decimal:
    """The value as a decimal, if it is finite and above zero (or zero, where that may be)."""
    number(name, value, 0, above=above)
    return value if isinstance(value, Decimal) else Decimal(str(value))


def _needed(name: str, value: Decimal | None) -> Decimal:
    if value is None:
        raise InputError(
            out_of_range, argument=name, value="missing", allowed="given for this regime"
        )
    return value
