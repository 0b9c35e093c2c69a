"""A drawing as inline SVG that obeys a strict content security policy.

Colours become classes (`stroke-ink`, `fill-accent`) beside plain attributes, nothing becomes a
style attribute, and the numbers are written to a hundredth, so that equal drawings give equal text.
"""

from collections.abc import Iterable, Iterator
from xml.sax.saxutils import escape, quoteattr

from reportlab.graphics import shapes
from reportlab.lib.colors import Color

from farmrecords.drawing.ink import BOLD, ROLES

ROLE_OF = {colour.hexval(): role for role, colour in ROLES.items()}
PATH_LETTERS = ("M", "L", "C", "Z")
PATH_COUNTS = (2, 2, 6, 0)


def to_svg(drawing: shapes.Drawing, title: str, desc: str) -> str:
    """Inline SVG of a drawing: named, described, coloured by classes, same bytes every time.

    `title` is the name a screen reader speaks, `desc` one or two sentences with what the picture
    shows; the full facts stand in a table on the same page.
    """
    if not title.strip() or not desc.strip():
        raise ValueError("A drawing on a page needs a title and a description; one is empty.")
    wide, high = number(drawing.width), number(drawing.height)
    body = "".join(written(drawing.contents, drawing.height))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" viewBox="0 0 {wide} {high}" '
        f'width="{wide}" height="{high}" role="img" aria-label={quoteattr(title)}>'
        f"<title>{escape(title)}</title><desc>{escape(desc)}</desc>{body}</svg>"
    )


def number(value: float) -> str:
    """A coordinate to a hundredth of a point, without idle zeros.

    >>> number(1.0), number(-0.001), number(2.346)
    ('1', '0', '2.35')
    """
    short = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if short == "-0" else short


def written(contents: Iterable[shapes.Shape], high: float) -> Iterator[str]:
    for shape in contents:
        if isinstance(shape, shapes.Group):
            if tuple(shape.transform) != (1, 0, 0, 1, 0, 0):
                raise ValueError("A group with a transform has no SVG here; place its parts.")
            yield "<g>" + "".join(written(shape.contents, high)) + "</g>"
        else:
            yield element(shape, high)


def element(shape: shapes.Shape, high: float) -> str:
    """One shape; upward y of the PDF becomes downward y of the page."""
    if isinstance(shape, shapes.String):
        return text_element(shape, high)
    if isinstance(shape, shapes.Line):
        points = f"M{number(shape.x1)} {number(high - shape.y1)}"
        points += f"L{number(shape.x2)} {number(high - shape.y2)}"
        return f'<path d="{points}"{stroke(shape)} fill="none"/>'
    if isinstance(shape, shapes.Rect):
        return (
            f'<rect x="{number(shape.x)}" y="{number(high - shape.y - shape.height)}" '
            f'width="{number(shape.width)}" height="{number(shape.height)}"{paint(shape)}/>'
        )
    if isinstance(shape, shapes.Circle):
        return (
            f'<circle cx="{number(shape.cx)}" cy="{number(high - shape.cy)}" '
            f'r="{number(shape.r)}"{paint(shape)}/>'
        )
    if isinstance(shape, shapes.PolyLine):
        return f'<path d="{through(shape.points, high)}"{stroke(shape)} fill="none"/>'
    if isinstance(shape, shapes.Polygon):
        return f'<path d="{through(shape.points, high)}Z"{paint(shape)}/>'
    if isinstance(shape, shapes.Path):
        return f'<path d="{path_data(shape, high)}"{paint(shape)} fill-rule="evenodd"/>'
    raise TypeError(f"No SVG is written for the shape {type(shape).__name__}.")


def through(points: list[float], high: float) -> str:
    pairs = zip(points[::2], points[1::2], strict=True)
    return "M" + "L".join(f"{number(x)} {number(high - y)}" for x, y in pairs)


def path_data(shape: shapes.Path, high: float) -> str:
    data, at = [], 0
    for operator in shape.operators:
        count = PATH_COUNTS[operator]
        numbers = shape.points[at : at + count]
        at += count
        flipped = [high - n if i % 2 else n for i, n in enumerate(numbers)]
        data.append(PATH_LETTERS[operator] + " ".join(number(n) for n in flipped))
    return "".join(data)


def text_element(shape: shapes.String, high: float) -> str:
    weight = ' font-weight="600"' if shape.fontName == BOLD else ""
    anchor = "" if shape.textAnchor == "start" else f' text-anchor="{shape.textAnchor}"'
    return (
        f'<text x="{number(shape.x)}" y="{number(high - shape.y)}" '
        f'font-size="{number(shape.fontSize)}"{weight}{anchor}'
        f"{coloured('fill', shape.fillColor)}>{escape(shape.text)}</text>"
    )


def paint(shape: shapes.SolidShape) -> str:
    """Fill and stroke of a closed shape."""
    line = outlined(shape)
    classes = [role("stroke", shape.strokeColor)] if line else []
    if shape.fillColor is None:
        fill = ' fill="none"'
    else:
        classes.append(role("fill", shape.fillColor))
        fill = f' fill="{hex_of(shape.fillColor)}"'
        if shape.fillOpacity is not None and shape.fillOpacity < 1:
            fill += f' fill-opacity="{number(shape.fillOpacity)}"'
    return (f' class="{" ".join(classes)}"' if classes else "") + line + fill


def stroke(shape: shapes.LineShape) -> str:
    return f' class="{role("stroke", shape.strokeColor)}"' + outlined(shape)


def outlined(shape: shapes.LineShape) -> str:
    if shape.strokeColor is None or not shape.strokeWidth:
        return ""
    given = f' stroke="{hex_of(shape.strokeColor)}" stroke-width="{number(shape.strokeWidth)}"'
    if shape.strokeDashArray:
        given += f' stroke-dasharray="{" ".join(number(n) for n in shape.strokeDashArray)}"'
    return given


def coloured(what: str, colour: Color) -> str:
    return f' class="{role(what, colour)}" {what}="{hex_of(colour)}"'


def role(what: str, colour: Color) -> str:
    try:
        return f"{what}-{ROLE_OF[colour.hexval()]}"
    except KeyError:
        raise ValueError(
            f"The colour {colour.hexval()} is none of the roles {', '.join(ROLES)}."
        ) from None


def hex_of(colour: Color) -> str:
    return "#" + str(colour.hexval())[2:]
