"""What was intended: plan versions with limits per field, P risk, permit conditions, jobs."""

from __future__ import annotations

import datetime as dt

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from farmrecords.farm.further import check_plan_facts
from farmrecords.farm.models import Field, Spreader, Storage
from farmrecords.history.constraints import at_least_zero
from farmrecords.history.recorded import Recorded
from farmrecords.people.dated import Dated, days_in_order
from farmrecords.people.models import Membership, Operation
from farmrecords.plan.conditions import PermitCondition
from farmrecords.plan.nitrogen import NitrogenChoice

__all__ = [
    "Job",
    "NitrogenChoice",
    "PermitCondition",
    "PhosphorusRisk",
    "PlanVersion",
    "PlannedCrop",
]


class PlanVersion(Dated):
    """One version of the nutrient management plan, in force from a day on."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="plan_versions")
    label = models.CharField(_("version"), max_length=40)
    document = models.CharField(_("document"), max_length=200, blank=True)
    document_dated = models.DateField(_("dated"), null=True, blank=True)
    planner_name = models.CharField(_("planner"), max_length=120, blank=True)
    planner_certificate = models.CharField(_("certificate number"), max_length=60, blank=True)
    by_certified_planner = models.BooleanField(
        _("developed or approved by a certified planner"), null=True, blank=True
    )
    approach = models.CharField(
        _("approach"),
        max_length=10,
        choices=[("linear", _("linear")), ("narrative", _("narrative rate"))],
        default="linear",
    )
    approved_on = models.DateField(_("agency notice dated"), null=True, blank=True)

    class History:
        name = "plan_version"
        operation = "operation"
        day = None
        create_act = "plan_version"

    class Meta(Dated.Meta):
        constraints = [
            days_in_order("plan_version_days_in_order"),
            models.UniqueConstraint(
                name="plan_version_one_a_day",
                fields=["operation", "from_on"],
                condition=Q(voided=False),
            ),
        ]

    def __str__(self) -> str:
        return self.label


class PlannedCrop(Recorded):
    """A field's crop of one crop year in one plan version, with its yield goal and limits."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="+")
    plan = models.ForeignKey(PlanVersion, on_delete=models.PROTECT, related_name="crops")
    field = models.ForeignKey(Field, on_delete=models.PROTECT, related_name="planned_crops")
    crop_year = models.PositiveSmallIntegerField(_("crop year"))
    crop = models.CharField(_("crop"), max_length=60)
    yield_goal = models.DecimalField(
        _("yield goal"), max_digits=8, decimal_places=1, null=True, blank=True
    )
    yield_unit = models.CharField(_("unit"), max_length=12, blank=True)
    n_limit_lb_per_ac = models.DecimalField(
        _("N limit, lb/ac"), max_digits=7, decimal_places=1, null=True, blank=True
    )
    p2o5_limit_lb_per_ac = models.DecimalField(
        _("P2O5 limit, lb/ac"), max_digits=7, decimal_places=1, null=True, blank=True
    )
    n_counts = models.CharField(
        _("the N limit counts"),
        max_length=12,
        choices=[("total", _("total N")), ("available", _("available N"))],
        default="total",
    )
    is_p_limited = models.BooleanField(_("limited by phosphorus"), default=False)
    rate_basis = models.CharField(_("basis of the rate"), max_length=250, blank=True)
    n_credit_lb_per_ac = models.DecimalField(
        _("N credits, lb/ac"), max_digits=7, decimal_places=1, null=True, blank=True
    )
    credit_has_manure = models.BooleanField(
        _("the N credits include manure of earlier years"), null=True, blank=True
    )
    p2o5_removal_lb_per_ac = models.DecimalField(
        _("P2O5 removed by the crop, lb/ac"), max_digits=7, decimal_places=1, null=True, blank=True
    )
    further = models.JSONField(
        _("further facts"), default=dict, blank=True, validators=[check_plan_facts]
    )

    class History:
        name = "planned_crop"
        operation = "operation"
        day = None

    class Meta(Recorded.Meta):
        ordering = ["crop_year"]
        constraints = [
            models.UniqueConstraint(
                name="planned_crop_once",
                fields=["plan", "field", "crop_year", "crop"],
                condition=Q(voided=False),
            ),
            models.CheckConstraint(
                name="planned_crop_amounts",
                condition=(Q(n_limit_lb_per_ac__isnull=True) | Q(n_limit_lb_per_ac__gte=0))
                & (Q(p2o5_limit_lb_per_ac__isnull=True) | Q(p2o5_limit_lb_per_ac__gte=0))
                & (Q(yield_goal__isnull=True) | Q(yield_goal__gte=0))
                & at_least_zero("n_credit_lb_per_ac", "p2o5_removal_lb_per_ac"),
            ),
        ]


class PhosphorusRisk(Recorded):
    """A field's phosphorus risk by a named procedure and version, for one crop year."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="+")
    field = models.ForeignKey(Field, on_delete=models.PROTECT, related_name="phosphorus_risks")
    crop_year = models.PositiveSmallIntegerField(_("crop year"))
    procedure = models.CharField(_("procedure"), max_length=20)
    version = models.CharField(_("version"), max_length=20, blank=True)
    value = models.DecimalField(_("value"), max_digits=8, decimal_places=2, null=True, blank=True)
    risk_class = models.CharField(_("class"), max_length=20, blank=True)
    evaluated_on = models.DateField(_("evaluated on"))
    evaluated_by = models.CharField(_("evaluated by"), max_length=120, blank=True)
    document = models.CharField(_("document"), max_length=200, blank=True)
    inputs = models.JSONField(_("inputs"), default=dict, blank=True)

    class History:
        name = "phosphorus_risk"
        operation = "operation"
        day = None

    class Meta(Recorded.Meta):
        ordering = ["-evaluated_on"]


class Job(Recorded):
    """Who hauls what, from which storage, to which fields, on which days."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="jobs")
    membership = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="jobs")
    storage = models.ForeignKey(
        Storage, on_delete=models.PROTECT, related_name="jobs", null=True, blank=True
    )
    spreader = models.ForeignKey(
        Spreader, on_delete=models.PROTECT, related_name="jobs", null=True, blank=True
    )
    first_on = models.DateField(_("first day"))
    last_on = models.DateField(_("last day"))
    field_ids = models.JSONField(_("fields"), default=list)
    note = models.CharField(_("note"), max_length=250, blank=True)

    class History:
        name = "job"
        operation = "operation"
        day = "first_on"
        waits = False

    class Meta(Recorded.Meta):
        ordering = ["first_on"]
        constraints = [
            models.CheckConstraint(
                name="job_days_in_order", condition=Q(last_on__gte=F("first_on"))
            )
        ]

    def covers(self, on: dt.date) -> bool:
        """Whether the job runs on the day."""
        return self.first_on <= on <= self.last_on
