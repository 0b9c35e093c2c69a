"""The certification of the report: the permit's own wording, and the lines a signatory fills in.

The wording is law (40 CFR 122.22(d)) and is entered by the operation from its permit, with the
place where it stands and its date; the project ships none. Without all three a report cannot be
signed.
"""

from __future__ import annotations

from farmrecords.people.models import Permit
from farmrecords.report.model import Certification
from farmrecords.report.rows import Rows

LINES = ("Name", "Title", "Capacity in which signed, 122.22(a) or (b)", "Signature", "Date signed")


def certification_of(rows: Rows) -> Certification:
    """The wording of the permit in force on the last day, and what of it is not entered."""
    permit = rows.permit
    missing = _missing(permit)
    if missing:
        words = f"Not entered: {', '.join(missing)}. Without it this report cannot be signed."
    else:
        words = (
            "To be signed by hand on paper, or in the agency's own system. Nothing here is a "
            "signature."
        )
    return Certification(
        text=permit.certification_text.strip() if permit else "",
        citation=permit.certification_citation if permit else "",
        dated=permit.certification_dated if permit else None,
        lines=() if missing else LINES,
        words=words,
    )


def _missing(permit: Permit | None) -> list[str]:
    if permit is None:
        return ["permit facts on the last day of the period"]
    entered = {
        "the certification wording of the permit": permit.certification_text.strip(),
        "where that wording stands": permit.certification_citation.strip(),
        "the date of that wording": permit.certification_dated,
    }
    return [name for name, value in entered.items() if not value]
