"""Ink, paper, one accent: the strokes that every drawing is made of.

A colour here is a role. In the PDF it has the value below; on the page the role becomes a class and
the style sheet decides, so that one drawing serves light, dark and paper.
"""

from collections.abc import Sequence
from functools import cache
from pathlib import Path

from reportlab.graphics.shapes import Drawing, Group, Line, PolyLine, Rect, String
from reportlab.graphics.shapes import Path as Outline
from reportlab.lib.colors import Color, HexColor
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from farmrecords.drawing.inputs import MultiPolygon, Point

INK = HexColor("#1b1c20")
SOFT = HexColor("#494b53")
RULE = HexColor("#b9b6ac")
ACCENT = HexColor("#2b3f8c")
PAPER = HexColor("#ffffff")
ROLES = {"ink": INK, "soft": SOFT, "rule": RULE, "accent": ACCENT, "paper": PAPER}

FONT = "DejaVuSansCondensed"
BOLD = "DejaVuSansCondensed-Bold"
FONTS = ("DejaVuSans", "DejaVuSans-Bold", FONT, BOLD)
FONT_FOLDER = Path(__file__).resolve().parents[2] / "static" / "vendor" / "dejavu"
LABEL_SIZE = 10.5


@cache
def register_fonts() -> None:
    """Make the vendored fonts known to the PDF library, once. The report calls it as well."""
    for name in FONTS:
        pdfmetrics.registerFont(TTFont(name, str(FONT_FOLDER / f"{name}.ttf")))
    for plain, bold in (("DejaVuSans", "DejaVuSans-Bold"), (FONT, BOLD)):
        pdfmetrics.registerFontFamily(plain, plain, bold, plain, bold)


def text_width(text: str, size: float = LABEL_SIZE, font: str = FONT) -> float:
    """Width of a text in points, as the PDF sets it; the page's own font is no wider."""
    register_fonts()
    return float(pdfmetrics.stringWidth(text, font, size))


def sheet(width: float, height: float) -> Drawing:
    """An empty drawing of this size in points."""
    if width < 40 or height < 24:
        raise ValueError(
            f"A drawing needs at least 40 by 24 points; given {width:g} by {height:g}."
        )
    register_fonts()
    return Drawing(width, height, initialFontName=FONT, initialFontSize=LABEL_SIZE)


def line(
    start: Point,
    end: Point,
    colour: Color = INK,
    width: float = 0.7,
    dash: Sequence[float] | None = None,
) -> Line:
    return Line(
        start[0], start[1], end[0], end[1],
        strokeColor=colour, strokeWidth=width, strokeDashArray=list(dash) if dash else None,
    )  # fmt: skip


def polyline(
    points: Sequence[Point],
    colour: Color = INK,
    width: float = 1.0,
    dash: Sequence[float] | None = None,
) -> PolyLine:
    return PolyLine(
        [number for point in points for number in point],
        strokeColor=colour, strokeWidth=width, strokeDashArray=list(dash) if dash else None,
        strokeLineJoin=1,
    )  # fmt: skip


def box(
    left: float,
    bottom: float,
    width: float,
    height: float,
    *,
    fill: Color | None = None,
    stroke: Color | None = None,
    opacity: float = 1,
) -> Rect:
    return Rect(
        left, bottom, width, height,
        fillColor=fill, strokeColor=stroke, strokeWidth=0.7, fillOpacity=opacity,
    )  # fmt: skip


def text(
    x: float,
    y: float,
    words: str,
    *,
    size: float = LABEL_SIZE,
    colour: Color = INK,
    anchor: str = "start",
    bold: bool = False,
) -> String:
    return String(
        x, y, words,
        fontName=BOLD if bold else FONT, fontSize=size, fillColor=colour, textAnchor=anchor,
    )  # fmt: skip


def outline(
    polygons: MultiPolygon,
    *,
    stroke: Color | None = INK,
    width: float = 1.0,
    fill: Color | None = None,
    opacity: float = 1,
    dash: Sequence[float] | None = None,
) -> Outline:
    """Polygons with holes as one path; the even-odd rule leaves the holes open."""
    path = Outline(
        strokeColor=stroke, strokeWidth=width, fillColor=fill, fillOpacity=opacity,
        strokeDashArray=list(dash) if dash else None, strokeLineJoin=1,
        fillMode=0,
    )  # fmt: skip
    for rings in polygons:
        for ring in rings:
            points = list(ring)
            if points[0] == points[-1]:
                points = points[:-1]
            path.moveTo(*points[0])
            for point in points[1:]:
                path.lineTo(*point)
            path.closePath()
    return path


def label(
    x: float, y: float, words: str, *, anchor: str = "start", size: float = LABEL_SIZE
) -> Group:
    """Words on a patch of paper, so that hatching beneath stays legible."""
    wide = text_width(words, size)
    left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
    patch = box(left - 2, y - 2.5, wide + 4, size + 2.5, fill=PAPER, opacity=0.88)
    return Group(patch, text(x, y, words, size=size, anchor=anchor))


def grouped(number: float) -> str:
    """A figure for a label: thousands grouped, no idle decimals.

    >>> grouped(12500.0), grouped(2.5)
    ('12,500', '2.5')
    """
    return f"{number:,.0f}" if abs(number) >= 100 or number == int(number) else f"{number:,.3g}"


def round_up(number: float) -> float:
    """The next higher of 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8 times a power of ten, for a scale's top."""
    if number <= 0:
        return 1.0
    power = 1.0
    while power * 10 <= number:
        power *= 10
    while power > number:
        power /= 10
    for step in (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10):
        if step * power >= number * (1 - 1e-12):
            return step * power
    return 10 * power


def round_down(number: float) -> float:
    """The next lower of 1, 2, 5 times a power of ten, for a scale bar."""
    power = 1.0
    while power * 10 <= number:
        power *= 10
    while power > number:
        power /= 10
    return next(step * power for step in (5, 2, 1) if step * power <= number * (1 + 1e-12))
