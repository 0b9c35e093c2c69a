"""What every page shows: the seat taken, the fixed day of a demonstration, the tile address."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest


def page(request: HttpRequest) -> dict[str, Any]:
    """Template variables for base.html."""
    return {
        "seat": getattr(request, "seat", None),
        "fixed_day": settings.FARMRECORDS_DAY,
        "map_tile_url": settings.MAP_TILE_URL,
        "map_tile_attribution": settings.MAP_TILE_ATTRIBUTION,
    }
