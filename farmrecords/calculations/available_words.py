"""From the facts of a load to the words of a nitrogen system, and the pounds that follow.

Which fact means which word stands as data in ``nitrogen_words.toml``. A fact that a word hangs on
and the load lacks, or a choice without a row, is refused by name: nothing is guessed.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib import resources
from typing import Any

from .available_nitrogen import AvailabilityError, Available, NitrogenSystem, first_year
from .manure_test import ManureContent
from .nutrients import applied, per_acre
from .units import Kind

_FILE = resources.files("farmrecords.calculations") / "data" / "nitrogen_words.toml"
LISTS = ("species", "material", "form", "method", "months")
FACT_OF = {
    "months": "month",
    "solids_below": "solids_pct",
    "solids_from": "solids_pct",
    "within_h": "incorporated_after_h",
    "below_h": "incorporated_after_h",
    "days_to": "incorporated_after_days",
}
FACT_WORDS = {
    "species": "which animals the manure comes from",
    "material": "what the storage holds",
    "form": "whether it is liquid or solid",
    "method": "the method",
    "month": "the day",
    "solids_pct": "the dry matter in the manure test",
    "incorporated_after_h": "when it was incorporated",
    "incorporated_after_days": "when it was incorporated",
    "growing_crop": "whether it went onto a growing crop",
    "residue": "the ground cover",
}

SHORT = {"incorporated_after_h": "after {:g} h", "month": "month {}"}


@dataclass(frozen=True)
class SpreadFacts:
    """What a load says of itself; None where it does not say.

    ``method`` is injected, incorporated, surface or irrigated; hours and calendar days run from
    the end of spreading to the working in.
    """

    species: str | None = None
    material: str | None = None
    form: str | None = None
    method: str | None = None
    month: int | None = None
    solids_pct: float | None = None
    incorporated_after_h: float | None = None
    incorporated_after_days: int | None = None
    growing_crop: bool | None = None
    residue: bool | None = None


@dataclass(frozen=True)
class Words:
    """The system's own words for a load, and which of them rest on a reading of ours."""

    material: str
    application: str
    assumed: tuple[str, ...] = ()


@lru_cache(maxsize=1)
def _rows() -> Mapping[str, Any]:
    return tomllib.loads(_FILE.read_text(encoding="utf-8"))


def readings(system: NitrogenSystem) -> tuple[str, ...]:
    """Return the columns between which an operation chooses: weather, or the end of a range.

    Empty where the system leaves no choice.

    >>> from farmrecords.calculations.available_nitrogen import system_named
    >>> readings(system_named("IA")), readings(system_named("NY"))
    (('lower', 'upper'), ())
    """
    if system.form == "two-factor":
        columns = system.columns("ammonium")
    else:
        columns = system.columns("total") if system.rows("volatilisation") else ()
    return columns if len(columns) > 1 else ()


def words_for(system: NitrogenSystem, facts: SpreadFacts) -> Words:
    """Return the system's words for the facts of a load.

    Raises AvailabilityError naming the fact that is missing, or that the system has no row.
    Source: the words of each table; readings of ours are listed in ``assumed``.

    >>> from farmrecords.calculations.available_nitrogen import system_named
    >>> facts = SpreadFacts("dairy", "manure", "liquid", "incorporated", 4, 6.0, 24.0, 1)
    >>> words = words_for(system_named("NY"), facts)
    >>> words.material, words.application
    ('cow, below 18 % dry matter', 'incorporated within 1 day')
    """
    material, first = _word(system, "material", facts)
    application, second = _word(system, "application", facts)
    return Words(material, application, tuple(one for one in (first, second) if one))


def material_for(system: NitrogenSystem, facts: SpreadFacts) -> str:
    """Return the system's word for the manure alone, as credits of later years ask for it.

    Raises AvailabilityError.

    >>> from farmrecords.calculations.available_nitrogen import system_named
    >>> material_for(system_named("MN"), SpreadFacts("beef", "manure"))
    'beef'
    """
    return _word(system, "material", facts)[0]


def _word(system: NitrogenSystem, kind: str, facts: SpreadFacts) -> tuple[str, str]:
    for row in _rows().get(system.id, {}).get(kind, ()):
        answers = {name: _holds(name, wanted, facts) for name, wanted in _conditions(row)}
        if False in answers.values():
            continue
        for name, answer in answers.items():
            if answer is None:
                fact = FACT_WORDS[FACT_OF.get(name, name)]
                raise AvailabilityError(f"{system.title}: not recorded: {fact}.")
        return str(row["word"]), str(row.get("assumed", ""))
    if kind == "material":
        given = ("species", "material", "form")
    else:
        given = ("method", "incorporated_after_h", "month")
    said = [(name, getattr(facts, name)) for name in given]
    words = ", ".join(f"{SHORT.get(name, '{}').format(one)}" for name, one in said if one)
    raise AvailabilityError(f"{system.title} has no row for: {words or 'a load without facts'}.")


def _conditions(row: Mapping[str, Any]) -> list[tuple[str, Any]]:
    return [(name, value) for name, value in row.items() if name not in ("word", "assumed")]


def _holds(name: str, wanted: Any, facts: SpreadFacts) -> bool | None:
    """Whether one condition holds; None when the load lacks the fact."""
    value = getattr(facts, FACT_OF.get(name, name))
    if value is None or value == "":
        return None
    if name in LISTS:
        return bool(value in wanted)
    if name in ("growing_crop", "residue"):
        return bool(value == wanted)
    if name == "solids_from":
        return bool(value >= wanted)
    return bool(value < wanted if name in ("solids_below", "below_h") else value <= wanted)


def available_in(
    content: ManureContent, system: NitrogenSystem, words: Words, reading: str = ""
) -> Available:
    """Return first-year available N per 1,000 gal or ton for a load's words.

    ``reading`` is the column the operation chose. Raises AvailabilityError, also when the system
    leaves a choice and none was made.

    >>> from farmrecords.calculations.available_nitrogen import system_named
    >>> manure = ManureContent("solid", 21.0, 8.0, 13.0, 18.0, None, nitrate_n=0.0)
    >>> words = Words("solid with bedding", "surface")
    >>> round(available_in(manure, system_named("MT"), words).available_n, 2)  # CV-2.1
    8.53
    """
    if bool(readings(system)) != bool(reading):
        asked = f"Choose one of: {'; '.join(readings(system))}." if readings(system) else ""
        raise AvailabilityError(f"{system.title}: no such column {reading!r}. {asked}".strip())
    return first_year(content, system, words.material, words.application, reading)


def available_lb(amount_milli: int, kind: Kind, content: ManureContent, per_unit: float) -> float:
    """Return pounds of available N in an amount of thousandths of a gallon ("gal") or pound ("lb").

    ``per_unit`` in lb per 1,000 gal or per ton, 0 or more. Raises NutrientError when the amount
    does not fit the form of the test.

    >>> manure = ManureContent("solid", 21.0, 8.0, 13.0, 18.0, None)
    >>> round(available_lb(20_000_000, "lb", manure, 8.53), 1)  # 10 tons
    85.3
    """
    pounds = applied(amount_milli, kind, replace(content, total_n=per_unit)).n_lb
    return 0.0 if pounds is None else pounds


def units_per_ac(amount_milli: int, kind: Kind, content: ManureContent, acres: float) -> float:
    """Return an amount laid on all the acres in units of its test: 1,000 gal or tons an acre.

    ``acres`` above 0. Raises NutrientError when the amount does not fit the form of the test.

    >>> cow = ManureContent("solid", None, None, 5.0, None, None)
    >>> units_per_ac(800_000_000, "lb", cow, 40.0)  # 400 tons on 40 acres
    10.0
    """
    units = applied(amount_milli, kind, replace(content, total_n=1.0))
    return per_acre(units, acres).n_lb or 0.0
