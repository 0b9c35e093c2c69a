"""Zones and findings come from one distance code: a foot decides on both sides of every zone."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import mapping
from shapely.geometry.base import BaseGeometry

from farmrecords.calculations.geodesy import LocalPlane, feet, metres
from farmrecords.farm.models import Feature
from farmrecords.findings.rulebooks import rulebook
from farmrecords.findings.zones import Known, asked_ft, zones_of
from farmrecords.rules.facts import Facts
from farmrecords.rules.facts import Feature as Seen
from farmrecords.rules.judge import judge
from farmrecords.rules.vocabulary import FEATURE_KINDS

ON = dt.date(2026, 5, 20)
CENTRE = shapely.box(-89.5, 43.0, -89.49, 43.008)
PLANE = LocalPlane.centred_on(CENTRE)
STACKS = [("us", f"us-{state}") for state in ("vt", "ia", "md", "wi", "mn", "oh", "pa")]
WAYS = [("surface", "liquid"), ("injected", "liquid"), ("incorporated", "solid")]
DISTANCE_RULES = {rule.id for rule in rulebook().rules if rule.check == "distance"}


def placed(kind: str, from_edge_ft: float) -> Feature:
    """A point west of the field's middle, or within it, so far from the western edge."""
    west, south, _east, north = PLANE.project(CENTRE).bounds
    point = shapely.Point(west - metres(from_edge_ft), (south + north) / 2)
    place = mapping(PLANE.unproject(point))
    return Feature(kind=kind, name="the thing", geometry=place, down_gradient="yes")


def outcomes(known: Known, feature: Feature, ground: BaseGeometry, method: str, form: str) -> Any:
    """What the rules of distance say of a load on that ground (in metres of the plane)."""
    place = PLANE.project(shapely.geometry.shape(feature.geometry))
    distance = Decimal(str(round(float(feet(shapely.distance(ground, place))), 2)))
    seen = Seen(kind=feature.kind, distance_ft=distance, down_gradient=True)
    facts = Facts(
        {
            "material.class": "manure",
            "material.form": form,
            "load.method": method,
            "load.day": ON,
            "load.incorporated_same_date": method == "incorporated",
            "features.mapped": True,
        },
        [seen],
    )
    found = judge(known.book, known.stack, facts, ON, "load")
    return {f.rule_id: f.outcome for f in found if f.rule_id in DISTANCE_RULES}


@pytest.mark.parametrize(("method", "form"), WAYS)
@settings(max_examples=25, deadline=None)
@given(
    kind=st.sampled_from(sorted(FEATURE_KINDS)),
    stack=st.sampled_from(STACKS),
    from_edge_ft=st.floats(min_value=-60, max_value=30),
)
def test_a_foot_inside_a_zone_is_too_near_or_unsure_and_a_foot_outside_is_far_enough(
    method: str, form: str, kind: str, stack: tuple[str, ...], from_edge_ft: float
) -> None:
    known = Known(None, stack, rulebook())
    feature = placed(kind, from_edge_ft)
    field: Any = SimpleNamespace(pk=None)
    asked = asked_ft(field, feature, ON, method=method, form=form, known=known)
    zones = zones_of(field, CENTRE, [feature], ON, method=method, form=form, known=known)
    if not asked or float(asked) <= from_edge_ft:
        assert zones == []
        return
    ((_label, area),) = zones
    middle = PLANE.project(shapely.geometry.shape(feature.geometry))
    for step_ft, inside in ((-1.0, True), (1.0, False)):
        spot = shapely.Point(middle.x + metres(float(asked) + step_ft), middle.y)
        if not shapely.contains(PLANE.project(CENTRE), spot):
            continue
        assert bool(shapely.contains(area, PLANE.unproject(spot))) is inside
        said = outcomes(known, feature, spot, method, form)
        if inside:
            assert set(said.values()) & {"not_met", "cannot_tell", "notice"}, said
        else:
            assert "not_met" not in said.values()
