"""Examples of the cover factor C of the soil loss equations; a plan needs the state's table."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources
from typing import Any

from .soil_loss import SoilLossError

_FILE = resources.files("farmrecords.calculations") / "data" / "cover_factor.toml"


@lru_cache(maxsize=1)
def examples() -> Mapping[str, Mapping[str, Any]]:
    """Return the examples by cover: C and where it was read.

    >>> examples()["forage"]["c"]
    0.004
    """
    held: Mapping[str, Any] = tomllib.loads(_FILE.read_text(encoding="utf-8"))["rows"]
    return held


def example_c(cover: str) -> float:
    """Return the example of C for a cover; raises SoilLossError with the covers held.

    Source: each row's own (read); production use needs state tables or RUSLE2 output.

    >>> example_c("conventional corn")
    0.49
    """
    if cover not in examples():
        raise SoilLossError(f"No example for {cover!r}. Held: {'; '.join(examples())}.")
    return float(examples()[cover]["c"])
