"""From animals to manure: what they excrete, bedding, and animal units by each law's own table."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

_FILE = resources.files("farmrecords.calculations") / "data" / "animal_manure.toml"


class AnimalError(ValueError):
    """Animals that cannot be reckoned; the message names value and remedy."""


@lru_cache(maxsize=1)
def _tables() -> Mapping[str, Any]:
    return tomllib.loads(_FILE.read_text(encoding="utf-8"))


@dataclass(frozen=True)
class Excreted:
    """Daily manure of one animal; None where the set states no figure. Nutrients in lb per day."""

    lb_per_day: float
    cuft_per_day: float | None
    n_lb_per_day: float | None
    p_lb_per_day: float | None
    k_lb_per_day: float | None
    source: str
    evidence: str


def excreted(set_id: str, animal: str) -> Excreted:
    """Return the as-excreted figures of one animal; raises AnimalError with the known words.

    >>> excreted("wisconsin-a3601", "dairy, 1,400 lb").lb_per_day
    120.0
    """
    for one in _tables()["set"]:
        if one["id"] == set_id:
            if animal not in one["animals"]:
                raise AnimalError(f"{one['title']} has no {animal!r}: {'; '.join(one['animals'])}.")
            held = one["animals"][animal]
            return Excreted(
                lb_per_day=float(held["lb_per_day"]),
                cuft_per_day=held.get("cuft_per_day"),
                n_lb_per_day=held.get("n"),
                p_lb_per_day=held.get("p"),
                k_lb_per_day=held.get("k"),
                source=one["source"],
                evidence=one["evidence"],
            )
    known = ", ".join(one["id"] for one in _tables()["set"])
    raise AnimalError(f"No set {set_id!r}. Known: {known}.")


def _counts(**values: float) -> None:
    for name, value in values.items():
        if not (math.isfinite(value) and value >= 0):
            raise AnimalError(f"{name} is {value}; it must be 0 or more.")


def manure_ton(head: float, lb_per_day: float, days: float, confined_share: float = 1.0) -> float:
    """Return tons of manure: head x lb/day x days x share of the time confined / 2000.

    >>> round(manure_ton(50, 120, 365))  # CV-5.1
    1095
    """
    _counts(head=head, lb_per_day=lb_per_day, days=days)
    if not 0 <= confined_share <= 1:
        raise AnimalError(f"A confined share of {confined_share} is not between 0 and 1.")
    return head * lb_per_day * days * confined_share / 2000


def mass_units(head: float, average_lb: float) -> float:
    """Return animal units by weight (1,000 lb live weight); never to be used for a legal size.

    >>> mass_units(100, 1400)
    140.0
    """
    _counts(head=head, average_lb=average_lb)
    return head * average_lb / 1000


def manure_cuft(mass_animal_units: float, cuft_per_day_per_unit: float, days: float) -> float:
    """Return cubic feet of manure: animal units by weight x daily volume x days.

    >>> round(manure_cuft(140, 1.30, 90))  # CV-6.1
    16380
    """
    _counts(units=mass_animal_units, cuft_per_day=cuft_per_day_per_unit, days=days)
    return mass_animal_units * cuft_per_day_per_unit * days


def bedding_cuft(
    mass_animal_units: float,
    lb_per_unit_per_day: float,
    days: float,
    lb_per_cuft: float,
    void_share: float = 0.5,
) -> float:
    """Return cubic feet bedding adds to the manure (half its loose volume, AWMFH, memory).

    >>> bedding_cuft(140, 3.1, 90, 12)  # CV-6.1
    1627.5
    """
    _counts(units=mass_animal_units, bedding=lb_per_unit_per_day, days=days)
    if not (math.isfinite(lb_per_cuft) and lb_per_cuft > 0) or not 0 <= void_share <= 1:
        raise AnimalError("The bedding's weight per cubic foot must be above 0, its share 0 to 1.")
    return void_share * lb_per_unit_per_day * mass_animal_units * days / lb_per_cuft


def occupied_days(turns_per_year: float, days_on_feed: float) -> float:
    """Return days a year an animal place is occupied; raises AnimalError above 366.

    >>> round(occupied_days(2.7, 120))  # CV-6.4
    324
    """
    _counts(turns=turns_per_year, days=days_on_feed)
    days = turns_per_year * days_on_feed
    if days > 366:
        raise AnimalError(f"{turns_per_year} turns of {days_on_feed} days make {days:g} in a year.")
    return days


def legal_units(table_id: str, heads: Mapping[str, float]) -> float:
    """Return animal units by one law's own table (head x factor).

    Raises AnimalError for a class the table does not list.

    >>> round(legal_units("minnesota", {"mature dairy cow, above 1,000 lb": 200,
    ...                   "feeder cattle or heifer": 80, "calf": 60}))  # CV-5.4
    348
    """
    for one in _tables()["units"]:
        if one["id"] == table_id:
            for name, head in heads.items():
                _counts(**{"head": head})
                if name not in one["factors"]:
                    raise AnimalError(
                        f"{one['title']} lists no {name!r}. It lists: {'; '.join(one['factors'])}."
                    )
            return float(sum(head * one["factors"][name] for name, head in heads.items()))
    known = ", ".join(one["id"] for one in _tables()["units"])
    raise AnimalError(f"No table of animal units {table_id!r}. Known: {known}.")


@dataclass(frozen=True)
class UnitManure:
    """Manure of one animal unit by weight in a year, and what a ton holds, as N, P and K.

    ``left`` is after losses, at land application. Pounds per ton; P and K as elements.
    """

    animals_per_unit: float
    ton_per_year: float
    n: float
    n_left: float
    p: float
    p_left: float
    k: float
    k_left: float
    cycles: float


def national(animal: str) -> UnitManure:
    """Return the row of the NRCS national table; raises AnimalError with the known names.

    >>> national("dairy cows").ton_per_year
    15.24
    """
    rows = _tables()["national"]["rows"]
    if animal not in rows:
        raise AnimalError(f"The table has no {animal!r}. It has: {'; '.join(rows)}.")
    return UnitManure(*(float(value) for value in rows[animal]))


def national_ton_per_year(animal: str, head: float) -> float:
    """Return tons of manure a year of so many animals by the national table.

    >>> round(national_ton_per_year("dairy cows", 74), 1)
    1524.0
    """
    _counts(head=head)
    row = national(animal)
    return head / row.animals_per_unit * row.ton_per_year


@dataclass(frozen=True)
class YearOfManure:
    """A year's manure by the national table: tons, and pounds of N, P and K (elements).

    ``excreted`` is as it falls, ``left`` after losses, when it is spread.
    """

    ton: float
    excreted: tuple[float, float, float]
    left: tuple[float, float, float]


def national_year(animal: str, head: float) -> YearOfManure:
    """Return a year's tons and pounds of N, P and K of so many animals by the national table.

    Pounds are tons as excreted x pounds per ton. Source: NRCS national table (read); its heads say
    phosphate and potassium, its sizes are those of the elements: confirm before converting.

    >>> found = national_year("dairy cows", 74)
    >>> round(found.ton), round(found.excreted[0]), round(found.left[0])
    (1524, 16292, 6553)
    """
    ton, row = national_ton_per_year(animal, head), national(animal)
    return YearOfManure(
        ton,
        (ton * row.n, ton * row.p, ton * row.k),
        (ton * row.n_left, ton * row.p_left, ton * row.k_left),
    )


def units_of(head: float, factor: float) -> float:
    """Return the units of one type of animal: head x the factor of the law's own table.

    >>> units_of(200, 1.4)
    280.0
    """
    _counts(head=head, factor=factor)
    return head * factor


def deciding_units(combined: Mapping[str, float], single: Mapping[str, float]) -> float:
    """Return the total that decides under two counts: the sum of all, or the largest single type.

    ``combined`` and ``single`` hold units by type under each table of factors. Source: Wis. Admin.
    Code NR 243.05, the higher total decides (read).

    >>> deciding_units({"cows": 400, "heifers": 300, "calves": 200}, {"cows": 850})
    900
    """
    if not combined or not single:
        raise AnimalError("Give the units of each type under both tables.")
    _counts(**combined, **{f"single {name}": value for name, value in single.items()})
    return max(sum(combined.values()), max(single.values()))
