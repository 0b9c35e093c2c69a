"""What the two documents on top say is what is there."""

from __future__ import annotations

import re

from tests.house.rooms import ROOT

SETTINGS = (ROOT / "farmrecords" / "settings.py").read_text("utf-8")
FOR_DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")
FIRST = (ROOT / "README.md").read_text("utf-8")


def test_every_setting_of_the_environment_is_named() -> None:
    read = set(re.findall(r"""\.(?:str|bool|list|db_url|int)\(\s*"([A-Z_]+)\"""", SETTINGS))
    assert {"SECRET_KEY", "BEHIND_PROXY", "FARMRECORDS_DATA"} <= read
    assert {name for name in read if f"`{name}`" not in FOR_DEVELOPERS} == set()


def test_every_command_named_is_there() -> None:
    named = re.findall(r"`?manage\.py (\w+)", FOR_DEVELOPERS + FIRST)
    assert len(named) > 5
    ours = {path.stem for path in (ROOT / "farmrecords" / "management" / "commands").iterdir()}
    elsewhere = {"compilemessages", "db_worker"}
    assert set(named) - ours - elsewhere == set()


def test_no_source_leans_on_a_page_outside_the_project() -> None:
    """A paragraph, a handbook or the working is named instead."""
    ours = {path.name for path in ROOT.glob("*.md")}
    found = {}
    for folder in ("farmrecords", "tests", "fixtures", "templates", "static/farmrecords"):
        for path in (ROOT / folder).rglob("*"):
            if path.suffix in {".py", ".toml", ".html", ".css", ".js"}:
                named = set(re.findall(r"\b[\w-]+\.md\b", path.read_text("utf-8")))
                named.discard("inspector.md")  # a sign-in of the demonstration, in Maryland
                if named - ours:
                    found[str(path.relative_to(ROOT))] = named - ours
    assert found == {}
