"""What the page of the report shows beside its figures: drawn maps and bands."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from farmrecords.drawing import to_svg
from farmrecords.report.drawings import bands_of, map_of
from farmrecords.report.model import AnnualReport, FieldItem

WIDE, NARROW = 720, 358


def field_pictures(report: AnnualReport) -> list[dict[str, Any]]:
    """Each field with its map and bands as safe SVG, wide and narrow."""
    return [_pictures(field, report) for field in report.fields]


def _pictures(field: FieldItem, report: AnnualReport) -> dict[str, Any]:
    name = f"{field.number} {field.name}"
    drawn = map_of(field, width=480, height=340)
    small = map_of(field, width=NARROW, height=320)
    map_words = _("Map of field %(name)s") % {"name": name}
    told = _("The same figures stand in the tables of this section.")
    wide = bands_of(field, report.cover, width=WIDE)
    narrow = bands_of(field, report.cover, width=NARROW)
    band_words = _("Loads on field %(name)s by day") % {"name": name}
    return {
        "field": field,
        "map": to_svg(drawn, map_words, told) if drawn else "",
        "map_narrow": to_svg(small, map_words, told) if small else "",
        "bands": [
            {"wide": to_svg(a, band_words, told), "narrow": to_svg(b, band_words, told)}
            for a, b in zip(wide, narrow, strict=True)
        ],
    }
