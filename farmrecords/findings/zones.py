"""Ground to keep off, from the same code that judges a distance."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from shapely.geometry import shape
from shapely.geometry.base import BaseGeometry

from farmrecords.calculations.setback_geometry import closed_ground
from farmrecords.farm.further import further_facts
from farmrecords.farm.models import Feature, Field
from farmrecords.findings.load_facts import operation_facts
from farmrecords.findings.permit_layer import joined, layers, own_rules
from farmrecords.people.models import Permit
from farmrecords.plan.models import PermitCondition
from farmrecords.rules.asks import distance_asked
from farmrecords.rules.facts import Facts
from farmrecords.rules.facts import Feature as FeatureFacts
from farmrecords.rules.rulebook import Rulebook


@dataclass(frozen=True)
class Known:
    """What holds for a field on a day: permit facts, stack with the permit's layers, rulebook."""

    permit: Permit | None
    stack: tuple[str, ...]
    book: Rulebook


def zones_of(
    field: Field,
    boundary: BaseGeometry,
    features: Sequence[Feature],
    on: dt.date,
    *,
    method: str = "surface",
    form: str = "liquid",
    known: Known | None = None,
) -> list[tuple[str, BaseGeometry]]:
    """Label and ground (lon/lat) inside the field that each feature closes for such a load."""
    known = known or known_on(field, on)
    kept = []
    for feature in features:
        asked = asked_ft(field, feature, on, method=method, form=form, known=known)
        if asked:
            label = f"{feature.name or feature.get_kind_display()}: {asked:g} ft"
            kept.append((label, (shape(feature.geometry), float(asked))))
    closed = closed_ground(boundary, [keep for _label, keep in kept])
    return [
        (label, ground)
        for (label, _keep), ground in zip(kept, closed, strict=True)
        if ground is not None
    ]


def known_on(field: Field, on: dt.date) -> Known:
    """The permit facts, the jurisdictions and the conditions that hold for the field that day."""
    operation = field.operation
    return known_from(operation.permit_on(on), field.stack_on(on), own_rules(operation), field, on)


def known_from(
    permit: Permit | None,
    stack: Sequence[str],
    conditions: Sequence[PermitCondition],
    field: Field,
    on: dt.date,
) -> Known:
    """The same, from rows that were fetched before."""
    return Known(permit, (*stack, *layers(conditions, field.pk, on)), joined(conditions))


def asked_ft(
    field: Field,
    feature: Feature,
    on: dt.date,
    *,
    method: str,
    form: str,
    known: Known | None = None,
) -> Decimal | None:
    """The largest distance that a rule in force asks of this feature; None when none does."""
    known = known or known_on(field, on)
    told = operation_facts(known.permit)
    values = {name: value for name, value in told.items() if value is not None}
    values |= {
        "material.class": "manure",
        "material.form": form,
        "load.method": method,
        "load.day": on,
        "load.incorporated_same_date": method == "incorporated",
    }
    seen = FeatureFacts(
        kind=feature.kind,
        name=feature.name,
        distance_ft=Decimal(0),
        down_gradient={"yes": True, "no": False}.get(feature.down_gradient),
        **{
            name.removeprefix("feature."): value
            for name, value in further_facts("feature", feature.further).items()
        },
    )
    asks = distance_asked(known.book, known.stack, Facts(values, [seen]), seen, on)
    distances = [ask.asked_ft for ask in asks if ask.asked_ft is not None]
    return max(distances, default=None)
