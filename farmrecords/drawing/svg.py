"""A drawing as inline SVG that obeys a strict content security policy."""

from reportlab.graphics.shapes import Drawing


def to_svg(drawing: Drawing, title: str, desc: str) -> str:
    """Inline SVG of a drawing: named, described, coloured by classes, same bytes every time."""
    return ""
