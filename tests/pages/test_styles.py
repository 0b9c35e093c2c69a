"""Style sheets and templates fit each other: no rule without use, no class without a rule."""

from __future__ import annotations

import re

from tests.house.rooms import ROOT, sources

STATIC = ROOT / "static"
# Marks that scripts, tests and links look for, and names that stand for themselves.
NO_RULE = {"skip-link"}
# Made by Leaflet, crispy-forms and the drawings (a colour or outcome after the dash).
MADE_ELSEWHERE = re.compile(
    r"leaflet-|asteriskField|invalid-feedback|is-invalid|errorlist|form-|input-|btn|alert|col|row|mb-"
    r"|stroke-|fill-|mark-"
)


def templates() -> str:
    return "\n".join(path.read_text("utf-8") for path in (ROOT / "templates").rglob("*.html"))


def selectors(*folders: str) -> set[str]:
    """The class names that rules of these style sheets speak of."""
    found: set[str] = set()
    for folder in folders:
        for path in (STATIC / folder).glob("*.css"):
            text = re.sub(r"/\*.*?\*/|@(import|font-face)[^;{]*[;{]", " ", path.read_text("utf-8"))
            for head in re.findall(r"([^{}]+)\{", text, re.S):
                found |= set(re.findall(r"\.([a-zA-Z][\w-]*)", head))
    return found


def test_every_class_of_a_template_has_a_rule() -> None:
    known = selectors("farmrecords", "vendor/bootstrap", "vendor/leaflet")
    used: set[str] = set()
    plain = re.sub(r"\{#.*?#\}|\{%.*?%\}|\{\{.*?\}\}", "{}", templates(), flags=re.S)
    for value in re.findall(r'\bclass="([^"]*)"', plain):
        used |= {name for name in value.split() if "{}" not in name}
    assert sorted(used - known - NO_RULE) == []


def test_every_rule_is_used_somewhere() -> None:
    texts = [templates()]
    texts += [path.read_text("utf-8") for path in (STATIC / "farmrecords").glob("*.js")]
    texts += [path.read_text("utf-8") for path in sources()]
    words = set(re.findall(r"[a-zA-Z][\w-]*", "\n".join(texts)))
    unused = {
        name
        for name in selectors("farmrecords")
        if name not in words and not MADE_ELSEWHERE.match(name)
    }
    assert sorted(unused) == []


def test_every_frame_that_scrolls_is_reached_by_the_keyboard() -> None:
    frames = re.findall(r'<div class="table-scroll"[^>]*>', templates())
    assert len(frames) > 20
    assert {frame for frame in frames if 'tabindex="0"' not in frame} == set()


def test_every_fragment_is_included_somewhere() -> None:
    texts = templates() + "\n".join(path.read_text("utf-8") for path in sources())
    fragments = (ROOT / "templates").rglob("_*.html")
    names = {str(path.relative_to(ROOT / "templates")) for path in fragments}
    assert {name for name in names if name not in texts} == set()
