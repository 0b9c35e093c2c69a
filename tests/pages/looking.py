"""What a browser is asked about a page: trouble it met, its width, axe's findings, its links."""

from __future__ import annotations

import re
from typing import Any

from axe_playwright_python.sync_playwright import Axe

WIDE, NARROW = 1280, 390
# Fetching the style sheets again, as axe would, the page's policy refuses.
ASKED = {"resultTypes": ["violations"], "preload": False}
LISTEN = """
window.refused = [];
document.addEventListener('securitypolicyviolation',
  e => window.refused.push(e.violatedDirective + ' ' + e.blockedURI));
"""


class Looker:
    """A browser page of one signed-in person that keeps what went wrong."""

    def __init__(self, page: Any, site: Any, username: str, operation: str) -> None:
        self.page = page
        self.site = site
        self.operation = operation
        self.trouble: list[str] = []
        page.add_init_script(LISTEN)
        page.on("console", self._said)
        page.on("pageerror", lambda error: self.trouble.append(f"error: {error}"))
        site.sign_in_as(page, username)
        self.trouble.clear()

    def _said(self, message: Any) -> None:
        if message.type in ("error", "warning"):
            self.trouble.append(f"{message.type}: {message.text}")

    def go(self, address: str) -> int:
        """Open an address of the operation, or one that begins with a slash."""
        path = address if address.startswith("/") else f"/o/{self.operation}/{address}"
        answer = self.page.goto(self.site.url + path)
        return int(answer.status)

    def links(self, pattern: str) -> list[str]:
        """The addresses on the page that fit, each once."""
        found = self.page.eval_on_selector_all(
            "main a[href]", "all => all.map(a => a.getAttribute('href'))"
        )
        return [href for href in dict.fromkeys(found) if re.search(pattern, href)]

    def first(self, address: str, pattern: str) -> str:
        """The first link of a page that fits, or nothing."""
        if self.go(address) != 200:
            return ""
        return next(iter(self.links(pattern)), "")

    def wrong(self, where: str, axe: bool = True, dark: bool = False) -> list[str]:
        """Everything that is wrong with the page that is open, at both widths."""
        found = []
        for width in (WIDE, NARROW):
            self.page.set_viewport_size({"width": width, "height": 900})
            over = self.page.evaluate(
                "document.documentElement.scrollWidth - document.documentElement.clientWidth"
            )
            if over > 0:
                found.append(f"{where} at {width} px: {over} px too wide")
        found += [f"{where}: refused {one}" for one in self.page.evaluate("window.refused")]
        found += [f"{where}: {one}" for one in self.trouble]
        if axe:
            found += self._axe(where, "light")
        if dark:
            self.page.emulate_media(color_scheme="dark", reduced_motion="reduce")
            found += self._axe(where, "dark")
            self.page.emulate_media(color_scheme="light")
        self.trouble.clear()
        self.page.set_viewport_size({"width": WIDE, "height": 900})
        return found

    def _axe(self, where: str, scheme: str) -> list[str]:
        answer = Axe().run(self.page, options=ASKED).response["violations"]
        return [
            f"{where}, {scheme}: {one['id']} at {one['nodes'][0]['target']}"
            f" ({len(one['nodes'])} places)"
            for one in answer
        ]


def addresses(look: Looker) -> list[str]:
    """Every page of the operation that links lead this person to, one of each kind."""
    one = r"[0-9a-f-]{36}/"
    load = look.first("loads/?outcome=not_met", rf"loads/{one}$") or look.first(
        "loads/", rf"loads/{one}$"
    )
    waiting = look.first("loads/?state=waiting", rf"loads/{one}$")
    storage = look.first("storages/", rf"storages/{one}$")
    year = look.first("fields/", rf"fields/{one}\d+/$")
    ground = look.first(year, r"/ground/\?year=") if year else ""
    log = look.first("import/", rf"import/{one}$")
    held = storage.rstrip("/").rpartition("/")[2]
    asked = f"storage={held}&method=surface&amount_text=6500&amount_unit=gal&on=2026-04-22"
    found = [
        "/", "", "fields/", year, ground, f"{ground}&layer=rate" if ground else "",
        "loads/", "loads/?first=2026-04-01&state=counted", load,
        f"{load}amend/" if load else "", f"{load}void/" if load else "", "loads/new/",
        f"{load}?as_of=2026-04-22T12:00" if load else "", waiting,
        f"{waiting}decide/" if waiting else "",
        "storages/", storage, f"{storage}level/" if storage else "",
        "tests/", look.first("tests/", rf"tests/{one}$"), "tests/new/",
        look.first(load, r"loads/.+/facts/$") if load else "", "forecast/", "late/",
        "may-i-spread/", f"may-i-spread/?{asked}&ground=dry" if storage else "",
        "worksheets/", "worksheets/load_rate/", "worksheets/load_nutrients/",
        "worksheets/spread_pattern/",
        "rules/", look.first("rules/", r"rules/[A-Z].+/$"), look.first("rules/", r"/confirm/$"),
        look.first("rules/", r"rules/text/.+/$"), "rules/drafts/",
        "permit/", "permit/new/", look.first("permit/", rf"permit/{one}$"),
        "import/", log, f"{log}loads/" if log else "",
        "report/", look.first("report/", r"report/\d{4}-\d\d-\d\d/[\d-]+/$"),
    ]  # fmt: skip
    look.trouble.clear()
    return list(dict.fromkeys(address for n, address in enumerate(found) if address or n == 1))
