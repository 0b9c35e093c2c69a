"""What the rounds bring: levels, inspections, deficiencies, discharges, calibrations."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from farmrecords.farm.models import AnimalGroup, Field, Spreader, Storage
from farmrecords.history.constraints import both_or_neither, not_before
from farmrecords.history.recorded import Recorded
from farmrecords.measurements.models.tests import operation_key
from farmrecords.people.models import Person


class StorageLevel(Recorded):
    """One reading of a storage's level, or the record that it was missed."""

    operation = operation_key("levels")
    storage = models.ForeignKey(Storage, on_delete=models.PROTECT, related_name="levels")
    read_on = models.DateField(_("day"))
    read_at = models.DateTimeField(_("read at"), null=True, blank=True)
    read_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    reading_ft = models.DecimalField(
        _("reading, ft"), max_digits=6, decimal_places=2, null=True, blank=True
    )
    missed = models.BooleanField(_("missed"), default=False)
    note = models.CharField(_("note or reason"), max_length=250, blank=True)

    class History:
        name = "storage_level"
        operation = "operation"
        day = "read_on"

    class Meta(Recorded.Meta):
        ordering = ["read_on"]
        indexes = [models.Index(fields=["storage", "read_on"], name="level_storage_day")]
        constraints = [
            models.CheckConstraint(
                name="level_read_or_missed",
                condition=Q(missed=True, reading_ft__isnull=True)
                | Q(missed=False, reading_ft__isnull=False),
            ),
            models.CheckConstraint(
                name="level_not_negative",
                condition=Q(reading_ft__isnull=True) | Q(reading_ft__gte=0),
            ),
        ]


class Inspection(Recorded):
    """One look at storages, diversions, water lines or equipment, with what was found."""

    KINDS = [
        ("diversions", _("stormwater and runoff devices")),
        ("water_lines", _("water lines")),
        ("impoundments", _("liquid storages")),
        ("equipment", _("spreading equipment, leaks")),
        ("production_area", _("walk of the production area")),
        ("field_runoff", _("field, runoff")),
    ]
    operation = operation_key("inspections")
    kind = models.CharField(_("kind"), max_length=20, choices=KINDS)
    storage = models.ForeignKey(
        Storage, on_delete=models.PROTECT, related_name="inspections", null=True, blank=True
    )
    spreader = models.ForeignKey(
        Spreader, on_delete=models.PROTECT, related_name="inspections", null=True, blank=True
    )
    field = models.ForeignKey(
        Field, on_delete=models.PROTECT, related_name="inspections", null=True, blank=True
    )
    inspected_on = models.DateField(_("day"))
    inspected_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    missed = models.BooleanField(_("missed"), default=False)
    found = models.CharField(_("found"), max_length=250, blank=True)

    class History:
        name = "inspection"
        operation = "operation"
        day = "inspected_on"

    class Meta(Recorded.Meta):
        ordering = ["inspected_on"]


class Deficiency(Recorded):
    """Something to be put right, with its thirty days."""

    operation = operation_key("deficiencies")
    storage = models.ForeignKey(
        Storage, on_delete=models.PROTECT, related_name="deficiencies", null=True, blank=True
    )
    found_on = models.DateField(_("found on"))
    description = models.CharField(_("what is wrong"), max_length=250)
    corrected_on = models.DateField(_("put right on"), null=True, blank=True)
    correction = models.CharField(_("what was done"), max_length=250, blank=True)
    explanation = models.CharField(_("why it took longer"), max_length=250, blank=True)

    class History:
        name = "deficiency"
        operation = "operation"
        day = "found_on"

    class Meta(Recorded.Meta):
        ordering = ["found_on"]
        constraints = [
            models.CheckConstraint(
                name="deficiency_days_in_order",
                condition=Q(corrected_on__isnull=True) | Q(corrected_on__gte=F("found_on")),
            )
        ]


class Discharge(Recorded):
    """Manure or wastewater that left the production area, or ran off a field."""

    operation = operation_key("discharges")
    storage = models.ForeignKey(
        Storage, on_delete=models.PROTECT, related_name="discharges", null=True, blank=True
    )
    from_production_area = models.BooleanField(_("from the production area"), default=True)
    happened_on = models.DateField(_("day"))
    happened_at = models.DateTimeField(_("time"), null=True, blank=True)
    volume_text = models.CharField(_("approximate volume, gal"), max_length=20, blank=True)
    cause = models.CharField(_("cause"), max_length=250, blank=True)
    receiving_water = models.CharField(_("where it went"), max_length=120, blank=True)
    aware_at = models.DateTimeField(_("noticed at"), null=True, blank=True)
    told_at = models.DateTimeField(_("agency told by voice at"), null=True, blank=True)
    written_on = models.DateField(_("written notice sent on"), null=True, blank=True)

    class History:
        name = "discharge"
        operation = "operation"
        day = "happened_on"

    class Meta(Recorded.Meta):
        ordering = ["happened_on"]
        constraints = [
            models.CheckConstraint(
                name="discharge_written_after", condition=not_before("written_on", "happened_on")
            )
        ]


class Mortality(Recorded):
    """Dead animals of a day and what was done with them."""

    operation = operation_key("mortalities")
    group = models.ForeignKey(AnimalGroup, on_delete=models.PROTECT, related_name="mortalities")
    died_on = models.DateField(_("day"))
    head = models.PositiveIntegerField(_("animals"))
    method = models.CharField(_("what was done"), max_length=80)
    place = models.CharField(_("where"), max_length=120, blank=True)

    class History:
        name = "mortality"
        operation = "operation"
        day = "died_on"

    class Meta(Recorded.Meta):
        ordering = ["died_on"]
        constraints = [models.CheckConstraint(name="mortality_head", condition=Q(head__gt=0))]


class Calibration(Recorded):
    """What a spreader really holds and how wide it spreads, measured on a day."""

    operation = operation_key("calibrations")
    spreader = models.ForeignKey(Spreader, on_delete=models.PROTECT, related_name="calibrations")
    calibrated_on = models.DateField(_("day"))
    method = models.CharField(_("method"), max_length=80)
    load_text = models.CharField(_("amount of a full load"), max_length=20, blank=True)
    load_unit = models.CharField(_("unit"), max_length=8, blank=True)
    width_ft = models.DecimalField(
        _("effective width, ft"), max_digits=6, decimal_places=1, null=True, blank=True
    )
    calculation = models.CharField(_("how it was worked out"), max_length=250, blank=True)

    class History:
        name = "calibration"
        operation = "operation"
        day = "calibrated_on"

    class Meta(Recorded.Meta):
        ordering = ["calibrated_on"]
        constraints = [
            models.CheckConstraint(
                name="calibration_width", condition=Q(width_ft__isnull=True) | Q(width_ft__gt=0)
            ),
            models.CheckConstraint(
                name="calibration_load_has_unit",
                condition=both_or_neither("load_text", "load_unit"),
            ),
        ]
