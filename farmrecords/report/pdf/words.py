"""Text for paper: what people typed is drawn as letters, never read as markup."""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from xml.sax.saxutils import escape

from reportlab.pdfbase import pdfmetrics
from reportlab.platypus import Paragraph

from farmrecords.report.pdf.face import style

LONGEST = 600
PLAIN_IN_OUTLINE = " -.,:'"


def clean(text: object, longest: int = LONGEST) -> str:
    """The text on one line, without control characters, cut with an ellipsis when very long."""
    letters = (
        " " if unicodedata.category(letter) in ("Cc", "Zl", "Zp") else letter
        for letter in str(text)
        if unicodedata.category(letter) not in ("Cf", "Cs", "Co", "Cn")
    )
    one_line = " ".join("".join(letters).split())
    return one_line if len(one_line) <= longest else one_line[: longest - 1].rstrip() + "…"


def said(text: object, kind: str = "body", longest: int = LONGEST) -> Paragraph:
    """A paragraph of text as it was typed."""
    return Paragraph(escape(clean(text, longest)), style(kind))


def outline_words(text: object) -> str:
    """A heading for the reader's list of bookmarks: letters, digits and plain signs alone.

    Bookmarks stand in the file as text of their own; signs that mean something to a reader of
    files are left out.
    """
    kept = (c if c.isalnum() or c in PLAIN_IN_OUTLINE else " " for c in clean(text, 80))
    return " ".join("".join(kept).split())


@lru_cache(maxsize=20_000)
def wrapped(text: str, width: float, font: str, size: float, most_lines: int) -> str:
    """The text broken into lines no wider than `width`; what does not fit ends in an ellipsis."""
    lines: list[str] = []
    line = ""
    for word in _words(clean(text), width, font, size):
        longer = f"{line} {word}" if line else word
        if pdfmetrics.stringWidth(longer, font, size) <= width or not line:
            line = longer
        else:
            lines.append(line)
            line = word
    lines.append(line)
    if len(lines) > most_lines:
        lines = lines[:most_lines]
        lines[-1] = _cut(lines[-1] + "…", width, font, size)
    return "\n".join(lines)


def _words(text: str, width: float, font: str, size: float) -> list[str]:
    """The words of a text, those too wide for the column cut into pieces."""
    found = []
    for word in text.split(" "):
        while pdfmetrics.stringWidth(word, font, size) > width and len(word) > 1:
            n = max(1, int(len(word) * width / pdfmetrics.stringWidth(word, font, size)))
            while n > 1 and pdfmetrics.stringWidth(word[:n], font, size) > width:
                n -= 1
            found.append(word[:n])
            word = word[n:]
        found.append(word)
    return found


def _cut(line: str, width: float, font: str, size: float) -> str:
    while pdfmetrics.stringWidth(line, font, size) > width and len(line) > 2:
        line = line[:-2] + "…"
    return line


def grouped_hash(digits: str) -> str:
    """64 hexadecimal digits in 16 groups of four, as a person reads them aloud."""
    return " ".join(digits[i : i + 4] for i in range(0, len(digits), 4))
