"""Pounds of nutrients in each part of a load, from the test of what was in it."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from functools import lru_cache
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmrecords.calculations.manure_test import (
    ANALYTES,
    ManureContent,
    ManureTestError,
    ReportedValue,
    doubts,
    normalise,
)
from farmrecords.calculations.nutrients import (
    Applied,
    NutrientError,
    applied,
    applied_to_many,
)
from farmrecords.calculations.units import UnitError
from farmrecords.farm.models import Field
from farmrecords.loads.models import Load, LoadPart
from farmrecords.loads.problems import problem_words
from farmrecords.measurements.models import ManureTest
from farmrecords.measurements.results import ANALYTES as RESULTS

UNTESTED = Applied(None, None, None)


@dataclass(frozen=True)
class PartNutrients:
    """Pounds in one part of a load; None where the test is missing or does not say.

    `missing` says in words why a figure is missing, and is empty when none is.
    """

    part: LoadPart
    field: Field
    amount_milli: int
    kind: str
    n_lb: float | None
    p2o5_lb: float | None
    k2o_lb: float | None
    test: ManureTest | None
    missing: str = ""

    @property
    def applied(self) -> Applied:
        """The three figures as the calculations take them."""
        return Applied(self.n_lb, self.p2o5_lb, self.k2o_lb)


def content_of(manure_test: ManureTest) -> ManureContent:
    """What is in the manure of a test, as-is. Raises ManureTestError when it cannot be told."""
    return _content(
        json.dumps(manure_test.results, sort_keys=True),
        manure_test.form,
        manure_test.density_lb_per_gal,
    )


MISTAKES = {
    2.29: gettext_lazy("P and P2O5 mistaken for each other"),
    8.34: gettext_lazy("per gallon and per pound mistaken for each other"),
    1000.0: gettext_lazy("per gallon and per 1,000 gallons mistaken for each other"),
}


def questions_about(test: ManureTest) -> list[str]:
    """What a test asks, held against the last earlier test of its storage, in words.

    A figure that differs by the factor of a common mistake of units is a question to a person,
    never a refusal; a test that cannot be read asks nothing here.
    """
    earlier = (
        ManureTest.objects.filter(
            storage=test.storage_id, voided=False, sampled_on__lte=test.sampled_on
        )
        .exclude(pk=test.pk)
        .order_by("-sampled_on", "-recorded_at")
        .first()
    )
    if test.storage_id is None or earlier is None:
        return []
    try:
        found = doubts(content_of(test), content_of(earlier))
    except (ManureTestError, UnitError, InvalidOperation):
        return []
    return [
        _(
            "%(figure)s comes to %(now)s and was %(before)s in the test of %(day)s, a factor near "
            "%(factor)s: %(mistake)s?"
        )
        % {
            "figure": RESULTS[doubt.name],
            "now": f"{doubt.now:.4g}",
            "before": f"{doubt.before:.4g}",
            "day": earlier.sampled_on,
            "factor": f"{doubt.factor:,g}",
            "mistake": MISTAKES[doubt.factor],
        }
        for doubt in found
    ]


@lru_cache(maxsize=2048)
def _content(results: str, form: str, density: Decimal | None) -> ManureContent:
    values = [
        ReportedValue(row["analyte"], Decimal(row["value"]), row["unit"], row.get("basis") or None)
        for row in json.loads(results)
        if row["analyte"] in ANALYTES
    ]
    return normalise(values, form, density)  # type: ignore[arg-type]


def pounds_in(amount_milli: int, kind: str, manure_test: ManureTest | None) -> tuple[Applied, str]:
    """The pounds in an amount, and why a figure is missing ("" when none is)."""
    if manure_test is None:
        return UNTESTED, str(_("No manure test is named for the load."))
    try:
        pounds = applied(amount_milli, kind, content_of(manure_test))  # type: ignore[arg-type]
    except (ManureTestError, NutrientError, UnitError) as trouble:
        return UNTESTED, problem_words(trouble)
    names = ("N", "P2O5", "K2O")
    absent = [name for name, value in zip(names, pounds.values, strict=True) if value is None]
    if not absent:
        return pounds, ""
    return pounds, str(_("The test does not state %(what)s.") % {"what": ", ".join(absent)})


def pounds_in_all(
    amounts: Sequence[tuple[int, str, ManureTest | None]],
) -> list[tuple[Applied, str]]:
    """What `pounds_in` gives for each of many amounts; amounts of one test are worked together."""
    found: list[tuple[Applied, str]] = [(UNTESTED, "")] * len(amounts)
    together: dict[Any, list[int]] = defaultdict(list)
    for place, (_milli, kind, test) in enumerate(amounts):
        together[kind, test and (test.pk, test.rev)].append(place)
    for (kind, _test), places in together.items():
        test = amounts[places[0]][2]
        of_none, missing = pounds_in(0, kind, test)
        rows = [UNTESTED] * len(places)
        if test is not None and of_none != UNTESTED:
            milli = [amounts[place][0] for place in places]
            every = applied_to_many(milli, kind, content_of(test))  # type: ignore[arg-type]
            rows = [Applied(*map(_if_tested, row, of_none.values)) for row in every.tolist()]
        for place, pounds in zip(places, rows, strict=True):
            found[place] = (pounds, missing)
    return found


def _if_tested(pounds: float, of_none: float | None) -> float | None:
    return None if of_none is None else pounds


def of_load(load: Load) -> list[PartNutrients]:
    """The pounds in each part of a load, in the order of its parts."""
    found = []
    for part in load.parts.all():
        pounds, missing = pounds_in(part.amount_milli, load.amount_kind, load.content_test)
        found.append(
            PartNutrients(
                part=part,
                field=part.field,
                amount_milli=part.amount_milli,
                kind=load.amount_kind,
                n_lb=pounds.n_lb,
                p2o5_lb=pounds.p2o5_lb,
                k2o_lb=pounds.k2o_lb,
                test=load.content_test,
                missing=missing,
            )
        )
    return found
