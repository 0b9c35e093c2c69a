"""A laboratory's figures brought to pounds per 1,000 gallons or per ton, as-is.

Sources: conversion table of LPELC and NOFA (read), nitrogen species of Agdex 400/28-3 (read).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from .doubt import Doubt, doubts_between
from .units import UNITS, UnitError, convert, dimension, k_to_k2o, p_to_p2o5, unit_named

Form = Literal["liquid", "solid"]
Basis = Literal["as_is", "dry"]

NITROGEN = ("total_n", "ammonium_n", "nitrate_n", "organic_n", "tkn")
ANALYTES = (*NITROGEN, "p", "p2o5", "k", "k2o", "solids_pct", "moisture_pct")
WATER_LB_PER_GAL = Decimal("8.34")
DENSITY_RANGE = {"liquid": (Decimal(7), Decimal(12)), "solid": (Decimal(1), Decimal(15))}
UNIT_OF_FORM = {"liquid": "lb_per_kgal", "solid": "lb_per_ton"}
MOST_OF_WEIGHT = Decimal(1)  # a nutrient cannot weigh more than the manure it is in


class ManureTestError(ValueError):
    """A test that cannot be used as reported; the message names the figure and the remedy."""


@dataclass(frozen=True)
class ReportedValue:
    """One figure of the laboratory sheet, as printed. ``basis`` None when the sheet is silent."""

    analyte: str
    value: Decimal
    unit: str
    basis: Basis | None = None


@dataclass(frozen=True)
class ManureContent:
    """What is in the manure: lb per 1,000 gal (liquid) or lb per ton (solid); None = not tested.

    ``notes`` say what was taken for granted (density, basis) and which parts were derived.
    """

    form: Form
    total_n: float | None
    ammonium_n: float | None
    organic_n: float | None
    p2o5: float | None
    k2o: float | None
    nitrate_n: float | None = None
    solids_pct: float | None = None
    density_lb_per_gal: float | None = None
    density_assumed: bool = False
    notes: tuple[str, ...] = ()

    @property
    def unit(self) -> str:
        """The unit of every nutrient here: ``lb_per_kgal`` or ``lb_per_ton``."""
        return UNIT_OF_FORM[self.form]


def solids_fraction(values: Sequence[ReportedValue]) -> Decimal | None:
    """Return total solids as a fraction of the weight, or None when the sheet has neither figure.

    Moisture and solids add up to 100 % (AWMFH ch. 4, read). Raises ManureTestError when a figure
    is outside 0 to 100 % or the two contradict each other by more than 0.5.

    >>> solids_fraction([ReportedValue("moisture_pct", Decimal("89.5"), "pct")])
    Decimal('0.105')
    """
    found: dict[str, Decimal] = {}
    for reported in values:
        if reported.analyte in ("solids_pct", "moisture_pct"):
            percent = _converted(reported, "pct", None)
            if not 0 <= percent <= 100:
                raise ManureTestError(
                    f"{reported.analyte} is {reported.value} {reported.unit}; it must lie between "
                    "0 and 100 per cent."
                )
            found[reported.analyte] = percent
    moisture, solids = found.get("moisture_pct"), found.get("solids_pct")
    if (
        moisture is not None
        and solids is not None
        and abs(moisture + solids - 100) > Decimal("0.5")
    ):
        raise ManureTestError(
            f"Solids {solids} % and moisture {moisture} % do not add up to 100. Check both figures."
        )
    if solids is not None:
        return solids / 100
    return None if moisture is None else (100 - moisture) / 100


def _converted(reported: ReportedValue, unit: str, density: Decimal | None) -> Decimal:
    if not reported.value.is_finite() or reported.value < 0:
        raise ManureTestError(
            f"{reported.analyte} is {reported.value}; a laboratory figure is a number of 0 or more."
        )
    try:
        return convert(reported.value, reported.unit, unit, density)
    except UnitError as trouble:
        raise ManureTestError(f"{reported.analyte}: {trouble}") from None


def as_is(
    reported: ReportedValue, form: Form, density: Decimal | None, solids: Decimal | None
) -> Decimal:
    """Return one figure in lb per 1,000 gal (liquid) or lb per ton (solid), as-is.

    A dry-basis figure is multiplied by the solids (LPELC, read). Raises ManureTestError for a dry
    figure without solids or per volume, a figure without basis where none can be told, a missing
    density, or a nutrient heavier than the manure itself.

    >>> dry = ReportedValue("p", Decimal("1.4"), "pct", "dry")
    >>> as_is(dry, "solid", None, Decimal("0.105"))  # CV-1.1
    Decimal('2.940')
    """
    per_volume = dimension(reported.unit) == "concentration"
    if reported.basis == "dry" and per_volume:
        raise ManureTestError(
            f"{reported.analyte} is given as {reported.unit} on a dry basis. A figure per volume "
            "is always as-is: check the sheet."
        )
    if reported.basis == "dry" and solids is None:
        raise ManureTestError(
            f"{reported.analyte} is on a dry basis but the test has no solids or moisture. Enter "
            "one of them from the sheet."
        )
    if reported.basis is None and not per_volume and solids is None:
        raise ManureTestError(
            f"{reported.analyte} ({reported.value} {reported.unit}) has neither a basis nor a "
            "moisture. Look on the sheet for 'as-is', 'as received' or 'dry'."
        )
    value = _converted(reported, UNIT_OF_FORM[form], density)
    if reported.basis == "dry" and solids is not None:
        value *= solids
    share = convert(value, UNIT_OF_FORM[form], "lb_per_lb", density or WATER_LB_PER_GAL)
    if share > MOST_OF_WEIGHT:
        raise ManureTestError(
            f"{reported.analyte} of {reported.value} {reported.unit} would weigh more than the "
            "manure itself. Check the unit."
        )
    return value


def _check(values: Sequence[ReportedValue], form: Form, density: Decimal | None) -> None:
    seen: set[str] = set()
    for reported in values:
        if reported.analyte not in ANALYTES:
            raise ManureTestError(
                f"{reported.analyte!r} is not known. Phosphorus must be said as p or p2o5, "
                f"potassium as k or k2o. Known: {', '.join(ANALYTES)}."
            )
        if reported.analyte in seen:
            raise ManureTestError(f"{reported.analyte} is given twice. Keep one figure.")
        seen.add(reported.analyte)
        try:
            kind = dimension(unit_named(reported.unit))
        except UnitError as trouble:
            raise ManureTestError(f"{reported.analyte}: {trouble}") from None
        if kind not in ("concentration", "fraction"):
            raise ManureTestError(
                f"{reported.analyte} is given in {UNITS[unit_named(reported.unit)][2]}s; a "
                "concentration is expected, such as lb_per_kgal, lb_per_ton, pct or ppm."
            )
    low, high = DENSITY_RANGE[form]
    if density is not None and not (density.is_finite() and low <= density <= high):
        raise ManureTestError(
            f"A density of {density} lb/gal is outside {low} to {high} for {form} manure."
        )


def _one_of(found: Mapping[str, Decimal], pure: str, oxide: str, oxide_of_pure: Decimal) -> None:
    """Refuse P beside a P2O5 (or K beside a K2O) that it does not make."""
    if pure in found and oxide in found and found[oxide]:
        off = abs(oxide_of_pure / found[oxide] - 1)
        if off > Decimal("0.03"):
            raise ManureTestError(
                f"{pure} and {oxide} are both given but do not agree: {pure} makes "
                f"{oxide_of_pure:.2f} where the sheet says {found[oxide]:.2f}. Keep the right one."
            )


def total_nitrogen(found: Mapping[str, Decimal]) -> tuple[Decimal | None, str]:
    """Return total N and how it was found: reported, TKN + nitrate, or the sum of its parts.

    >>> total_nitrogen({"tkn": Decimal(20), "nitrate_n": Decimal(1)})
    (Decimal('21'), 'Total N = TKN + nitrate N')
    """
    nitrate = found.get("nitrate_n", Decimal(0))
    if "total_n" in found:
        return found["total_n"], "Total N as reported"
    if "tkn" in found:
        how = "Total N = TKN + nitrate N" if nitrate else "Total N = TKN (no nitrate reported)"
        return found["tkn"] + nitrate, how
    if "organic_n" in found and "ammonium_n" in found:
        return found["organic_n"] + found["ammonium_n"] + nitrate, "Total N = the sum of its parts"
    return None, "Total N not tested"


def organic_nitrogen(found: Mapping[str, Decimal], total: Decimal | None) -> Decimal | None:
    """Return organic N = total N - ammonium N - nitrate N, or None when a part is missing.

    Raises ManureTestError when ammonium N is above total N, or when three reported parts miss the
    total by more than 3 per cent.

    >>> organic_nitrogen({"ammonium_n": Decimal(8)}, Decimal(21))  # CV-2.1
    Decimal('13')
    """
    ammonium, nitrate = found.get("ammonium_n"), found.get("nitrate_n", Decimal(0))
    if total is None or ammonium is None:
        return found.get("organic_n")
    if ammonium + nitrate > total:
        raise ManureTestError(
            f"Ammonium N {ammonium:.2f} (with nitrate {nitrate:.2f}) is above total N "
            f"{total:.2f}. Check whether the figures are swapped or in different units."
        )
    rest = total - ammonium - nitrate
    reported = found.get("organic_n")
    if reported is not None and abs(reported - rest) > max(Decimal("0.03") * total, Decimal("0.1")):
        raise ManureTestError(
            f"Organic N {reported:.2f}, ammonium N {ammonium:.2f} and nitrate N {nitrate:.2f} do "
            f"not add up to total N {total:.2f}. Check the four figures."
        )
    return rest if reported is None else reported


def needs_density(values: Sequence[ReportedValue], form: Form) -> bool:
    """Return whether a figure of the sheet cannot be used without a density.

    >>> needs_density([ReportedValue("p", Decimal(300), "mg_per_kg", "as_is")], "liquid")
    True
    """
    wanted = "concentration" if form == "liquid" else "fraction"
    return any(
        dimension(reported.unit) != wanted
        for reported in values
        if reported.analyte not in ("solids_pct", "moisture_pct")
    )


def normalise(
    values: Sequence[ReportedValue], form: Form, density_lb_per_gal: Decimal | None = None
) -> ManureContent:
    """Return the nutrients as-is in lb per 1,000 gal (liquid) or lb per ton (solid).

    A liquid figure by weight without a density takes 8.34 lb/gal and says so
    (``density_assumed``); a solid reported per volume without one is refused. Raises
    ManureTestError as :func:`as_is`, :func:`organic_nitrogen` and :func:`solids_fraction` do.

    >>> content = normalise([ReportedValue("total_n", Decimal("0.96"), "pct", "as_is")], "solid")
    >>> content.total_n  # CV-1.2: 19.2 lb/ton exactly
    19.2
    """
    _check(values, form, density_lb_per_gal)
    solids, notes = solids_fraction(values), []
    density, assumed = density_lb_per_gal, False
    if density is None and needs_density(values, form):
        if form == "solid":
            raise ManureTestError(
                "A solid manure is reported per volume. Give its weight in pounds per gallon "
                "(five-gallon bucket: net pounds / 5)."
            )
        density, assumed = WATER_LB_PER_GAL, True
        notes.append("Density not measured: 8.34 lb/gal (water) assumed.")
    nutrients = [v for v in values if v.analyte not in ("solids_pct", "moisture_pct")]
    found = {v.analyte: as_is(v, form, density, solids) for v in nutrients}
    if any(v.basis is None and dimension(v.unit) == "fraction" for v in nutrients):
        notes.append("The sheet names no basis: taken as-is (as received).")
    if "p" in found:
        _one_of(found, "p", "p2o5", p_to_p2o5(found["p"]))
        found.setdefault("p2o5", p_to_p2o5(found["p"]))
    if "k" in found:
        _one_of(found, "k", "k2o", k_to_k2o(found["k"]))
        found.setdefault("k2o", k_to_k2o(found["k"]))
    total, how = total_nitrogen(found)
    if total is not None and "total_n" not in found:
        notes.append(how + ".")
    organic = organic_nitrogen(found, total)
    number = {name: float(value) for name, value in found.items()}
    return ManureContent(
        form=form,
        total_n=None if total is None else float(total),
        ammonium_n=number.get("ammonium_n"),
        organic_n=None if organic is None else float(organic),
        p2o5=number.get("p2o5"),
        k2o=number.get("k2o"),
        nitrate_n=number.get("nitrate_n"),
        solids_pct=None if solids is None else float(solids * 100),
        density_lb_per_gal=None if density is None else float(density),
        density_assumed=assumed,
        notes=tuple(notes),
    )


def doubts(content: ManureContent, earlier: ManureContent) -> tuple[Doubt, ...]:
    """Return a doubt where a figure differs from an earlier test by a telltale factor.

    A doubt is a question to a person, never a refusal. Tests of another form are not
    compared.

    >>> old = ManureContent("liquid", 25.0, 12.0, 13.0, 10.0, 20.0)
    >>> new = ManureContent("liquid", 26.0, 12.0, 14.0, 4.37, 20.0)
    >>> doubts(new, old)[0].words[:34]
    'p2o5 is 4.37 and was 10: a factor '
    """
    if content.form != earlier.form:
        return ()
    names = ("total_n", "ammonium_n", "organic_n", "nitrate_n", "p2o5", "k2o")
    now = {name: getattr(content, name) for name in names}
    return doubts_between(now, [(name, getattr(earlier, name)) for name in names])
