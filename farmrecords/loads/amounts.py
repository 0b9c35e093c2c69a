"""Amounts as they are shown: gallons or tons, from whole thousandths of a gallon or pound."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from farmrecords.calculations.units import gal_or_tons, whole

LARGEST_DECIMALS = {"gal": Decimal("0.1"), "lb": Decimal("0.01")}


def in_unit(milli: int, kind: str) -> Decimal:
    """The exact amount in gallons (kind gal) or tons (kind lb)."""
    return gal_or_tons(milli, "gal" if kind == "gal" else "lb")


def unit_word(kind: str, number: Decimal | float | int = 0) -> str:
    """The word of the unit an amount of this kind is shown in."""
    if kind == "gal":
        return str(_("gal"))
    return str(ngettext("ton", "tons", 1 if number == 1 else 2))


def rate_word(kind: str) -> str:
    """The word of the unit a rate of this kind is shown in."""
    return str(_("gal/ac")) if kind == "gal" else str(_("tons/ac"))


def figure(milli: int, kind: str) -> str:
    """The number alone, as shown: 6,500 for gallons, 8.13 for tons."""
    exact = in_unit(milli, kind)
    rounded = exact.quantize(LARGEST_DECIMALS[kind], rounding=ROUND_HALF_EVEN)
    if kind == "gal" and rounded == rounded.to_integral_value():
        rounded = rounded.to_integral_value()
    return f"{rounded:,f}"


def shown(milli: int, kind: str) -> str:
    """An amount as shown: “6,500 gal”, “8.13 tons”; rounded for display only."""
    return f"{figure(milli, kind)} {unit_word(kind, in_unit(milli, kind))}"


def plain(milli: int, per_unit: int = 1000) -> str:
    """Thousandths as an exact plain number, without needless zeros."""
    text = f"{whole(milli, per_unit):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
