"""The start page: what needs somebody, and links that lead to it."""

from __future__ import annotations

import datetime as dt
import html
import re
from typing import Any

from farmrecords.findings import index
from farmrecords.findings.models import FindingIndex
from farmrecords.history import clock
from tests import builders
from tests.book.desk import NOW, TODAY, Desk


def line_of(page: str, rule_id: str) -> str:
    """The row of the start page that speaks of a rule."""
    rows = re.findall(r"<tr>.*?</tr>", page, re.S)
    return next(row for row in rows if f">{rule_id}</a>" in row)


def test_a_finding_of_a_load_leads_to_its_loads_of_the_period_shown(desk: Desk) -> None:
    desk.enter()
    builders.make_load(desk.field, desk.pit, dt.date(2025, 4, 22))
    index.refresh(desk.operation)
    found = FindingIndex.objects.filter(load__isnull=False, day=TODAY).exclude(outcome="met")
    line = line_of(desk.get("start"), found[0].rule_id)
    link = re.search(r'href="([^"]*\?outcome=[^"]*)"', line)
    assert link is not None
    answer = desk.client.get(html.unescape(link[1]))
    assert [load.local_day for load, _outcomes in answer.context["rows"]] == [TODAY]


def test_a_finding_of_a_fields_year_leads_to_that_year_and_never_to_an_empty_log(
    desk: Desk,
) -> None:
    desk.enter()
    index.refresh(desk.operation)
    found = FindingIndex.objects.filter(field__isnull=False).exclude(outcome="met")
    assert found
    page = desk.get("start")
    for one in found:
        line = line_of(page, one.rule_id)
        assert "?outcome=" not in line
        year = desk.url("field_year", one.field_id, one.crop_year)
        assert f'href="{year}#finding-{one.rule_id}"' in line
        assert f'id="finding-{one.rule_id}"' in desk.get("field_year", one.field_id, one.crop_year)


def test_opening_the_page_asks_for_what_time_alone_made_old(
    desk: Desk, django_capture_on_commit_callbacks: Any
) -> None:
    """412.37(c)(3): a day after the load its weather is due, whether anybody wrote or not."""
    desk.enter()
    index.refresh(desk.operation)
    for after, asked in ((dt.timedelta(hours=1), 0), (dt.timedelta(days=2), 1)):
        with (
            clock.standing_at(NOW + after),
            django_capture_on_commit_callbacks() as waiting,
        ):
            desk.get("start")
        assert len(waiting) == asked
