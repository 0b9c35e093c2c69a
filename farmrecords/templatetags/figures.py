"""Figures as a person reads them: grouped, without idle zeros, never in powers of ten."""

from dataclasses import asdict, is_dataclass
from decimal import Decimal

from django import template
from django.utils.formats import number_format
from django.utils.translation import gettext as _

register = template.Library()

SIGNIFICANT_DIGITS = 6
# words in the place of a unit, of which nothing is printed behind a figure
NO_MEASURE = ("", "word", "sentence", "yes or no", "rows", "unit")
# What arithmetic with floating point leaves of a zero; no figure of the trade is this small.
RESIDUE = Decimal("1e-9")


@register.filter
def measure(unit: str) -> str:
    """A unit of a worksheet as it is printed; nothing where it is no unit of a figure.

    >>> measure("lb_per_kgal or lb_per_ton"), measure("yes or no")
    ('lb/1,000 gal or lb/ton', '')
    """
    return (
        "" if unit in NO_MEASURE else unit.replace("_per_kgal", "/1,000 gal").replace("_per_", "/")
    )


@register.filter
def shown(value: object) -> object:
    """A value of a worksheet for display: yes or no, a number to six digits, or the text itself.

    Rounding is for display only; whole numbers are shown whole.
    """
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if value is None:
        return _("not known")
    if isinstance(value, int):
        return number_format(value)
    if isinstance(value, (float, Decimal)):
        return number_format(plain(Decimal(repr(value)) if isinstance(value, float) else value))
    if isinstance(value, (list, tuple)):
        return ", ".join(str(shown(item)) for item in value)
    if is_dataclass(value) and not isinstance(value, type):
        value = asdict(value)
    if isinstance(value, dict):
        return ", ".join(f"{name} {shown(item)}" for name, item in value.items())
    return value


def plain(number: Decimal) -> str:
    """Digits of a number to six significant ones, whole part always complete."""
    if not number.is_finite():
        return str(number)
    if abs(number) < RESIDUE:
        return "0"
    places = max(0, SIGNIFICANT_DIGITS - 1 - number.adjusted()) if number else 0
    text = f"{number:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
