"""Ground to keep off, from the same code that judges a distance."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from shapely.geometry import shape
from shapely.geometry.base import BaseGeometry

from farmrecords.calculations.setback_geometry import closed_ground
from farmrecords.farm.further import further_facts
from farmrecords.farm.models import Feature, Field
from farmrecords.findings.feature_facts import feature_touched
from farmrecords.findings.load_facts import field_facts, operation_facts
from farmrecords.findings.permit_layer import joined, layers, own_rules
from farmrecords.findings.surroundings import Surroundings
from farmrecords.people.models import Permit
from farmrecords.plan.models import PermitCondition
from farmrecords.rules.asks import closing_ask
from farmrecords.rules.facts import Facts
from farmrecords.rules.facts import Feature as FeatureFacts
from farmrecords.rules.rulebook import Rulebook

NOON = dt.time(12)  # papers hold from a moment; a zone is drawn for the middle of its day


@dataclass(frozen=True)
class Known:
    """What holds for a field on a day: permit facts, stack with the permit's layers, rulebook."""

    permit: Permit | None
    stack: tuple[str, ...]
    book: Rulebook
    around: Surroundings | None = None


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
    around: Surroundings | None = None,
) -> Known:
    """The same, from rows that were fetched before; `around` holds those of the operation."""
    stack = (*stack, *layers(conditions, field.pk, on))
    return Known(permit, stack, joined(conditions), around or Surroundings(field.operation))


def asked_ft(
    field: Field,
    feature: Feature,
    on: dt.date,
    *,
    method: str,
    form: str,
    known: Known | None = None,
) -> Decimal | None:
    """The distance that closes ground round this feature; None when no rule closes any.

    Practices, papers and facts of the field count as they do in judging; what is only advised,
    known from memory or not enforced here closes nothing.
    """
    known = known or known_on(field, on)
    around = known.around
    values: dict[str, Any] = operation_facts(known.permit)
    if around is not None:
        moment = dt.datetime.combine(on, NOON, tzinfo=around.operation.zone)
        year = around.crop_year(field.pk, on)
        values |= around.once(
            ("field", field.pk, year, on), lambda: field_facts(around, field.pk, year, on)
        )
        seen = feature_touched(around, field.pk, feature, moment)
    else:
        seen = _alone(feature)
    values |= {
        "material.class": "manure",
        "material.form": form,
        "load.method": method,
        "load.day": on,
        "load.incorporated_same_date": method == "incorporated",
    }
    facts = Facts({name: value for name, value in values.items() if value is not None}, [seen])
    closing = closing_ask(known.book, known.stack, facts, seen, on)
    return closing[1] if closing else None


def _alone(feature: Feature) -> FeatureFacts:
    """A feature with nothing known around it: no field, no practices, no papers."""
    further = further_facts("feature", feature.further)
    return FeatureFacts(
        kind=feature.kind,
        name=feature.name,
        distance_ft=Decimal(0),
        down_gradient={"yes": True, "no": False}.get(feature.down_gradient),
        **{name.removeprefix("feature."): value for name, value in further.items()},
    )
