"""The other work: transfers, fertilizer, planting, tillage, harvest, stops and invoices."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from farmrecords.farm.models import Field, Storage
from farmrecords.history.constraints import at_least_zero, not_before
from farmrecords.history.recorded import Recorded
from farmrecords.loads.kinds import (
    AMOUNT_KINDS,
    AMOUNT_UNITS,
    MASS_UNITS,
    STOP_REASONS,
    VOLUME_UNITS,
)
from farmrecords.measurements.models import ManureTest
from farmrecords.people.models import Operation, Person

KIND_FITS_UNIT = Q(amount_kind="gal", amount_unit__in=VOLUME_UNITS) | Q(
    amount_kind="lb", amount_unit__in=MASS_UNITS
)


class Transfer(Recorded):
    """Manure handed to a receiver, or received from another farm."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="transfers")
    direction = models.CharField(
        _("direction"), max_length=3, choices=[("out", _("handed over")), ("in", _("received"))]
    )
    storage = models.ForeignKey(
        Storage, on_delete=models.PROTECT, related_name="transfers", null=True, blank=True
    )
    moved_on = models.DateField(_("day"))
    amount_text = models.CharField(_("amount"), max_length=20)
    amount_unit = models.CharField(_("unit"), max_length=8, choices=AMOUNT_UNITS)
    amount_milli = models.BigIntegerField(_("amount in thousandths"))
    amount_kind = models.CharField(max_length=3, choices=AMOUNT_KINDS)
    receiver_name = models.CharField(_("receiver"), max_length=120, blank=True)
    receiver_address = models.CharField(_("address"), max_length=250, blank=True)
    test = models.ForeignKey(
        ManureTest, on_delete=models.PROTECT, related_name="transfers", null=True, blank=True
    )
    analysis_given_on = models.DateField(_("analysis handed over on"), null=True, blank=True)
    ticket_number = models.CharField(_("ticket number"), max_length=40, blank=True)
    note = models.CharField(_("note"), max_length=250, blank=True)

    class History:
        name = "transfer"
        operation = "operation"
        day = "moved_on"

    class Meta(Recorded.Meta):
        ordering = ["moved_on"]
        constraints = [
            models.CheckConstraint(name="transfer_amount", condition=Q(amount_milli__gt=0)),
            models.CheckConstraint(name="transfer_kind_fits_unit", condition=KIND_FITS_UNIT),
        ]


class Fertilizer(Recorded):
    """Fertilizer on a field, in pounds of nutrient per acre."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="fertilizers")
    field = models.ForeignKey(Field, on_delete=models.PROTECT, related_name="fertilizers")
    spread_on = models.DateField(_("day"))
    crop_year = models.PositiveSmallIntegerField(_("crop year"))
    product = models.CharField(_("product"), max_length=80)
    n_lb_per_ac = models.DecimalField(_("N, lb/ac"), max_digits=6, decimal_places=1, default=0)
    p2o5_lb_per_ac = models.DecimalField(
        _("P2O5, lb/ac"), max_digits=6, decimal_places=1, default=0
    )
    k2o_lb_per_ac = models.DecimalField(_("K2O, lb/ac"), max_digits=6, decimal_places=1, default=0)
    method = models.CharField(_("method"), max_length=40, blank=True)

    class History:
        name = "fertilizer"
        operation = "operation"
        day = "spread_on"

    class Meta(Recorded.Meta):
        ordering = ["spread_on"]
        constraints = [
            models.CheckConstraint(
                name="fertilizer_amounts",
                condition=Q(n_lb_per_ac__gte=0, p2o5_lb_per_ac__gte=0, k2o_lb_per_ac__gte=0),
            )
        ]


class Planting(Recorded):
    """A crop planted on a field."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="plantings")
    field = models.ForeignKey(Field, on_delete=models.PROTECT, related_name="plantings")
    planted_on = models.DateField(_("day"))
    crop_year = models.PositiveSmallIntegerField(_("crop year"))
    crop = models.CharField(_("crop"), max_length=60)
    is_cover_crop = models.BooleanField(_("cover crop"), default=False)

    class History:
        name = "planting"
        operation = "operation"
        day = "planted_on"

    class Meta(Recorded.Meta):
        ordering = ["planted_on"]
        constraints = [
            models.UniqueConstraint(
                name="planting_once_a_day",
                fields=["field", "planted_on", "crop"],
                condition=Q(voided=False),
            )
        ]


class Tillage(Recorded):
    """A tillage pass over a field."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="tillages")
    field = models.ForeignKey(Field, on_delete=models.PROTECT, related_name="tillages")
    tilled_at = models.DateTimeField(_("time"))
    tilled_on = models.DateField(_("day"))
    tool = models.CharField(_("tool"), max_length=60)

    class History:
        name = "tillage"
        operation = "operation"
        day = "tilled_on"

    class Meta(Recorded.Meta):
        ordering = ["tilled_at"]


class Harvest(Recorded):
    """A crop taken off a field, with its yield."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="harvests")
    field = models.ForeignKey(Field, on_delete=models.PROTECT, related_name="harvests")
    harvested_on = models.DateField(_("day"))
    crop_year = models.PositiveSmallIntegerField(_("crop year"))
    crop = models.CharField(_("crop"), max_length=60)
    yield_amount = models.DecimalField(
        _("yield per acre"), max_digits=8, decimal_places=1, null=True, blank=True
    )
    yield_unit = models.CharField(_("unit"), max_length=12, blank=True)

    class History:
        name = "harvest"
        operation = "operation"
        day = "harvested_on"

    class Meta(Recorded.Meta):
        ordering = ["harvested_on"]
        constraints = [
            models.UniqueConstraint(
                name="harvest_once_a_day",
                fields=["field", "harvested_on", "crop"],
                condition=Q(voided=False),
            ),
            models.CheckConstraint(name="harvest_yield", condition=at_least_zero("yield_amount")),
        ]


class Stop(Recorded):
    """Spreading stopped, and why: evidence of care with the same weight as a load."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="stops")
    field = models.ForeignKey(
        Field, on_delete=models.PROTECT, related_name="stops", null=True, blank=True
    )
    stopped_at = models.DateTimeField(_("time"))
    stopped_on = models.DateField(_("day"))
    reason = models.CharField(_("why"), max_length=12, choices=STOP_REASONS)
    person = models.ForeignKey(
        Person, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    note = models.CharField(_("note"), max_length=250, blank=True)

    class History:
        name = "stop"
        operation = "operation"
        day = "stopped_on"

    class Meta(Recorded.Meta):
        ordering = ["stopped_at"]


class Invoice(Recorded):
    """A hauler's invoice: what was billed for a period."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="invoices")
    hauler = models.CharField(_("hauler"), max_length=120)
    number = models.CharField(_("number"), max_length=40, blank=True)
    from_on = models.DateField(_("from"))
    to_on = models.DateField(_("to"))
    amount_text = models.CharField(_("amount"), max_length=20)
    amount_unit = models.CharField(_("unit"), max_length=8, choices=AMOUNT_UNITS)
    amount_milli = models.BigIntegerField(_("amount in thousandths"))
    amount_kind = models.CharField(max_length=3, choices=AMOUNT_KINDS)
    explanation = models.CharField(_("explanation of the gap"), max_length=250, blank=True)

    class History:
        name = "invoice"
        operation = "operation"
        day = "to_on"

    class Meta(Recorded.Meta):
        ordering = ["to_on"]
        constraints = [
            models.CheckConstraint(
                name="invoice_days_in_order", condition=not_before("to_on", "from_on")
            ),
            models.CheckConstraint(name="invoice_amount", condition=Q(amount_milli__gt=0)),
            models.CheckConstraint(name="invoice_kind_fits_unit", condition=KIND_FITS_UNIT),
        ]

    def clean(self) -> None:
        super().clean()
        if self.from_on and self.to_on and self.to_on < self.from_on:
            raise ValidationError(_("The last day of the invoice is before its first day."))
