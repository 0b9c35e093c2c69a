"""Plant-available nitrogen by each state's own system, and what earlier years still give.

The systems differ in structure, so each is a data file of its own: two factors (ammonium retained
and organic N released), or a percentage of total N. An availability factor changes the nitrogen
credited, never the nitrogen applied. A system that holds no figure for a choice refuses it.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

from .manure_test import ManureContent

_FOLDER = resources.files("farmrecords.calculations") / "data" / "available_nitrogen"


class AvailabilityError(ValueError):
    """A credit that cannot be computed; the message says which figure is missing."""


@dataclass(frozen=True)
class NitrogenSystem:
    """One system: its words, its factors, where they stand and how well they are known."""

    id: str
    title: str
    version: str
    form: str
    source: str
    residual_of: str
    tables: Mapping[str, Any]

    def rows(self, table: str) -> tuple[str, ...]:
        """The words a table accepts; empty when the system has no such table."""
        return tuple(self.tables.get(table, {}).get("rows", {}))

    def columns(self, table: str) -> tuple[str, ...]:
        """The columns of a table."""
        return tuple(self.tables.get(table, {}).get("columns", ()))

    def evidence(self, table: str, row: str = "") -> str:
        """How well a table (or one row of it) is known: read or memory."""
        held = self.tables.get(table, {})
        return str(held.get("row_evidence", {}).get(row, held.get("evidence", "memory")))


@dataclass(frozen=True)
class Available:
    """First-year available N in the unit of the test, its parts, and what it rests on."""

    available_n: float
    from_ammonium: float | None
    from_organic: float | None
    from_nitrate: float | None
    factors: Mapping[str, float]
    evidence: str
    system: str
    version: str


@dataclass(frozen=True)
class EarlierEvent:
    """Manure of an earlier crop year: units per acre (1,000 gal or ton) of tested manure."""

    crop_year: int
    units_per_ac: float
    content: ManureContent
    material: str


@lru_cache(maxsize=1)
def systems() -> Mapping[str, NitrogenSystem]:
    """Return every system held, by its short name.

    >>> sorted(systems())
    ['AB', 'IA', 'MI', 'MN', 'MO', 'MT', 'ND', 'NE', 'NY', 'PA', 'WI']
    """
    found: dict[str, NitrogenSystem] = {}
    names = ("id", "title", "version", "form", "source", "residual_of")
    for file in sorted(_FOLDER.iterdir(), key=lambda file: file.name):
        if file.name.endswith(".toml"):
            held = tomllib.loads(file.read_text(encoding="utf-8"))
            head = {name: held.pop(name) for name in names}
            found[head["id"]] = NitrogenSystem(**head, tables=held)
    return found


def system_named(name: str) -> NitrogenSystem:
    """Return one system; raises AvailabilityError with the known names.

    >>> system_named("NY").form
    'two-factor'
    """
    if name not in systems():
        raise AvailabilityError(f"No system {name!r} is held. Known: {', '.join(systems())}.")
    return systems()[name]


def factor(system: NitrogenSystem, table: str, row: str, column: str = "") -> float:
    """Return one factor of a system (a share of 1).

    Without ``column`` the first column is meant. Raises AvailabilityError when the system holds no
    such figure.

    >>> factor(system_named("AB"), "ammonium", "not incorporated", "warm-wet")
    0.25
    """
    rows = system.tables.get(table, {}).get("rows", {})
    if row not in rows:
        known = f"Held: {'; '.join(rows)}." if rows else f"It holds no {table} table."
        raise AvailabilityError(f"{system.title}: no figure for {row!r}. {known}")
    columns = system.columns(table) or system.columns("total")
    if column and column not in columns:
        raise AvailabilityError(
            f"{system.title}: no column {column!r}. Held: {'; '.join(columns)}."
        )
    at = columns.index(column) if column else 0
    if at >= len(rows[row]):
        raise AvailabilityError(f"{system.title}: no figure for {row!r} under {column!r}.")
    return float(rows[row][at])


def _held(content: ManureContent, name: str) -> float:
    value = getattr(content, name)
    if value is None:
        raise AvailabilityError(f"The manure test does not state {name}; this system needs it.")
    return float(value)


def _least_known(*evidence: str) -> str:
    return "memory" if "memory" in evidence else "read"


def first_year(
    content: ManureContent,
    system: NitrogenSystem,
    material: str,
    application: str,
    weather: str = "",
) -> Available:
    """Return first-year available N in lb per 1,000 gal or per ton.

    ``material`` and ``application`` are words of the system (its ``rows`` and ``columns``);
    ``weather`` is a column of the ammonium table, or the end of the range ("lower", "upper") where
    a system states ranges. Raises AvailabilityError for a missing figure, and for a row that the
    system does not use for a liquid. Source: the system's own.

    >>> manure = ManureContent("solid", 21.0, 8.0, 13.0, 18.0, None, nitrate_n=0.0)
    >>> found = first_year(manure, system_named("MT"), "solid with bedding", "surface")
    >>> round(found.available_n, 2)  # CV-2.1
    8.53
    """
    if system.form == "two-factor":
        return _two_factor(content, system, material, application, weather)
    if system.rows("volatilisation"):
        share = factor(system, "total", material, weather)
        kept = factor(system, "volatilisation", application, weather)
        evidence = _least_known(
            system.evidence("total", material), system.evidence("volatilisation")
        )
        factors = {"available": share, "volatilisation": kept}
    else:
        share, kept = factor(system, "total", material, application), 1.0
        evidence, factors = system.evidence("total", material), {"available": share}
    available = _held(content, "total_n") * share * kept
    return Available(available, None, None, None, factors, evidence, system.id, system.version)


def _for_this_form(content: ManureContent, system: NitrogenSystem, application: str) -> None:
    """Refuse a row that a system does not use for a liquid, naming those it uses instead."""
    instead = system.tables["ammonium"].get("of_a_liquid", {}).get(application)
    if instead and content.form == "liquid":
        raise AvailabilityError(
            f"{system.title}: {application!r} is not for a liquid. Use: {'; '.join(instead)}."
        )


def _two_factor(
    content: ManureContent, system: NitrogenSystem, material: str, application: str, weather: str
) -> Available:
    _for_this_form(content, system, application)
    retained = factor(system, "ammonium", application, weather)
    released = factor(system, "organic", material)
    ammonium = _held(content, "ammonium_n") * retained
    organic = _held(content, "organic_n") * released
    nitrate = content.nitrate_n or 0.0
    return Available(
        ammonium + organic + nitrate,
        ammonium,
        organic,
        nitrate,
        {"ammonium retained": retained, "organic released": released},
        _least_known(
            system.evidence("ammonium", application), system.evidence("organic", material)
        ),
        system.id,
        system.version,
    )


def later_share(system: NitrogenSystem, material: str, years_after: int) -> float:
    """Return the share that becomes available one or two years later (of organic or total N).

    Raises AvailabilityError for an unknown material, for years below 1, and for a year the system
    states no figure for: what is not held is not taken as nothing.

    >>> later_share(system_named("NY"), "poultry", 1), later_share(system_named("MN"), "swine", 2)
    (0.12, 0.05)
    """
    if years_after < 1:
        raise AvailabilityError("A residual credit begins the year after the manure.")
    if system.form == "two-factor":
        factor(system, "organic", material)  # refuses an unknown material
        shares = system.tables["organic"]["rows"][material][1:]
    else:
        factor(system, "total", material)
        shares = system.tables.get("later_years", {}).get(material, [])
    if years_after > len(shares):
        raise AvailabilityError(
            f"{system.title} states no figure for {material!r} {years_after} year(s) later. Enter "
            "the credit from the official table."
        )
    return float(shares[years_after - 1])


def later_evidence(system: NitrogenSystem, material: str) -> str:
    """Return how well the shares of later years are known for a material: read or memory.

    >>> [later_evidence(system_named("MN"), one) for one in ("beef", "swine")]
    ['read', 'memory']
    """
    if system.form == "two-factor":
        return system.evidence("organic", material)
    return str(system.tables.get("later_evidence", {}).get(material, "memory"))


def residual_credit_lb_per_ac(
    crop_year: int, events: Sequence[EarlierEvent], system: NitrogenSystem
) -> float:
    """Return pounds per acre that manure of the two crop years before still gives.

    By crop year, not calendar year: an autumn load for next year's crop counts as that crop's
    first year. Events of the same or later crop years give nothing here.

    >>> cow = ManureContent("solid", None, None, 5.0, None, None)
    >>> wet = "cow, below 18 % dry matter"
    >>> events = [EarlierEvent(year, 10, cow, wet) for year in (2024, 2025)]
    >>> residual_credit_lb_per_ac(2026, events, system_named("NY"))  # CV-2.2: 6.0 + 2.5
    8.5
    """
    credit = 0.0
    for event in events:
        if not (math.isfinite(event.units_per_ac) and event.units_per_ac >= 0):
            raise AvailabilityError(f"A rate of {event.units_per_ac} an acre is not 0 or more.")
        years = crop_year - event.crop_year
        if 1 <= years <= 2:
            share = later_share(system, event.material, years)
            credit += event.units_per_ac * _held(event.content, system.residual_of) * share
    return credit


def available_share(system: NitrogenSystem, nutrient: str, year: int = 1) -> float:
    """Return the share of P2O5 or K2O available in year 1, 2 or 3.

    Raises AvailabilityError when the system states none. Limits on phosphorus use the applied
    (total) P2O5: this is for credits only.

    >>> available_share(system_named("AB"), "p2o5", 2)
    0.2
    """
    shares = system.tables.get("phosphate_and_potash", {}).get(nutrient, [])
    if not 1 <= year <= len(shares):
        raise AvailabilityError(
            f"{system.title} states no {nutrient} availability for year {year}."
        )
    return float(shares[year - 1])
