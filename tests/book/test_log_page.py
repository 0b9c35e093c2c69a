"""The log page by page and by filter; lists whose cost does not grow with their rows."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from farmrecords.findings import index
from farmrecords.findings.models import FindingIndex
from farmrecords.loads.models import Load, LoadDraw, LoadPart
from tests import builders
from tests.book.desk import NOW, TODAY

pytestmark = pytest.mark.django_db
ID = re.compile(r"/loads/([0-9a-f-]{36})/\"")


def many(desk, count, first=TODAY, **values):
    """Loads written at once, several on the same day and some in the same minute."""
    loads = []
    for n in range(count):
        day = first - dt.timedelta(days=n // 7)
        start = dt.datetime.combine(day, dt.time(12 + n % 3), tzinfo=dt.UTC)
        loads.append(
            Load(
                operation=desk.operation, local_day=day, method="surface", measured_by="rated",
                amount_text="1000", amount_unit="gal", amount_milli=1_000_000, amount_kind="gal",
                crop_year=day.year, started_at=start, started_offset_min=-240,
                content_test=desk.test, rate_test=desk.test, spreader=desk.spreader,
                person=desk.person,
            )
        )  # fmt: skip
        for name, value in values.items():
            setattr(loads[-1], name, value)
    from farmrecords.history import write

    with write.change(by=builders.actor(), channel="web") as change:
        change.create_many(
            [
                (
                    load,
                    {
                        "parts": [LoadPart(field=desk.field, number=1, amount_milli=1_000_000)],
                        "draws": [LoadDraw(storage=desk.pit, number=1, amount_milli=1_000_000)],
                    },
                )
                for load in loads
            ]
        )
    return loads


def shown(text):
    return ID.findall(text)


def walked(desk, link, url, between=None):
    """Every id from page to page along one link."""
    found = []
    pages = 0
    while url:
        answer = desk.client.get(url)
        found += [str(load.pk) for load in answer.context["pager"].rows]
        url = getattr(answer.context["pager"], link)
        url = url and desk.url("loads") + url
        pages += 1
        if between and pages == 1:
            between()
        assert pages < 20
    return found


def test_older_pages_show_every_load_once(desk):
    loads = many(desk, 123)
    found = walked(desk, "older_url", desk.url("loads"))
    assert sorted(found) == sorted(str(load.pk) for load in loads)


def test_a_load_that_arrives_while_one_reads_shifts_nothing(desk):
    loads = many(desk, 123)
    found = walked(
        desk, "older_url", desk.url("loads"),
        between=lambda: builders.make_load(desk.field, desk.pit, TODAY, content_test=desk.test),
    )  # fmt: skip
    assert sorted(found) == sorted(str(load.pk) for load in loads)


def test_the_way_back_leads_over_the_same_pages(desk):
    many(desk, 123)
    first = desk.client.get(desk.url("loads")).context["pager"]
    second = desk.client.get(desk.url("loads") + first.older_url).context["pager"]
    back = desk.client.get(desk.url("loads") + second.newer_url).context["pager"]
    assert [row.pk for row in back.rows] == [row.pk for row in first.rows]
    assert back.newer_url is None


def test_exactly_one_page_has_no_neighbours(desk):
    many(desk, 50)
    pager = desk.client.get(desk.url("loads")).context["pager"]
    assert (len(pager.rows), pager.older_url, pager.newer_url) == (50, None, None)


@pytest.mark.parametrize("key", ["x", "2026-04-22_x_y", "2026-04-22", "__", "0_0_0"])
def test_a_key_nobody_was_given_is_no_page(desk, key):
    assert desk.client.get(desk.url("loads"), {"before": key}).status_code == 404
    assert desk.client.get(desk.url("loads"), {"after": key}).status_code == 404


@pytest.fixture
def varied(desk):
    """Three loads that differ in everything that can be filtered by."""
    heap = builders.make_storage(desk.operation)
    with_test = {"content_test": desk.test}
    return {
        "first": builders.make_load(desk.field, desk.pit, dt.date(2026, 1, 20), **with_test),
        "second": builders.make_load(desk.other, desk.pit, dt.date(2026, 4, 10), method="injected"),
        "third": builders.make_load(desk.other, heap, dt.date(2026, 4, 22), status="waiting"),
    }


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ({"first": "2026-04-10"}, {"second", "third"}),
        ({"first": "2026-04-11"}, {"third"}),
        ({"last": "2026-04-10"}, {"first", "second"}),
        ({"last": "2026-04-09"}, {"first"}),
        ({"first": "2026-02-01", "last": "2026-04-21"}, {"second"}),
        ({"method": "injected"}, {"second"}),
        ({"state": "counted"}, {"first", "second"}),
        ({"state": "waiting"}, {"third"}),
        ({"state": "voided"}, set()),
        ({"field": "field"}, {"first"}),
        ({"field": "other"}, {"second", "third"}),
        ({"storage": "pit"}, {"first", "second"}),
        ({"field": "other", "storage": "pit"}, {"second"}),
    ],
)
def test_the_filters_keep_what_fits_all_of_them(desk, varied, query, expected):
    asked = {
        name: str(getattr(desk, value).pk) if name in ("field", "storage") else value
        for name, value in query.items()
    }
    names = {str(load.pk): name for name, load in varied.items()}
    assert {names[pk] for pk in shown(desk.get("loads", **asked))} == expected


@pytest.mark.parametrize("query", [{"first": "spring"}, {"field": "x"}, {"outcome": "perhaps"}])
def test_a_filter_that_cannot_be_read_says_so_and_shows_no_loads(desk, varied, query):
    answer = desk.client.get(desk.url("loads"), query)
    assert answer.status_code == 200
    assert shown(answer.content.decode()) == []
    assert answer.context["filter"].errors


def test_the_filters_by_outcome_and_rule_agree_with_the_index(desk, varied):
    index.refresh(desk.operation)
    lines = FindingIndex.objects.filter(load__isnull=False)
    pairs = set(lines.values_list("outcome", "rule_id"))
    assert {outcome for outcome, _rule in pairs} >= {"not_met", "cannot_tell"}
    for outcome, rule in pairs - {pair for pair in pairs if pair[0] == "met"}:
        expected = set(lines.filter(outcome=outcome, rule_id=rule).values_list("load", flat=True))
        found = desk.get("loads", outcome=outcome, rule=rule)
        assert set(shown(found)) == {str(pk) for pk in expected}, (outcome, rule)


# Vermont's winter ban: no spreading from 15 December to 1 April (Required Agricultural Practices
# 6.06).
def test_a_january_load_is_found_under_not_met(desk, varied):
    index.refresh(desk.operation)
    found = shown(desk.get("loads", outcome="not_met", rule="VT-W-1"))
    assert found == [str(varied["first"].pk)]


def queries(desk, name, *rest):
    desk.client.get(desk.url(name, *rest))  # what is kept after a first visit is there
    with CaptureQueriesContext(
        connection,
    ) as asked:
        assert desk.client.get(desk.url(name, *rest)).status_code == 200
    return len(asked)


@pytest.mark.parametrize("name", ["loads", "start", "fields"])
def test_fifty_loads_cost_as_many_questions_as_one(desk, name):
    many(desk, 1)
    index.refresh(desk.operation)
    one = queries(desk, name)
    many(desk, 49, TODAY - dt.timedelta(days=1))
    index.refresh(desk.operation)
    assert queries(desk, name) == one


def test_a_fields_year_costs_the_same_for_one_load_and_for_fifty(desk):
    many(desk, 1)
    one = queries(desk, "field_year", desk.field.pk, 2026)
    many(desk, 49, TODAY - dt.timedelta(days=1))
    assert queries(desk, "field_year", desk.field.pk, 2026) == one


def test_fifty_fields_cost_as_many_questions_as_two(desk):
    two = queries(desk, "fields")
    for _n in range(48):
        builders.make_field(desk.operation)
    assert queries(desk, "fields") == two


def test_fifty_storages_cost_as_many_questions_as_one(desk):
    read(desk, desk.pit)
    one = queries(desk, "storages")
    for _n in range(49):
        read(desk, builders.make_storage(desk.operation))
    assert queries(desk, "storages") == one


def read(desk, storage):
    from farmrecords.measurements.models import StorageLevel

    builders.save(
        StorageLevel(
            operation=desk.operation, storage=storage, read_on=TODAY, read_at=NOW,
            read_by=desk.person, reading_ft=4,
        )
    )  # fmt: skip


def test_fifty_tests_cost_as_many_questions_as_one(desk):
    builders.make_soil_test(desk.field, TODAY)
    one = queries(desk, "tests")
    for n in range(49):
        builders.make_manure_test(desk.pit, TODAY - dt.timedelta(days=n))
        builders.make_soil_test(desk.other, TODAY - dt.timedelta(days=n))
    assert queries(desk, "tests") == one
