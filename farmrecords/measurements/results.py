"""Laboratory results as they stand on the sheet: analyte, value as written, unit, basis."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

ANALYTES = {
    "total_n": _("total N"),
    "ammonium_n": _("NH4-N"),
    "nitrate_n": _("NO3-N"),
    "organic_n": _("organic N"),
    "tkn": _("TKN"),
    "p": _("P"),
    "p2o5": _("P2O5"),
    "k": _("K"),
    "k2o": _("K2O"),
    "solids_pct": _("solids"),
    "moisture_pct": _("moisture"),
    "wep": _("water-extractable P"),
    "soil_p": _("soil-test P"),
    "soil_nitrate_n": _("soil nitrate N"),
    "soil_al": _("aluminium"),
    "soil_om": _("organic matter"),
    "soil_ph": _("pH"),
    "soil_p_fiv": _("P fertility index value"),
}
LARGEST = Decimal(10_000_000)  # ppm of a pure substance, ten times over: above it a slip
KEYS = {"analyte", "value", "unit", "basis"}


def check_results(results: Any) -> None:
    """Refuse results that are not a list of analyte, value, unit and basis."""
    if not isinstance(results, list):
        raise ValidationError(_("Results must be a list of values."))
    for row in results:
        _check_row(row)


def _check_row(row: Any) -> None:
    if not isinstance(row, dict) or set(row) - KEYS or not {"analyte", "value", "unit"} <= set(row):
        raise ValidationError(
            _("“%(row)s” is not a result: analyte, value and unit are needed.") % {"row": row}
        )
    if row["analyte"] not in ANALYTES:
        raise ValidationError(_("“%(a)s” is not a known analyte.") % {"a": row["analyte"]})
    try:
        number = Decimal(row["value"])
    except (InvalidOperation, TypeError) as error:
        raise ValidationError(
            _("“%(value)s” for %(analyte)s is not a number. Enter it as on the sheet, e.g. 12.4.")
            % {"value": row["value"], "analyte": ANALYTES[row["analyte"]]}
        ) from error
    if not number.is_finite() or not 0 <= number <= LARGEST:
        raise ValidationError(
            _("%(analyte)s %(value)s must be zero or more, and no more than ten million.")
            % {"value": row["value"], "analyte": ANALYTES[row["analyte"]]}
        )


def value_of(results: list[dict[str, str]], analyte: str) -> dict[str, str] | None:
    """The row of one analyte, or None when the sheet does not state it."""
    return next((row for row in results if row["analyte"] == analyte), None)
