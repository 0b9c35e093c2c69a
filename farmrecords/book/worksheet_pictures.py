"""Pictures of worksheets: the name of a worksheet and what draws it from its own inputs."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.utils.translation import gettext as _
from reportlab.graphics.shapes import Drawing

from farmrecords.calculations import calibration
from farmrecords.calculations.worksheet import Worksheet
from farmrecords.drawing import spread_pattern, to_svg
from farmrecords.findings.words import drawing_words

WIDE, NARROW = 720.0, 358.0


def picture_of(sheet: Worksheet) -> dict[str, Any]:
    """The picture wide and narrow, for the drawing fragment; empty for a sheet without one."""
    draw = PICTURES.get(sheet.name)
    if draw is None:
        return {}
    title, told = sheet.title, _("The steps below hold the same figures.")
    return {
        "wide": to_svg(draw(sheet, WIDE), title, told),
        "narrow": to_svg(draw(sheet, NARROW), title, told),
    }


def _pattern(sheet: Worksheet, width: float) -> Drawing:
    """Trays, overlap at the best pass spacing where there is one, effective width."""
    trays = [row["amount"] for row in sheet.inputs["trays"]]
    gap, pattern = sheet.inputs["tray_spacing_ft"], sheet.inputs["pattern"]
    best = sheet.outputs["best_spacing_ft"]
    return spread_pattern(
        calibration.tray_places_ft(trays, gap),
        overlap=calibration.overlap_line(trays, gap, best, pattern) if best else (),
        pass_spacing_ft=best,
        half_rate=calibration.half_rate_places_ft(trays, gap),
        width=width,
        words=drawing_words(),
    )


PICTURES: dict[str, Callable[[Worksheet, float], Drawing]] = {"spread_pattern": _pattern}
