"""The page's picture: well formed, named, without styles, the same every time; and the PDF's."""

import doctest
import io
import re
from collections.abc import Callable
from datetime import date
from types import ModuleType
from xml.etree import ElementTree

import pdfplumber
import pytest
from reportlab.graphics.shapes import Drawing, Ellipse, Group, Rect
from reportlab.lib.colors import HexColor
from reportlab.platypus import SimpleDocTemplate

from farmrecords.drawing import (
    ClosedWindow,
    EarthenPond,
    Landmark,
    LevelMark,
    LevelReading,
    LoadTick,
    Period,
    RectangularTank,
    Swath,
    Track,
    UprightTank,
    Zone,
    field_map,
    ink,
    level_line,
    mark,
    storage_shape,
    storages,
    svg,
    to_svg,
    year_band,
)
from farmrecords.drawing.svg import number

SVG = "{http://www.w3.org/2000/svg}"
SQUARE = [[[(0.0, 0.0), (900.0, 0.0), (900.0, 900.0), (0.0, 900.0), (0.0, 0.0)]]]
PART = [[[(0.0, 0.0), (300.0, 0.0), (300.0, 300.0), (0.0, 300.0), (0.0, 0.0)]]]
MARKS = [LevelMark("pump-out line", 9), LevelMark("storm & rain <25 yr>", 9.5)]


def a_band() -> Drawing:
    return year_band(
        2025,
        [LoadTick(date(2025, 4, 20), 5000)],
        [ClosedWindow(date(2025, 12, 15), date(2026, 4, 1), "winter")],
        [LevelReading(date(2025, 5, day), 0.4) for day in (2, 9, 16)],
        date(2025, 6, 1),
    )


def a_map() -> Drawing:
    return field_map(
        SQUARE,
        zones=[Zone("100 ft", PART)],
        swaths=[Swath(PART, 5000)],
        tracks=[Track([(0.0, 0.0), (500.0, 500.0)])],
        landmarks=[
            Landmark("well", [(40.0, 40.0)]),
            Landmark("brook", [(0, -20), (900, -20)], "line"),
        ],
        name="Hill <north> & south",
    )


def a_level_line() -> Drawing:
    return level_line(
        Period.calendar_year(2025),
        [LevelReading(date(2025, 5, day), 4.0) for day in (2, 9, 16)],
        depth_ft=12,
        marks=MARKS,
        missed_on=[date(2025, 5, 23)],
        today=date(2025, 6, 1),
    )


DRAWINGS: dict[str, Callable[[], Drawing]] = {
    "band": a_band,
    "map": a_map,
    "level line": a_level_line,
    "pond": lambda: storage_shape(EarthenPond(300, 12, 2.5), level_ft=7, marks=MARKS),
    "tank": lambda: storage_shape(UprightTank(80, 16), level_ft=7, marks=MARKS),
    "pit": lambda: storage_shape(RectangularTank(200, 8), level_ft=7),
    "met": lambda: mark("met"),
    "not met": lambda: mark("not_met"),
    "cannot tell": lambda: mark("cannot_tell"),
    "notice": lambda: mark("notice"),
}
every_drawing = pytest.mark.parametrize("draw", DRAWINGS.values(), ids=DRAWINGS.keys())


@every_drawing
def test_the_picture_is_well_formed_and_tells_its_name_and_content(draw: Callable) -> None:
    svg = to_svg(draw(), "Field 12 & 13", "Loads <25> in April.")
    root = ElementTree.fromstring(svg)
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    assert root.get("aria-label") == "Field 12 & 13"
    assert root.findtext(f"{SVG}title") == "Field 12 & 13"
    assert root.findtext(f"{SVG}desc") == "Loads <25> in April."


@every_drawing
def test_nothing_in_it_needs_a_style_a_script_or_an_id(draw: Callable) -> None:
    svg = to_svg(draw(), "t", "d")
    for element in ElementTree.fromstring(svg).iter():
        assert element.tag.removeprefix(SVG) in {
            "svg", "title", "desc", "g", "path", "rect", "circle", "text",
        }  # fmt: skip
        assert not {"style", "id"} & set(element.attrib)
        assert not [name for name in element.attrib if name.startswith("on")]


@every_drawing
def test_every_colour_has_its_class_so_that_the_sheet_decides(draw: Callable) -> None:
    for element in ElementTree.fromstring(to_svg(draw(), "t", "d")).iter():
        classes = (element.get("class") or "").split()
        for what in ("fill", "stroke"):
            colour = element.get(what)
            if colour and colour.startswith("#"):
                assert any(name.startswith(f"{what}-") for name in classes), element.attrib


@every_drawing
def test_everything_stands_inside_the_picture(draw: Callable) -> None:
    drawing = draw()
    for element in ElementTree.fromstring(to_svg(drawing, "t", "d")).iter():
        numbers = [float(n) for n in re.findall(r"-?[\d.]+", element.get("d") or "")]
        assert all(-0.5 <= x <= drawing.width + 0.5 for x in numbers[::2])
        assert all(-0.5 <= y <= drawing.height + 0.5 for y in numbers[1::2])
        if element.tag == f"{SVG}text":
            assert 0 <= float(element.get("y", "-1")) <= drawing.height
            assert 0 <= float(element.get("x", "-1")) <= drawing.width


@every_drawing
def test_the_same_input_gives_the_same_bytes(draw: Callable) -> None:
    assert to_svg(draw(), "t", "d") == to_svg(draw(), "t", "d")
    assert as_pdf(draw()) == as_pdf(draw())


def as_pdf(drawing: Drawing) -> bytes:
    buffer = io.BytesIO()
    SimpleDocTemplate(buffer, pagesize=(800, 600), invariant=1).build([drawing])
    return buffer.getvalue()


@every_drawing
def test_the_pdf_holds_the_same_drawing_as_vectors_on_one_page(draw: Callable) -> None:
    with pdfplumber.open(io.BytesIO(as_pdf(draw()))) as pdf:
        assert len(pdf.pages) == 1
        page = pdf.pages[0]
        assert page.images == []
        assert len(page.lines) + len(page.curves) + len(page.rects) > 0


def test_the_pdf_has_the_words_of_the_map_and_its_curves() -> None:
    with pdfplumber.open(io.BytesIO(as_pdf(a_map()))) as pdf:
        words = pdf.pages[0].extract_text()
        assert "Hill <north> & south" in words
        assert "no spreading" in words
        assert "brook" in words
        assert len(pdf.pages[0].curves) >= 1
        assert len(pdf.pages[0].lines) > 10
        assert all("DejaVu" in char["fontname"] for char in pdf.pages[0].chars)


def test_up_on_paper_is_up_on_the_page() -> None:
    drawing = Drawing(100, 50)
    drawing.add(Rect(10, 0, 20, 5, fillColor=HexColor("#1b1c20"), strokeColor=None))
    root = ElementTree.fromstring(to_svg(drawing, "t", "d"))
    rect = root.find(f"{SVG}rect")
    assert rect is not None
    assert (rect.get("x"), rect.get("y"), rect.get("height")) == ("10", "45", "5")


@pytest.mark.parametrize(("title", "desc"), [("", "d"), ("t", " ")])
def test_a_picture_without_a_name_or_description_is_refused(title: str, desc: str) -> None:
    with pytest.raises(ValueError, match="title and a description"):
        to_svg(mark("met"), title, desc)


def test_a_colour_that_is_no_role_is_refused() -> None:
    drawing = Drawing(50, 50)
    drawing.add(Rect(0, 0, 5, 5, fillColor=HexColor("#00ff00"), strokeColor=None))
    with pytest.raises(ValueError, match="none of the roles ink, soft, rule, accent, paper"):
        to_svg(drawing, "t", "d")


def test_a_moved_group_or_an_unknown_shape_is_refused_rather_than_drawn_wrongly() -> None:
    drawing = Drawing(50, 50)
    drawing.add(Group(transform=(1, 0, 0, 1, 5, 5)))
    with pytest.raises(ValueError, match="transform"):
        to_svg(drawing, "t", "d")
    other = Drawing(50, 50)
    other.add(Ellipse(5, 5, 5, 5))
    with pytest.raises(TypeError, match="Ellipse"):
        to_svg(other, "t", "d")


@pytest.mark.parametrize(
    ("value", "text"), [(0.0, "0"), (-0.004, "0"), (0.005001, "0.01"), (12.5, "12.5"), (100, "100")]
)
def test_numbers_are_written_to_a_hundredth(value: float, text: str) -> None:
    assert number(value) == text


@pytest.mark.parametrize("size", [(39, 100), (100, 23)])
def test_a_drawing_too_small_to_read_is_refused(size: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="at least 40 by 24 points"):
        field_map(SQUARE, width=size[0], height=size[1])


@pytest.mark.parametrize("module", [ink, storages, svg])
def test_the_worked_examples_in_the_docstrings_hold(module: ModuleType) -> None:
    found = doctest.testmod(module)
    assert found.failed == 0
    assert found.attempted > 0
