"""The four outcome marks: filled disc, barred disc, open ring, small tick."""

from reportlab.graphics.shapes import Drawing

from farmrecords.drawing.inputs import Outcome


def mark(outcome: Outcome, size: float = 12) -> Drawing:
    """The mark of an outcome. The word always stands beside it."""
    return Drawing(size, size)
