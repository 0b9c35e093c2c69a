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
