"""Land that comes in a second time: what was known of it stays unless the file says otherwise."""

import datetime as dt
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from farmrecords.farm import importing
from farmrecords.farm.models import Feature, Field
from farmrecords.findings.rulebooks import rulebook
from farmrecords.history import clock, write
from farmrecords.intake import service
from farmrecords.intake.models import IncomingFile
from farmrecords.people.jurisdictions import known_names
from tests import builders
from tests.intake.land import MOVED, Farm, outline, point

pytestmark = pytest.mark.django_db
WELL = {"type": "Point", "coordinates": [-89.494, 43.001]}
MAY = dt.date(2026, 5, 1)


@pytest.fixture(autouse=True)
def _spring():
    with clock.standing_at(dt.datetime(2026, 6, 1, 15, tzinfo=dt.UTC)):
        yield


@pytest.fixture
def farm():
    return Farm()


def test_a_new_outline_keeps_every_fact_of_the_field(farm):
    kept = {
        "further": {"bedrock": "silurian"}, "stack": ["us-wi"], "control": "rented",
        "slope_pct": Decimal("4.5"), "uncertainty_ft": Decimal("3.0"), "tile": "random",
        "soil": "Plano", "stated_ac": Decimal("40.00"),
    }  # fmt: skip
    now = farm.field.version_on(MAY)
    with write.change(by=farm.seat.actor, channel="web") as change:
        change.amend(now, base_rev=now.rev, values=dict(kept), reason_code="mistake")
    farm.confirm(farm.take_in("boundaries", [outline("7", MOVED)], from_on="2026-05-01"))
    new = farm.field.version_on(MAY)
    assert new.pk != now.pk
    assert {name: getattr(new, name) for name in kept} == kept


def moved(**properties):
    row = point("House well", "drinking-water well", -89.493, 43.001)
    row["properties"] |= properties
    return [row]


def drilled(farm):
    return builders.make_feature(
        farm.operation, "well_drinking", WELL, name="House well", built_on=dt.date(1998, 6, 1),
        down_gradient="yes", uncertainty_ft=Decimal("16.4"), flows_toward="creek",
    )  # fmt: skip


@pytest.mark.parametrize("day", ["2026-05-01", builders.FIRST_DAY.isoformat()])
def test_a_feature_that_moves_keeps_what_was_known_of_it(farm, day):
    drilled(farm)
    farm.confirm(farm.take_in("features", moved(), from_on=day))
    row = Feature.objects.in_force(MAY).get()
    assert row.geometry["coordinates"] == [-89.493, 43.001]
    assert (row.built_on, row.down_gradient) == (dt.date(1998, 6, 1), "yes")
    assert (row.uncertainty_ft, row.flows_toward) == (Decimal("16.4"), "creek")


def test_a_feature_at_a_new_place_follows_the_row_of_its_old_place(farm):
    well = drilled(farm)
    farm.confirm(farm.take_in("features", moved(), from_on="2026-05-01"))
    assert Feature.objects.in_force(MAY).get().follows == well


@pytest.mark.parametrize("day", ["2026-05-01", builders.FIRST_DAY.isoformat()])
def test_what_the_file_says_of_a_feature_goes_before_what_was_known(farm, day):
    drilled(farm)
    said = moved(down_gradient="no", uncertainty_ft=2)
    incoming = farm.confirm(farm.take_in("features", said, from_on=day))
    row = Feature.objects.in_force(MAY).get()
    assert (row.down_gradient, row.uncertainty_ft) == ("no", Decimal("2.0"))
    service.undo(farm.seat, incoming, incoming.rev, "Wrong file")
    row = Feature.objects.in_force(MAY).get()
    assert (row.down_gradient, row.uncertainty_ft) == ("yes", Decimal("16.4"))


def test_a_new_feature_whose_file_is_silent_is_of_unknown_slope(farm):
    farm.confirm(farm.take_in("features", moved(), from_on="2026-05-01"))
    assert Feature.objects.in_force(MAY).get().down_gradient == "unknown"


def put_stack(farm, stack):
    row = farm.operation.jurisdictions.get()
    with write.change(by=farm.seat.actor, channel="web") as change:
        change.amend(row, base_rev=row.rev, values={"stack": stack}, reason_code="mistake")


@pytest.mark.parametrize(
    ("stack", "words"),
    [
        (["us", "us-vtt"], "“us-vtt”"),
        (["us", "us"], "twice"),
        (["US"], "“US”"),
        ("us", "list of names"),
        ([1], "list of names"),
    ],
)
def test_a_jurisdiction_without_rules_is_refused(farm, stack, words):
    with pytest.raises(ValidationError, match=words):
        put_stack(farm, stack)
    now = farm.field.version_on(MAY)
    with (
        pytest.raises(ValidationError, match=words),
        write.change(by=farm.seat.actor, channel="web") as change,
    ):
        change.amend(now, base_rev=now.rev, values={"stack": stack}, reason_code="mistake")


def test_every_jurisdiction_with_rules_may_be_named(farm):
    put_stack(farm, sorted(known_names()))
    assert "us-vt" in farm.operation.stack_on(MAY)
    assert known_names() == set(rulebook().coverage)


def test_two_new_outlines_whose_numbers_are_cut_alike_are_refused_by_row(farm):
    rows = [outline(f"Back forty {side}", MOVED) for side in ("north", "not so far north")]
    incoming = farm.take_in("boundaries", rows, from_on="2026-05-01", new_fields="create")
    (told,) = incoming.report["rejected"]
    assert told["row"] == 2
    assert "row 1" in told["reason"]
    assert not service.is_ready(incoming)


def test_a_new_outline_whose_number_another_field_has_is_refused_by_row(farm):
    rows = [outline("Back forty", MOVED, number="9"), outline("Hilltop", MOVED, number="7")]
    incoming = farm.take_in("boundaries", rows, from_on="2026-05-01", new_fields="create")
    # a number that is a field here means that field, so the second row is its outline
    assert incoming.report["rejected_count"] == 0
    rows = [outline("7" + "x" * 12, MOVED), outline("7" + "x" * 13, MOVED)]
    incoming = farm.take_in("boundaries", rows, from_on="2026-05-01", new_fields="create")
    assert "number" in incoming.report["rejected"][0]["reason"]


def test_a_record_refused_while_it_is_written_is_told_with_its_row(farm, client, monkeypatch):
    monkeypatch.setattr(importing, "_refuse_taken_numbers", lambda *_given: None)
    rows = [outline(f"Back forty {side}", MOVED) for side in ("north", "not so far north")]
    incoming = farm.take_in("boundaries", rows, from_on="2026-05-01", new_fields="create")
    client.force_login(farm.seat.person)
    url = reverse("incoming_file", args=[farm.operation.slug, incoming.pk])
    page = client.post(url, {"do": "confirm", "revision": incoming.rev})
    assert page.status_code == 422
    assert "Row 2 (Back forty not so far north)" in page.content.decode()
    assert Field.objects.count() == 1
    assert IncomingFile.objects.get().state == "read"
