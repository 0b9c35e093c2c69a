"""What animals bring beside their daily manure: a year's nutrients, volumes, bedding, wash water.

And the animal units of a class that a law's own table does not list.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

from .animals import AnimalError, Excreted, excreted, manure_cuft, manure_ton
from .rate import LB_PER_TON

_DATA = resources.files("farmrecords.calculations") / "data"


@lru_cache(maxsize=1)
def tables() -> Mapping[str, Any]:
    """Return every table of this module by name.

    >>> tables()["yearly_nutrients"]["evidence"]
    'read'
    """
    return tomllib.loads((_DATA / "animal_tables.toml").read_text(encoding="utf-8"))


def _row(table: str, name: str) -> Any:
    rows = tables()[table]["rows"]
    if name not in rows:
        raise AnimalError(f"The table has no {name!r}. It has: {'; '.join(rows)}.")
    return rows[name]


def _head(head: float, what: str = "head") -> None:
    if not (math.isfinite(head) and head >= 0):
        raise AnimalError(f"{what} is {head}; it must be 0 or more.")


@dataclass(frozen=True)
class YearOfNutrients:
    """A year of some animals: tons of manure and pounds available in the first year."""

    ton: float
    n_lb: float
    p2o5_lb: float
    k2o_lb: float
    s_lb: float


def yearly_nutrients(animal: str, head: float) -> YearOfNutrients:
    """Return a year's tons and first-year available pounds of so many animals.

    Raises AnimalError for an animal the table lacks or a head count below 0. Source: University of
    Wisconsin A3601 (read).

    >>> found = yearly_nutrients("dairy, 1,400 lb", 50)  # CV-5.1
    >>> round(found.ton), found.n_lb, found.k2o_lb
    (1095, 3250, 8750)
    """
    _head(head)
    return YearOfNutrients(*(head * value for value in _row("yearly_nutrients", animal)))


@dataclass(frozen=True)
class ExcretedInPeriod:
    """What animals excrete while confined; None where the table states no figure.

    ``row`` is the table's own row, with its source and evidence. P and K as elements.
    """

    row: Excreted
    animal_days: float
    ton: float
    cuft: float | None
    n_lb: float | None
    p_lb: float | None
    k_lb: float | None


def excreted_in_period(
    set_id: str, animal: str, head: float, days: float, confined_share: float = 1.0
) -> ExcretedInPeriod:
    """Return tons, cubic feet and pounds of N, P, K of so many animals in a period, as excreted.

    Head and days 0 or more, share 0 to 1. Raises AnimalError. Source: the table's own.

    >>> found = excreted_in_period("asabe-d384.2", "dry cow", 10, 100, 0.5)
    >>> found.animal_days, found.n_lb, found.row.evidence
    (500.0, 250.0, 'memory')
    """
    row = excreted(set_id, animal)
    _head(head)
    _head(days, "days")
    if not 0 <= confined_share <= 1:
        raise AnimalError(f"A confined share of {confined_share} is not between 0 and 1.")
    animal_days = head * days * confined_share
    pounds = [
        None if daily is None else animal_days * daily
        for daily in (row.n_lb_per_day, row.p_lb_per_day, row.k_lb_per_day)
    ]
    cuft = None if row.cuft_per_day is None else manure_cuft(animal_days, row.cuft_per_day, 1)
    return ExcretedInPeriod(
        row, animal_days, manure_ton(animal_days, row.lb_per_day, 1), cuft, *pounds
    )


@dataclass(frozen=True)
class Finished:
    """What so many finished animals excreted in their whole time; P and K as elements."""

    ton: float
    cuft: float
    n_lb: float
    p_lb: float
    k_lb: float


def finished(animal: str, head: float) -> Finished:
    """Return what finished animals excreted from start to market: head x figure of one.

    Raises AnimalError for an animal the table lacks or a head count below 0. Source: ASABE D384.2
    table 1 (memory).

    >>> finished("grow-finish pig, 154 lb on average", 1000)
    Finished(ton=600.0, cuft=20000, n_lb=10000, p_lb=1700.0, k_lb=4400.0)
    """
    _head(head)
    lb, *others = (head * value for value in _row("finished", animal))
    return Finished(lb / LB_PER_TON, *others)


def manure_cuft_per_day(kind: str) -> float:
    """Return cubic feet of manure a day for 1,000 lb of live weight (AWMFH 1992, read).

    >>> manure_cuft_per_day("dairy: lactating, dry, heifers")  # CV-6.1
    1.3
    """
    return float(_row("volume_by_weight", kind))


def bedding_lb_per_cuft(material: str) -> float:
    """Return the weight of loose bedding, pounds per cubic foot (AWMFH, memory).

    >>> bedding_lb_per_cuft("sawdust")  # reproduces CV-6.1
    12.0
    """
    return float(_row("bedding", material))


def wash_water_cuft(mass_animal_units: float, days: float, cuft_per_day: float) -> float:
    """Return cubic feet of wash water: units of 1,000 lb x daily volume x days, each 0 or more.

    Raises AnimalError. Source: AWMFH worksheet 10-A2, 0.60 cu ft a day in its examples (derived).

    >>> wash_water_cuft(140, 90, 0.60)
    7560.0
    """
    for value, what in (
        (mass_animal_units, "live weight"),
        (days, "days"),
        (cuft_per_day, "volume"),
    ):
        _head(value, what)
    return mass_animal_units * cuft_per_day * days


def places_gal(places: float, gal_per_day: float, occupied_days: float) -> float:
    """Return gallons of animal places: places x gallons a day x days occupied, each 0 or more.

    Raises AnimalError. Source: Minnesota Pork (read).

    >>> places_gal(1248, 1, 324)  # CV-6.4
    404352
    """
    _head(places, "places")
    _head(gal_per_day, "gallons a day")
    _head(occupied_days, "days")
    return places * gal_per_day * occupied_days


@lru_cache(maxsize=1)
def _unlisted() -> Mapping[str, float]:
    held = tomllib.loads((_DATA / "animal_manure.toml").read_text(encoding="utf-8"))
    return {
        one["id"]: one["unlisted_lb_per_unit"]
        for one in held["units"]
        if "unlisted_lb_per_unit" in one
    }


def unlisted_units(table_id: str, head: float, average_lb: float) -> float:
    """Return animal units of a class a law's table lacks: head x average weight / 1,000.

    Raises AnimalError where the law has no such rule. Source: Minn. Stat. 116.06 subd. 4a (read).

    >>> unlisted_units("minnesota", 40, 250)
    10.0
    """
    if table_id not in _unlisted():
        raise AnimalError(
            f"The table {table_id!r} says nothing about animals it does not list. Those that do: "
            f"{', '.join(_unlisted())}."
        )
    _head(head)
    _head(average_lb, "average weight")
    return head * average_lb / _unlisted()[table_id]


@lru_cache(maxsize=1)
def planning_figures() -> Mapping[str, Mapping[str, Any]]:
    """Return planning figures by name: value, unit, source, evidence.

    >>> planning_figures()["horse, 1,000 lb, with bedding"]["value"]
    2.4
    """
    return {row["name"]: row for row in tables()["planning"]}
