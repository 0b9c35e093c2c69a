"""Laboratory results of manure and soil, as they stand on the sheet."""

from __future__ import annotations

import datetime as dt

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from farmrecords.farm.models import Field, Storage
from farmrecords.history.constraints import above_zero, not_before
from farmrecords.history.recorded import Recorded
from farmrecords.measurements.results import check_results
from farmrecords.people.models import Operation


def operation_key(related_name: str = "+") -> models.ForeignKey:
    """The operation a record belongs to."""
    return models.ForeignKey(Operation, on_delete=models.PROTECT, related_name=related_name)


class LaboratoryTest(Recorded):
    """What every laboratory result states; values stay in the units of the laboratory sheet."""

    sampled_on = models.DateField(_("sampled on"))
    analysed_on = models.DateField(_("analysed on"), null=True, blank=True)
    reported_on = models.DateField(_("result known from"), null=True, blank=True)
    sampled_by = models.CharField(_("sampled by"), max_length=80, blank=True)
    sampled_where = models.CharField(_("where the sample was taken"), max_length=120, blank=True)
    analysed_by = models.CharField(_("analysed by"), max_length=80, blank=True)
    laboratory = models.CharField(_("laboratory"), max_length=80, blank=True)
    sheet_number = models.CharField(_("sheet number"), max_length=40, blank=True)
    sampling_method = models.CharField(_("sampling method"), max_length=120, blank=True)
    laboratory_method = models.CharField(_("laboratory method"), max_length=120, blank=True)
    results = models.JSONField(_("results as reported"), default=list, validators=[check_results])

    class Meta(Recorded.Meta):
        abstract = True

    def clean(self) -> None:
        super().clean()
        for earlier, later in (("sampled_on", "analysed_on"), ("sampled_on", "reported_on")):
            first, second = getattr(self, earlier), getattr(self, later)
            if first and second and second < first:
                raise ValidationError(
                    {
                        later: _("%(later)s is before the sampling day %(first)s.")
                        % {"later": second, "first": first}
                    }
                )

    def is_known_on(self, on: dt.date) -> bool:
        """Whether the result could be read on the day."""
        return (self.reported_on or self.analysed_on or self.sampled_on) <= on


class ManureTest(LaboratoryTest):
    """One laboratory result of manure, with its storage and sampling day."""

    operation = operation_key("manure_tests")
    storage = models.ForeignKey(
        Storage, on_delete=models.PROTECT, related_name="manure_tests", null=True, blank=True
    )
    source = models.CharField(_("source, if not a storage here"), max_length=120, blank=True)
    form = models.CharField(
        _("form"), max_length=8, choices=[("liquid", _("liquid")), ("solid", _("solid"))]
    )
    density_lb_per_gal = models.DecimalField(
        _("measured density, lb/gal"), max_digits=5, decimal_places=3, null=True, blank=True
    )

    class History:
        name = "manure_test"
        operation = "operation"
        day = "sampled_on"

    class Meta(LaboratoryTest.Meta):
        ordering = ["-sampled_on"]
        constraints = [
            models.CheckConstraint(
                name="manure_test_days_in_order",
                condition=(Q(analysed_on__isnull=True) | Q(analysed_on__gte=F("sampled_on")))
                & (Q(reported_on__isnull=True) | Q(reported_on__gte=F("sampled_on"))),
            ),
            models.CheckConstraint(
                name="manure_test_has_source", condition=Q(storage__isnull=False) | ~Q(source="")
            ),
            models.CheckConstraint(
                name="manure_test_density", condition=above_zero("density_lb_per_gal")
            ),
        ]

    def __str__(self) -> str:
        return f"{self.storage or self.source} {self.sampled_on:%Y-%m-%d}"


class SoilTest(LaboratoryTest):
    """One soil test of a field, with depth and extractant."""

    operation = operation_key("soil_tests")
    field = models.ForeignKey(Field, on_delete=models.PROTECT, related_name="soil_tests")
    extractant = models.CharField(_("phosphorus extractant"), max_length=30, blank=True)
    depth_in = models.DecimalField(
        _("depth, in"), max_digits=4, decimal_places=1, null=True, blank=True
    )

    class History:
        name = "soil_test"
        operation = "operation"
        day = "sampled_on"

    class Meta(LaboratoryTest.Meta):
        ordering = ["-sampled_on"]
        constraints = [
            models.CheckConstraint(
                name="soil_test_depth", condition=Q(depth_in__isnull=True) | Q(depth_in__gt=0)
            ),
            models.CheckConstraint(
                name="soil_test_days_in_order",
                condition=not_before("analysed_on", "sampled_on")
                & not_before("reported_on", "sampled_on"),
            ),
        ]
