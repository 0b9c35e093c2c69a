"""Kinds of record of the plan: its versions, and each field's crop and limits of a year."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from farmrecords.book.record_form import RecordForm
from farmrecords.book.record_kind import Kind
from farmrecords.people.access import Seat, may_correct
from farmrecords.plan.models import PlannedCrop, PlanVersion


def _of_the_farm(seat: Seat, row: Any) -> str:
    """The planner adds a version; what the farm entered stays the farm's."""
    if may_correct(seat, row):
        return ""
    return gettext("The farm entered this. Enter a new plan version beside it, or ask the office.")


class PlanForm(RecordForm):
    """A plan version is entered from a document that can be named."""

    def check(self, found: dict[str, Any]) -> None:
        if not (found.get("document") or "").strip() and "document" not in self.errors:
            self.add_error(
                "document", gettext("Name the document that the plan version stands in.")
            )


PLANS = Kind(
    slug="plans",
    model=PlanVersion,
    group="plan",
    many=_("Plan versions"),
    one=_("plan version"),
    lede=_(
        "A version holds from its first day; loads are judged by the version of their own day. "
        "When the plan changes, enter a new version; amend only what was written down wrongly."
    ),
    fields=(
        "label", "from_on", "to_on", "document", "document_dated", "planner_name",
        "planner_certificate", "by_certified_planner", "approach", "approved_on",
    ),
    columns=("label", "from_on", "to_on", "document", "planner_name"),
    see="see_measurements",
    write="enter_plan",
    closed=_of_the_farm,
    form=PlanForm,
    in_order=(("from_on", "to_on"),),
    order=("-from_on",),
    refusals={
        "plan_version_one_a_day": (
            "from_on",
            _("A plan version from %(from_on)s is recorded already. Amend it, or choose a day."),
        )
    },
    initial=lambda seat: {"from_on": seat.today},
)  # fmt: skip

CROPS = Kind(
    slug="crops",
    model=PlannedCrop,
    group="plan",
    many=_("Crops and limits"),
    one=_("crop of a field's year"),
    lede=_("What a plan version sets for a field and crop year: crop, yield goal, limits."),
    fields=(
        "plan", "field", "crop_year", "crop", "yield_goal", "yield_unit", "n_limit_lb_per_ac",
        "n_counts", "p2o5_limit_lb_per_ac", "is_p_limited", "rate_basis", "n_credit_lb_per_ac",
        "p2o5_removal_lb_per_ac",
    ),
    columns=(
        "crop_year", "field", "crop", "yield_goal", "n_limit_lb_per_ac", "p2o5_limit_lb_per_ac",
        "plan",
    ),
    see="see_measurements",
    write="enter_plan",
    closed=_of_the_farm,
    form=None,
    order=("-crop_year",),
    refusals={
        "planned_crop_once": (
            "crop",
            _(
                "%(crop)s on %(field)s for %(crop_year)s stands in %(plan)s already. Amend that "
                "line, or choose another crop."
            ),
        )
    },
    initial=lambda seat: {"crop_year": seat.today.year},
)  # fmt: skip

PLAN = (PLANS, CROPS)
