"""Every page of each role in a browser: nothing refused, too wide, or objected to by axe."""

from __future__ import annotations

from typing import Any

import pytest

from tests.pages.looking import Looker, addresses

pytestmark = [pytest.mark.browser, pytest.mark.timeout(600)]

# One of each role; the three farms all have their turn, the crew reads Spanish.
PEOPLE = [
    ("owner.marlow", "marlow-brook"),
    ("office.saltgrass", "saltgrass"),
    ("crew.cedar", "twin-cedar"),
    ("hauler.marlow", "marlow-brook"),
    ("planner.lindqvist", "twin-cedar"),
    ("inspector.md", "saltgrass"),
]


@pytest.mark.parametrize(("username", "operation"), PEOPLE)
def test_every_page_of_a_role_is_sound(demo_site: Any, page: Any, username: str, operation: str):
    look = Looker(page, demo_site, username, operation)
    wrong: list[str] = []
    opened = 0
    for address in addresses(look):
        status = look.go(address)
        if status == 404:  # not open to this role; who may open what is the matrix's affair
            look.trouble.clear()
            continue
        assert status == 200, (address, status)
        opened += 1
        wrong += look.wrong(address or "start", dark=username == "owner.marlow")
    assert opened > 5
    assert wrong == []


def test_a_condition_of_the_permit_is_sound_from_its_entry_on(demo_site: Any, page: Any):
    look = Looker(page, demo_site, "office.saltgrass", "saltgrass")
    look.go("permit/new/")
    page.click("main form button")
    assert page.locator("main [aria-invalid=true]").count() > 1
    wrong = look.wrong("condition refused")
    page.select_option("[name=kind]", "distance")
    for name, value in (
        ("text", "200 ft from wells"), ("from_on", "2026-01-01"), ("document", "permit of 2026"),
        ("citation", "part 4.2"), ("value", "200"),
    ):  # fmt: skip
        page.fill(f"[name={name}]", value)
    page.select_option("[name=unit]", "ft")
    page.check("[name=feature_kinds] >> nth=0")
    page.click("main form button")
    condition = look.first("permit/", r"permit/[0-9a-f-]{36}/$")
    assert condition
    for address in (condition, f"{condition}amend/", f"{condition}void/", "permit/"):
        assert look.go(address) == 200
        wrong += look.wrong(address)
    assert wrong == []


def test_a_large_file_is_sound_while_it_is_read_and_after(demo_site: Any, page: Any):
    look = Looker(page, demo_site, "office.saltgrass", "saltgrass")
    look.go("import/")
    rows = "".join(f"2026-04-20 08:00,{n},ton,nowhere {n},\n" for n in range(30_000))
    page.set_input_files(
        "[name=file]",
        {"name": "loads.csv", "mimeType": "text/csv",
         "buffer": ("start,amount,unit,field,storage\n" + rows).encode()},
    )  # fmt: skip
    page.select_option("[name=kind]", "loads")
    page.click("main form button")
    assert "/work/" in page.url
    wrong = look.wrong("work")
    page.locator("main a.btn-primary").wait_for(timeout=120_000)
    wrong += look.wrong("work done")
    page.click("main a.btn-primary")
    wrong += look.wrong("a file with many rows that are refused")
    assert wrong == []


def test_the_pages_before_signing_in_are_sound(demo_site: Any, page: Any):
    look = Looker(page, demo_site, "owner.marlow", "marlow-brook")
    page.context.clear_cookies()
    wrong: list[str] = []
    look.go("/sign-in/")
    wrong += look.wrong("sign-in", dark=True)
    page.fill("input[name=username]", "owner.marlow")
    page.fill("input[name=password]", "not the password")
    page.click("main form button")
    assert page.locator("main form").is_visible()
    wrong += look.wrong("sign-in refused")
    look.go("/no/such/page/")
    look.trouble.clear()  # the browser itself reports the 404
    wrong += look.wrong("no such page", dark=True)
    assert wrong == []


def test_a_refused_entry_is_sound_and_leads_to_its_fields(demo_site: Any, page: Any):
    look = Looker(page, demo_site, "office.marlow", "marlow-brook")
    look.go("loads/new/")
    page.fill("[name=amount_text]", "-5")
    page.select_option("[name=field_1]", index=1)
    page.select_option("[name=storage_1]", index=1)
    page.click("main form button")
    error = page.locator("[name=amount_text]")
    described = error.get_attribute("aria-describedby") or ""
    assert error.get_attribute("aria-invalid") == "true"
    assert "below zero" in page.locator(f"#{described.split()[0]}").inner_text()
    assert look.wrong("refused entry") == []


def test_the_keyboard_alone_reaches_the_page(demo_site: Any, page: Any):
    look = Looker(page, demo_site, "office.marlow", "marlow-brook")
    look.go("")
    page.keyboard.press("Tab")
    skip = page.locator("a.skip-link")
    assert skip.evaluate("link => link === document.activeElement")
    assert skip.bounding_box()["x"] >= 0
    assert skip.bounding_box()["y"] >= 0
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('main') !== null")


SEEN = """() => {
  const at = document.activeElement, style = getComputedStyle(at), box = at.getBoundingClientRect();
  return {what: at.outerHTML.slice(0, 90), shown: box.width > 0 && box.height > 0,
          ring: (style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) > 0)
                || style.boxShadow !== 'none'};
}"""


@pytest.mark.parametrize("address", ["", "loads/new/"])
def test_what_has_the_focus_is_seen(demo_site: Any, page: Any, address: str):
    look = Looker(page, demo_site, "office.marlow", "marlow-brook")
    look.go(address)
    hidden = []
    for _n in range(25):
        page.keyboard.press("Tab")
        seen = page.evaluate(SEEN)
        if not (seen["shown"] and seen["ring"]):
            hidden.append(seen["what"])
    assert hidden == []
