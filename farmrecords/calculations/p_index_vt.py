"""Vermont P Index, version 6.1 (23 February 2018)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


class PIndexError(ValueError):
    """Inputs the Vermont P Index refuses; the message names value and rule."""


@dataclass(frozen=True)
class ManureForIndex:
    """One planned or made application, in total P2O5."""

    rate_lb_p2o5_per_ac: float
    time: str
    method: str
    incorporation: str
    type: str


@dataclass(frozen=True)
class VtInputs:
    """What the index asks for. See ``choices()`` for the words each text field accepts."""

    region: str
    elevation: str
    stp_ppm: float
    aluminium_ppm: float
    erosion_ton_per_ac: float
    series: str
    cover: str
    crop: str
    distance_ft: float
    buffer_ft: float = 0.0
    setback_ft: float = 0.0
    tile: bool = False
    manure: Sequence[ManureForIndex] = ()
    fertilizer_lb_p2o5_per_ac: float = 0.0
    fertilizer_code: str = "none"


@dataclass(frozen=True)
class VtResult:
    """The index, its three pathways and every intermediate."""

    index: float
    risk_class: str
    sediment: float
    surface: float
    subsurface: float


def p_index_vt(inputs: VtInputs) -> VtResult:
    raise NotImplementedError
