"""Which system tells how much nitrogen of the manure a crop can use, from a day on."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from farmrecords.calculations.available_nitrogen import NitrogenSystem, systems
from farmrecords.calculations.available_words import readings
from farmrecords.people.dated import Dated, days_in_order
from farmrecords.people.models import Operation

SYSTEMS = [
    (name, f"{one.title} ({one.version})")
    for name, one in systems().items()
    if one.rows("total") or one.rows("organic")
]


class NitrogenChoice(Dated):
    """The operation's choice of system and version, with the document it rests on.

    `reading` is the column the system leaves open: the weather, or the end of its range.
    """

    operation = models.ForeignKey(
        Operation, on_delete=models.PROTECT, related_name="nitrogen_choices"
    )
    system = models.CharField(_("system"), max_length=10)
    version = models.CharField(_("version"), max_length=60)
    reading = models.CharField(_("column or end of the range"), max_length=20, blank=True)
    document = models.CharField(_("why this system, or where it is required"), max_length=200)

    class History:
        name = "nitrogen_choice"
        operation = "operation"
        day = None

    class Meta(Dated.Meta):
        constraints = [
            days_in_order("nitrogen_choice_days_in_order"),
            models.UniqueConstraint(
                name="nitrogen_choice_one_a_day",
                fields=["operation", "from_on"],
                condition=Q(voided=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{dict(SYSTEMS).get(self.system, self.system)}"

    @property
    def table(self) -> NitrogenSystem | None:
        """The system in the version chosen; None when that version is not held here."""
        held = systems().get(self.system)
        return held if held and held.version == self.version else None

    @property
    def evidence(self) -> list[tuple[str, str]]:
        """Each word of the system's tables, and whether its figures were read or remembered."""
        held = self.table
        if held is None:
            return []
        return [
            (row, held.evidence(table, row))
            for table in ("total", "organic", "ammonium", "volatilisation")
            for row in held.rows(table)
        ]

    def clean(self) -> None:
        super().clean()
        problems: dict[str, Any] = {}
        if self.system not in dict(SYSTEMS):
            problems["system"] = _("Choose a system from the list.")
        elif self.table is None:
            problems["version"] = _("This version is not held. The one held is “%(held)s”.") % {
                "held": systems()[self.system].version
            }
        elif self.reading and self.reading not in readings(self.table):
            problems["reading"] = _("The system has no such column.")
        elif readings(self.table) and not self.reading:
            problems["reading"] = _("This system leaves a choice: %(columns)s.") % {
                "columns": ", ".join(readings(self.table))
            }
        if problems:
            raise ValidationError(problems)
