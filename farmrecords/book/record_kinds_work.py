"""Kinds of record of what was done: transfers, fertilizer, harvests, statements of none."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from farmrecords.book.record_form import RecordForm
from farmrecords.book.record_kind import Kind, TypedAmount
from farmrecords.farm.models import StatementOfNone
from farmrecords.loads.amounts import shown
from farmrecords.loads.models import Fertilizer, Harvest, Transfer
from farmrecords.loads.transfer_papers import missing_papers
from farmrecords.people.access import Seat


def _papers(transfer: Any) -> str:
    missing = missing_papers(transfer)
    if not missing:
        return gettext("complete")
    return gettext("incomplete: %(missing)s") % {"missing": "; ".join(missing)}


def _this_year(seat: Seat, day: str) -> dict[str, Any]:
    return {day: seat.today, "crop_year": seat.today.year}


class StatementForm(RecordForm):
    """Who looked is the one who enters it, and the day is today."""

    def check(self, found: dict[str, Any]) -> None:
        if not (found.get("looked_how") or "").strip() and "looked_how" not in self.errors:
            self.add_error("looked_how", gettext("Say how it was looked for, in a few words."))


TRANSFERS = Kind(
    slug="transfers",
    model=Transfer,
    group="work",
    many=_("Transfers"),
    one=_("transfer"),
    lede=_(
        "Manure handed over or received. A transfer is complete with name, address, amount, day "
        "and an analysis handed over by that day; until then it is kept and marked incomplete."
    ),
    fields=(
        "direction", "moved_on", "amount_text", "amount_unit", "storage", "receiver_name",
        "receiver_address", "test", "analysis_given_on", "ticket_number", "note",
    ),
    columns=(
        "moved_on", "direction", "receiver_name",
        (_("Amount"), lambda row: shown(row.amount_milli, row.amount_kind)),
        (_("Papers"), _papers),
    ),
    see="see_whole_log",
    write="enter_measurement",
    labels={
        "receiver_name": _("receiver, or the farm it came from"),
        "receiver_address": _("their address"),
        "test": _("manure test handed over"),
    },
    amounts=(TypedAmount("amount_text", "amount_unit", required=True, milli=True),),
    not_coming=("moved_on", "analysis_given_on"),
    also=((_("Papers"), _papers),),
    initial=lambda seat: {"moved_on": seat.today},
)  # fmt: skip

FERTILIZER = Kind(
    slug="fertilizer",
    model=Fertilizer,
    group="work",
    many=_("Fertilizer"),
    one=_("fertilizer"),
    lede=_("Commercial fertilizer on a field, in pounds of nutrient per acre; it is added up."),
    fields=(
        "field", "spread_on", "crop_year", "product", "n_lb_per_ac", "p2o5_lb_per_ac",
        "k2o_lb_per_ac", "method",
    ),
    columns=("spread_on", "field", "product", "n_lb_per_ac", "p2o5_lb_per_ac", "k2o_lb_per_ac"),
    see="see_whole_log",
    write="enter_measurement",
    not_coming=("spread_on",),
    initial=lambda seat: _this_year(seat, "spread_on"),
)  # fmt: skip

HARVESTS = Kind(
    slug="harvests",
    model=Harvest,
    group="work",
    many=_("Harvests"),
    one=_("harvest"),
    lede=_("What was taken off a field. The yield is stated per acre, in the unit of the crop."),
    fields=("field", "harvested_on", "crop_year", "crop", "yield_amount", "yield_unit"),
    columns=("harvested_on", "field", "crop", "yield_amount", "yield_unit"),
    see="see_whole_log",
    write="enter_measurement",
    labels={"yield_unit": _("unit of the yield, per acre")},
    not_coming=("harvested_on",),
    refusals={
        "harvest_once_a_day": (
            "harvested_on",
            _(
                "%(crop)s of %(field)s on %(harvested_on)s is recorded already. Amend that "
                "harvest, or correct the day."
            ),
        )
    },
    initial=lambda seat: _this_year(seat, "harvested_on"),
)

STATEMENTS = Kind(
    slug="statements",
    model=StatementOfNone,
    group="work",
    many=_("Statements of none"),
    one=_("statement of none"),
    lede=_(
        "Nothing entered is not the same as none. Here you state that there was none of "
        "something, and how you looked; it carries your name and today's day."
    ),
    fields=("subject", "field", "storage", "from_on", "to_on", "looked_how"),
    columns=("stated_on", "subject", "field", "from_on", "to_on", "stated_by"),
    see="see_whole_log",
    write="enter_measurement",
    form=StatementForm,
    labels={"field": _("only on this field"), "storage": _("only of this storage"),
            "stated_by": _("stated by")},
    helps={"to_on": _("Without a last day it reaches up to today.")},
    not_coming=("to_on",),
    in_order=(("from_on", "to_on"),),
    own=("stated_on", "stated_by"),
    fill=lambda seat: {"stated_by": seat.person, "stated_on": seat.today},
)  # fmt: skip

WORK = (TRANSFERS, FERTILIZER, HARVESTS, STATEMENTS)
