"""The registers in a browser: each with its entry, one record, its amendment and its void."""

from __future__ import annotations

from typing import Any

import pytest

from tests.pages.looking import Looker

pytestmark = [pytest.mark.browser, pytest.mark.timeout(600)]


def test_every_register_is_sound(demo_site: Any, page: Any):
    look = Looker(page, demo_site, "owner.marlow", "marlow-brook")
    look.go("records/")
    wrong = look.wrong("records", dark=True)
    registers = look.links(r"/records/[a-z-]+/$")
    assert len(registers) > 15
    for register in registers:
        assert look.go(register) == 200
        wrong += look.wrong(register)
        found = look.links(r"/records/[a-z-]+/[0-9a-f-]{36}/$")
        for address in found[:1]:
            assert look.go(address) == 200
            wrong += look.wrong(address)
            for further in ("amend/", "void/"):
                if look.go(f"{address}{further}") == 200:
                    wrong += look.wrong(f"{address}{further}", axe=further == "amend/")
                look.trouble.clear()
        assert look.go(f"{register}new/") == 200
        wrong += look.wrong(f"{register}new/")
        with page.expect_navigation():  # the refused page, not the one it was sent from
            page.click("main form button")
        wrong += look.wrong(f"{register} refused", axe=False)
    assert wrong == []
