"""The printed face: paper size, sizes of type, the three styles of text, one ink and one rule."""

from __future__ import annotations

from functools import cache
from typing import Any

from reportlab.lib.pagesizes import LETTER
from reportlab.lib.styles import ParagraphStyle

from farmrecords.drawing.ink import BOLD, FONT, INK, RULE, SOFT, register_fonts

__all__ = [
    "BODY_SIZE",
    "BOLD",
    "FONT",
    "FOOT",
    "HEAD",
    "INK",
    "MARGIN",
    "PAGE",
    "RULE",
    "SMALL_SIZE",
    "SOFT",
    "WIDTH",
    "register_fonts",
    "style",
]  # fmt: skip

PAGE = LETTER
MARGIN = 54.0
HEAD = 40.0
FOOT = 92.0
WIDTH = PAGE[0] - 2 * MARGIN
BODY_SIZE = 9.0
SMALL_SIZE = 7.5


@cache
def style(name: str) -> ParagraphStyle:
    """One of the styles: title, item, part, body, soft, note, contents."""
    register_fonts()
    plain: dict[str, Any] = {
        "fontName": FONT,
        "fontSize": BODY_SIZE,
        "leading": 12.5,
        "textColor": INK,
    }
    each: dict[str, dict[str, Any]] = {
        "title": {"fontName": BOLD, "fontSize": 19, "leading": 23, "spaceAfter": 4},
        "item": {"fontName": BOLD, "fontSize": 12.5, "leading": 16, "spaceBefore": 14},
        "part": {"fontName": BOLD, "fontSize": 9.5, "leading": 13, "spaceBefore": 8},
        "body": {"spaceAfter": 4},
        "soft": {"textColor": SOFT, "fontSize": 8, "leading": 10.5, "spaceAfter": 4},
        "draft": {"fontName": BOLD, "fontSize": 10, "leading": 14, "spaceAfter": 6},
        "contents": {"leading": 14},
        "contents_inner": {"leading": 12.5, "leftIndent": 16, "fontSize": 8.5},
    }
    # splitLongWords keeps a name without spaces inside its column
    return ParagraphStyle(name, **(plain | each[name]), splitLongWords=1)
