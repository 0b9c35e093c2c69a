"""Units of the trade in one table, amounts as typed, and exact conversion.

Every factor is written as text and read as an exact fraction, so converting there and back returns
the number one started from. Rounding happens only in :func:`parse_amount`, which says so.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal, localcontext
from fractions import Fraction
from typing import Literal

Kind = Literal["gal", "lb"]

# dimension -> its base unit, in which the factors below are expressed
BASES = {
    "volume": "gal",
    "mass": "lb",
    "length": "ft",
    "area": "ac",
    "concentration": "lb_per_gal",
    "fraction": "lb_per_lb",
    "volume rate": "gal_per_ac",
    "mass rate": "lb_per_ac",
}

GAL_PER_FT3 = "1728/231"
GAL_PER_L = "1/3.785411784"
LB_PER_KG = "1/0.45359237"
AC_PER_HA = "10000/4046.8564224"

# unit -> (dimension, exact factor to the base unit, printed name)
UNITS: dict[str, tuple[str, str, str]] = {
    "gal": ("volume", "1", "gallon"),
    "kgal": ("volume", "1000", "1,000 gallons"),
    "ac_in": ("volume", "3630*1728/231", "acre-inch"),
    "ac_ft": ("volume", "43560*1728/231", "acre-foot"),
    "ft3": ("volume", GAL_PER_FT3, "cubic foot"),
    "yd3": ("volume", "27*1728/231", "cubic yard"),
    "bu": ("volume", "2150.42/231", "struck bushel"),
    "L": ("volume", GAL_PER_L, "litre"),
    "m3": ("volume", "1000/3.785411784", "cubic metre"),
    "imp_gal": ("volume", "4.54609/3.785411784", "imperial gallon"),
    "lb": ("mass", "1", "pound"),
    "ton": ("mass", "2000", "short ton"),
    "kg": ("mass", LB_PER_KG, "kilogram"),
    "tonne": ("mass", "1000/0.45359237", "metric tonne"),
    "ft": ("length", "1", "foot"),
    "in": ("length", "1/12", "inch"),
    "yd": ("length", "3", "yard"),
    "mile": ("length", "5280", "mile"),
    "m": ("length", "1/0.3048", "metre"),
    "km": ("length", "1000/0.3048", "kilometre"),
    "ac": ("area", "1", "acre"),
    "ft2": ("area", "1/43560", "square foot"),
    "ha": ("area", AC_PER_HA, "hectare"),
    "m2": ("area", "1/4046.8564224", "square metre"),
    "lb_per_gal": ("concentration", "1", "pounds per gallon"),
    "lb_per_kgal": ("concentration", "1/1000", "pounds per 1,000 gallons"),
    "lb_per_100gal": ("concentration", "1/100", "pounds per 100 gallons"),
    "lb_per_ac_in": ("concentration", "231/3630/1728", "pounds per acre-inch"),
    "lb_per_ft3": ("concentration", "231/1728", "pounds per cubic foot"),
    "lb_per_yd3": ("concentration", "231/27/1728", "pounds per cubic yard"),
    "mg_per_L": ("concentration", "3.785411784/453592.37", "milligrams per litre"),
    "g_per_L": ("concentration", "3.785411784/453.59237", "grams per litre"),
    "kg_per_m3": ("concentration", "3.785411784/453.59237", "kilograms per cubic metre"),
    "lb_per_lb": ("fraction", "1", "pound per pound"),
    "pct": ("fraction", "1/100", "per cent by weight"),
    "lb_per_ton": ("fraction", "1/2000", "pounds per ton"),
    "ppm": ("fraction", "1/1000000", "parts per million"),
    "mg_per_kg": ("fraction", "1/1000000", "milligrams per kilogram"),
    "g_per_kg": ("fraction", "1/1000", "grams per kilogram"),
    "kg_per_tonne": ("fraction", "1/1000", "kilograms per tonne"),
    "gal_per_ac": ("volume rate", "1", "gallons per acre"),
    "kgal_per_ac": ("volume rate", "1000", "1,000 gallons per acre"),
    "in_depth": ("volume rate", "3630*1728/231", "inches deep"),
    "m3_per_ha": ("volume rate", "1000/3.785411784*4046.8564224/10000", "cubic metres per hectare"),
    "lb_per_ac": ("mass rate", "1", "pounds per acre"),
    "ton_per_ac": ("mass rate", "2000", "tons per acre"),
    "kg_per_ha": ("mass rate", "4046.8564224/10000/0.45359237", "kilograms per hectare"),
    "tonne_per_ha": ("mass rate", "4046.8564224/10/0.45359237", "tonnes per hectare"),
}

ALIASES = {
    "gallon": "gal", "gallons": "gal", "us gal": "gal", "1000 gal": "kgal", "acre-inch": "ac_in",
    "acre-inches": "ac_in", "acre inch": "ac_in", "ac-in": "ac_in", "acre-foot": "ac_ft",
    "cubic feet": "ft3", "cubic yards": "yd3", "litre": "L", "litres": "L", "l": "L",
    "pound": "lb", "pounds": "lb", "lbs": "lb", "tons": "ton", "short ton": "ton",
    "tonnes": "tonne", "metric ton": "tonne", "metric tons": "tonne",
    "acre": "ac", "acres": "ac", "feet": "ft", "foot": "ft", "%": "pct", "mg/kg": "mg_per_kg",
    "mg/l": "mg_per_L", "lb/ton": "lb_per_ton", "lb/1000 gal": "lb_per_kgal",
    "lb/1,000 gal": "lb_per_kgal", "lb/100 gal": "lb_per_100gal", "lb/gal": "lb_per_gal",
}  # fmt: skip

# pairs of dimensions that a density in pounds per gallon joins: mass side, volume side
_JOINED = {
    ("mass", "volume"), ("concentration", "fraction"), ("mass rate", "volume rate"),
}  # fmt: skip

ATOMIC_P, ATOMIC_K, ATOMIC_O = Decimal("30.973762"), Decimal("39.0983"), Decimal("15.9994")
P2O5_PER_P = (2 * ATOMIC_P + 5 * ATOMIC_O) / (2 * ATOMIC_P)
K2O_PER_K = (2 * ATOMIC_K + ATOMIC_O) / (2 * ATOMIC_K)
SQFT_PER_AC = 43560
GAL_PER_AC_IN = float(Fraction(3630 * 1728, 231))
GAL_PER_CUFT = float(Fraction(1728, 231))
MOST_BASE_UNITS = 1_000_000_000


class UnitError(ValueError):
    """A unit that is unknown, or two units that measure different things."""


class AmountError(ValueError):
    """An amount that cannot be read; the message names the value and the remedy."""


@dataclass(frozen=True)
class Amount:
    """An amount as typed, with its whole thousandths of a gallon or pound.

    ``note`` is empty, or says what was rounded away.
    """

    text: str
    unit: str
    milli: int
    kind: Kind
    note: str = ""


def _fraction(text: str) -> Fraction:
    """Read "3630*1728/231" exactly, from left to right.

    >>> _fraction("1/0.3048") == Fraction(10000, 3048)
    True
    """
    value = Fraction(1)
    for sign, number in re.findall(r"([*/]?)([0-9.]+)", text):
        value = value / Fraction(number) if sign == "/" else value * Fraction(number)
    return value


FACTORS = {unit: _fraction(text) for unit, (_, text, _) in UNITS.items()}


def unit_named(unit: str) -> str:
    """Return the table's name of a unit, also when it is written in words.

    Raises UnitError when the table does not hold it.

    >>> unit_named("tons"), unit_named("Acre-inch")
    ('ton', 'ac_in')
    """
    if unit in UNITS:
        return unit
    found = ALIASES.get(unit.strip().lower(), unit.strip().lower())
    if found not in UNITS:
        raise UnitError(f"The unit {unit!r} is not known. Use one of: {', '.join(UNITS)}.")
    return found


def dimension(unit: str) -> str:
    """Return what a unit measures: volume, mass, length, area, concentration ...

    >>> dimension("lb_per_kgal")
    'concentration'
    """
    return UNITS[unit_named(unit)][0]


def _decimal(value: Fraction) -> Decimal:
    with localcontext() as context:
        context.prec = 34
        return Decimal(value.numerator) / Decimal(value.denominator)


def _joined_by_density(source: str, target: str, density: Decimal | None) -> Fraction | None:
    """The factor from base unit to base unit across a density, or None when nothing joins them."""
    if (source, target) in _JOINED or (target, source) in _JOINED:
        if density is None:
            raise UnitError(
                f"Changing {source} into {target} needs a density in pounds per gallon; give one."
            )
        if not density.is_finite() or density <= 0:
            raise UnitError(f"A density of {density} lb/gal is not possible; give one above 0.")
        # concentration (lb/gal) = fraction (lb/lb) x density; mass = volume x density
        multiplies = (source, target) in {
            ("volume", "mass"), ("fraction", "concentration"), ("volume rate", "mass rate"),
        }  # fmt: skip
        return Fraction(density) if multiplies else 1 / Fraction(density)
    return None


def convert(
    value: Decimal, from_unit: str, to_unit: str, density_lb_per_gal: Decimal | None = None
) -> Decimal:
    """Return ``value`` changed from one unit to another, exact to 34 digits.

    Units: any of :data:`UNITS`. Volume and mass (and what is measured per volume or per mass)
    change into each other only with a density in pounds per gallon. Raises UnitError for unknown
    or unlike units and for a missing density. Source: exact definitions (inch 25.4 mm, pound
    0.45359237 kg, gallon 231 cubic inches).

    >>> convert(Decimal("0.96"), "pct", "lb_per_ton")
    Decimal('19.2')
    >>> convert(Decimal(1), "pct", "lb_per_kgal", Decimal("8.34"))
    Decimal('83.4')
    """
    source, target = unit_named(from_unit), unit_named(to_unit)
    if not value.is_finite():
        raise UnitError(f"{value} is not a number that can be converted.")
    exact = Fraction(value) * FACTORS[source]
    if dimension(source) != dimension(target):
        across = _joined_by_density(dimension(source), dimension(target), density_lb_per_gal)
        if across is None:
            raise UnitError(
                f"{from_unit} measures {dimension(source)} and {to_unit} measures "
                f"{dimension(target)}: one does not change into the other."
            )
        exact *= across
    return _decimal(exact / FACTORS[target])


_PLAIN = re.compile(r"[0-9]+(\.[0-9]+)?|\.[0-9]+")
_GROUPED = re.compile(r"[0-9]{1,3}(,[0-9]{3})+(\.[0-9]+)?")


def read_number(text: str) -> Decimal:
    """Return a number typed by a person: ``6500``, ``6,500`` or ``8.13``; never below zero.

    Raises AmountError for anything that could be read two ways.

    >>> read_number("6,500.25")
    Decimal('6500.25')
    """
    typed = text.strip()
    if _PLAIN.fullmatch(typed):
        return Decimal(typed)
    if _GROUPED.fullmatch(typed):
        return Decimal(typed.replace(",", ""))
    if not typed:
        raise AmountError("No amount was given. Type a number such as 6,500 or 8.13.")
    if typed.startswith("-"):
        raise AmountError(f"{text!r} is below zero. An amount is zero or more: leave the sign out.")
    if re.fullmatch(r"[0-9.]*,[0-9]*", typed) or re.fullmatch(r"[0-9.,]+", typed):
        raise AmountError(
            f"{text!r} can be read in two ways. Use a point for decimals (8.13) and commas only "
            "between thousands (6,500)."
        )
    if re.fullmatch(r"[0-9.]+[eE][+-]?[0-9]+", typed):
        raise AmountError(f"{text!r} is written with an exponent. Write the number out in full.")
    raise AmountError(f"{text!r} is not a number. Type digits only, such as 6,500 or 8.13.")


def parse_amount(text: str, unit: str) -> Amount:
    """Return an amount with its whole thousandths of a gallon (volume) or pound (mass).

    ``text`` is kept as typed. What does not come out whole is rounded half to even and the note
    says so. Range: 0 to 1,000,000,000 gal or lb. Raises AmountError (unreadable, negative, too
    large, or a unit that is no volume or mass).

    >>> parse_amount("8.13", "ton")
    Amount(text='8.13', unit='ton', milli=16260000, kind='lb', note='')
    >>> parse_amount("6,500", "gallons").milli
    6500000
    """
    if not unit.strip():
        raise AmountError(f"The amount {text!r} has no unit. Say gallons, tons or pounds.")
    try:
        named = unit_named(unit)
    except UnitError as unknown:
        raise AmountError(str(unknown)) from None
    if dimension(named) not in ("volume", "mass"):
        raise AmountError(
            f"{unit!r} is no unit of an amount. Use gallons, tons, pounds or another unit of "
            "volume or weight."
        )
    kind: Kind = "gal" if dimension(named) == "volume" else "lb"
    base = Fraction(read_number(text)) * FACTORS[named]
    if base > MOST_BASE_UNITS:
        raise AmountError(
            f"{text} {unit} is more than {MOST_BASE_UNITS:,} {kind}. Check the number and the unit."
        )
    thousandths = base * 1000
    milli = round(thousandths)  # half to even on an exact fraction
    note = ""
    if thousandths != milli:
        lost = _decimal(abs(thousandths - milli) / 1000).quantize(
            Decimal("0.0000001"), rounding=ROUND_HALF_EVEN
        )
        note = f"Rounded to a thousandth of a {'gallon' if kind == 'gal' else 'pound'} ({lost:f})."
    return Amount(text=text, unit=named, milli=milli, kind=kind, note=note)


def p_to_p2o5(value: Decimal) -> Decimal:
    """Return phosphate (P2O5) from elemental P by molar masses (factor 2.29137).

    >>> round(p_to_p2o5(Decimal(1)), 5)
    Decimal('2.29137')
    """
    return value * P2O5_PER_P


def p2o5_to_p(value: Decimal) -> Decimal:
    """Return elemental P from phosphate (P2O5) by molar masses (factor 0.43642).

    >>> round(p2o5_to_p(Decimal(1)), 5)
    Decimal('0.43642')
    """
    return value / P2O5_PER_P


def k_to_k2o(value: Decimal) -> Decimal:
    """Return potash (K2O) from elemental K by molar masses (factor 1.2046).

    >>> round(k_to_k2o(Decimal(1)), 4)
    Decimal('1.2046')
    """
    return value * K2O_PER_K


def k2o_to_k(value: Decimal) -> Decimal:
    """Return elemental K from potash (K2O) by molar masses (factor 0.8301).

    >>> round(k2o_to_k(Decimal(1)), 4)
    Decimal('0.8301')
    """
    return value / K2O_PER_K


def whole(milli: int, milli_per_unit: int = 1000) -> Decimal:
    """Return thousandths of a gallon or pound in whole units of so many thousandths, exactly.

    Without ``milli_per_unit`` in gallons or pounds.

    >>> whole(6_500_250)
    Decimal('6500.25')
    >>> whole(16_260_000, 2_000_000)
    Decimal('8.13')
    """
    return Decimal(milli) / milli_per_unit


def gal_or_tons(milli: int, kind: Kind) -> Decimal:
    """Return thousandths as gallons (kind ``gal``) or as tons (kind ``lb``), exactly.

    >>> gal_or_tons(16_260_000, "lb")
    Decimal('8.13')
    """
    return Decimal(milli) / (1000 if kind == "gal" else 2_000_000)
