"""The record is read and written without JavaScript."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest

from tests.pages.looking import Looker

pytestmark = [pytest.mark.browser, pytest.mark.timeout(600)]


@pytest.fixture
def plain(browser: Any, demo_site: Any) -> Iterator[Looker]:
    context = browser.new_context(
        java_script_enabled=False, viewport={"width": 390, "height": 844}, locale="en-US"
    )
    yield Looker(context.new_page(), demo_site, "office.marlow", "marlow-brook")
    context.close()


def _links(look: Looker, pattern: str) -> list[str]:
    anchors = look.page.locator("main a[href]").all()
    found = [anchor.get_attribute("href") for anchor in anchors]
    return [href for href in found if re.search(pattern, href)]


ONE = r"[0-9a-f-]{36}/"


@pytest.mark.parametrize(
    ("address", "leads_to", "heading", "drawing"),
    [
        ("", "", "Marlow Brook Dairy", False),
        ("fields/", "", "Fields", False),
        ("fields/", rf"fields/{ONE}\d+/$", "crop year 2026", True),
        ("loads/", "", "Log of loads", False),
        ("loads/", rf"loads/{ONE}$", "Load of 2026", True),
        ("storages/", rf"storages/{ONE}$", "", True),
        ("tests/", "", "Tests", False),
        ("tests/", rf"tests/{ONE}$", "Manure test", False),
        ("report/", r"report/\d{4}-\d\d-\d\d/[\d-]+/$", "", True),
    ],
)
def test_a_page_reads_whole(plain, address, leads_to, heading, drawing):
    assert plain.go(address) == 200
    if leads_to:
        assert plain.go(_links(plain, leads_to)[0]) == 200
    page = plain.page
    assert heading in page.locator("h1").first.inner_text()
    assert page.locator("table tbody tr").count() > 0
    if drawing:
        assert page.locator("main svg.drawing:visible").count() > 0
    assert page.locator("footer").is_visible()


def test_a_load_is_entered(plain):
    page = plain.page
    plain.go("loads/new/")
    page.fill("[name=amount_text]", "4,321")
    page.select_option("[name=field_1]", index=1)
    page.select_option("[name=storage_1]", index=1)
    page.select_option("[name=method]", "surface")
    page.click("main form button")
    assert "/loads/" in page.url
    assert "/new/" not in page.url
    assert "4,321 gal" in page.locator("main").inner_text()
    assert "The load is recorded." in page.locator("main").inner_text()
    plain.go("loads/")
    assert "4,321 gal" in page.locator("main table").inner_text()


def test_what_is_folded_opens(plain):
    page = plain.page
    plain.go("loads/new/")
    second = page.locator("[name=field_2]")
    assert not second.is_visible()
    page.click("text=The load went onto more fields")
    assert second.is_visible()
