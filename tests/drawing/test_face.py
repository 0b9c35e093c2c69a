"""The face: contrast of its tokens, the sheet and its fragments under a strict policy."""

import re
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.contrib.messages.storage.base import Message
from django.template.loader import render_to_string

from farmrecords.templatetags.figures import shown

ROOT = Path(__file__).resolve().parents[2]
STATIC = ROOT / "static" / "farmrecords"
TOKENS = (STATIC / "tokens.css").read_text()
TEMPLATES = [ROOT / "templates" / "base.html", *sorted((ROOT / "templates/shared").glob("*.html"))]


def tokens(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", block))


LIGHT = tokens(TOKENS.split("@media")[0])
DARK = tokens(TOKENS.split("@media")[1])


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    ]
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_contrast_is_measured_as_published() -> None:
    """WCAG 2.2: black on white is 21 to 1, #767676 on white just above 4.5."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert 4.5 < contrast("#767676", "#ffffff") < 4.6


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("ground", ["paper", "well", "accent-well"])
@pytest.mark.parametrize("role", ["ink", "soft", "accent"])
def test_text_keeps_seven_to_one(theme: dict[str, str], ground: str, role: str) -> None:
    assert contrast(theme[role], theme[ground]) >= 7


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])
def test_outlines_of_inputs_keep_three_to_one(theme: dict[str, str]) -> None:
    assert contrast(theme["edge"], theme["paper"]) >= 3


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_no_template_of_the_face_holds_a_style_or_a_script(path: Path) -> None:
    text = re.sub(r"{% comment %}.*?{% endcomment %}", "", path.read_text(), flags=re.DOTALL)
    assert not re.search(r"\sstyle=|\son[a-z]+=|<style|javascript:", text)
    assert not re.search(r"<script(?![^>]*\ssrc=)", text)


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_every_fragment_says_on_top_what_it_needs(path: Path) -> None:
    assert path.read_text().startswith("{% comment %}")


@pytest.mark.parametrize("path", sorted(STATIC.glob("*.*")), ids=lambda path: path.name)
def test_the_face_fetches_nothing_from_elsewhere(path: Path) -> None:
    text = path.read_bytes().decode("latin-1")
    found = set(re.findall(r"(?:https?:)?//[\w.-]+\.\w+", text))
    assert found <= {"http://www.w3.org"}


@pytest.mark.parametrize(
    ("outcome", "word"),
    [
        ("met", "met"),
        ("not_met", "not met"),
        ("cannot_tell", "cannot tell"),
        ("notice", "notice"),
        ("something else", "cannot tell"),
    ],
)
def test_a_mark_always_has_its_word(outcome: str, word: str) -> None:
    html = render_to_string("shared/_mark.html", {"outcome": outcome})
    assert f'<span class="word">{word}</span>' in html
    assert 'aria-hidden="true"' in html


def test_the_sheet_stands_without_a_person_and_carries_the_caution() -> None:
    html = render_to_string("base.html")
    assert '<main id="main"' in html
    assert "the permit and licensed practice decide" in " ".join(html.split())
    assert "in compliance" not in html
    assert "fixed on" not in html


def test_the_sheet_names_operation_role_and_the_fixed_day() -> None:
    seat = SimpleNamespace(operation=SimpleNamespace(name="Alder Brook"), role="office")
    context = {
        "seat": seat,
        "user": SimpleNamespace(is_authenticated=True),
        "fixed_day": date(2026, 4, 24),
        "places": [{"url": "/fields/", "words": "Fields", "here": True}],
    }
    html = render_to_string("base.html", context)
    assert "· Alder Brook</title>" in html
    assert ", office</span>" in html
    assert "demonstration, fixed on April 24, 2026" in html
    assert '<a href="/fields/" aria-current="page">Fields</a>' in html


def test_a_mark_may_count() -> None:
    html = render_to_string("shared/_mark.html", {"outcome": "not_met", "count": 0})
    assert '<span class="word">0 not met</span>' in html


def test_the_shapes_of_the_marks_differ() -> None:
    pictures = {
        render_to_string("shared/_mark.html", {"outcome": outcome, "words": "x"}).split("<svg")[1]
        for outcome in ("met", "not_met", "cannot_tell", "notice")
    }
    assert len(pictures) == 4


@pytest.mark.parametrize(
    ("openness", "word"),
    [("open", "open"), ("partly_open", "partly open"), ("closed", "closed"), ("", "cannot tell")],
)
def test_a_field_is_open_by_word_and_shape(openness: str, word: str) -> None:
    html = render_to_string("shared/_openness.html", {"openness": openness})
    assert f'<span class="word">{word}</span>' in html


def test_a_worksheet_shows_every_step_with_source_and_evidence() -> None:
    step = SimpleNamespace(
        words="Rate is amount over area.",
        formula="rate = amount / acres",
        values={"amount_gal": 32100, "covered_ac": Decimal("4.980")},
        result=6445.783132,
        unit="gal/ac",
        source="common practice",
        evidence="practice",
    )
    sheet = SimpleNamespace(title="Rate of a load", steps=[step], notes=[], source="")
    html = render_to_string("shared/_worksheet.html", {"worksheet": sheet})
    for words in (
        "Rate of a load",
        "rate = amount / acres",
        "32,100",
        "4.98",
        "6,445.78",
        "gal/ac",
    ):
        assert words in html
    assert "[practice]" in html


def test_a_step_without_a_result_cannot_tell() -> None:
    step = SimpleNamespace(
        words="w", formula="", values={}, result=None, unit="", source="", evidence=""
    )
    sheet = SimpleNamespace(title="t", steps=[step], notes=[], source="")
    assert "cannot tell" in render_to_string("shared/_worksheet.html", {"worksheet": sheet})


def test_history_shows_before_and_now() -> None:
    line = SimpleNamespace(
        words="amended",
        at=datetime(2026, 4, 24, 12, 0, tzinfo=UTC),
        who="R. Pettibone",
        reason="Meter read wrong.",
        entry=1204,
        changes=[SimpleNamespace(name="amount", before="5,350 gal", after="5,400 gal")],
    )
    html = render_to_string("shared/_history.html", {"lines": [line]})
    assert "<del>5,350 gal</del>" in html
    assert "<ins>5,400 gal</ins>" in html
    assert "entry 1204" in html
    assert "Meter read wrong." in html


def test_words_of_people_are_escaped() -> None:
    said = Message(20, "Field <script>x</script> is recorded.")
    html = render_to_string("shared/_messages.html", {"messages": [said]})
    assert "&lt;script&gt;" in html


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (True, "yes"),
        (None, "not known"),
        (32100, "32,100"),
        (6445.783132, "6,445.78"),
        (Decimal("1234567.891"), "1,234,568"),
        (0.000123456789, "0.000123457"),
        (Decimal("38.500"), "38.5"),
        (0.0, "0"),
        (-0.25, "-0.25"),
        ([1, 2.5], "1, 2.5"),
        ("as typed", "as typed"),
    ],
)
def test_figures_are_shown_to_six_digits_without_powers_of_ten(value: object, text: str) -> None:
    assert shown(value) == text
