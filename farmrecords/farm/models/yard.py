"""The yard: storages, the animals that feed them, and the spreaders."""

from __future__ import annotations

import datetime as dt

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from farmrecords.farm.kinds import (
    ANIMAL_KINDS,
    MATERIALS,
    SPECIES,
    SPREADER_KINDS,
    STORAGE_SHAPES,
)
from farmrecords.history.constraints import (
    above_zero,
    at_least_zero,
    both_or_neither,
    not_before,
)
from farmrecords.history.recorded import Recorded
from farmrecords.people.models import Operation


class Storage(Recorded):
    """Pit, pond, tank or stack: where manure waits."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="storages")
    name = models.CharField(_("name"), max_length=80)
    form = models.CharField(
        _("form"), max_length=8, choices=[("liquid", _("liquid")), ("solid", _("solid"))]
    )
    material = models.CharField(
        _("what it holds"), max_length=20, choices=MATERIALS, default="manure"
    )
    species = models.CharField(
        _("animals it comes from"), max_length=10, choices=SPECIES, blank=True
    )
    shape = models.CharField(_("shape"), max_length=12, choices=STORAGE_SHAPES)
    length_ft = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    width_ft = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    diameter_ft = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    depth_ft = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    side_slope = models.DecimalField(
        _("side slope, run to rise"), max_digits=5, decimal_places=2, null=True, blank=True
    )
    stage_table = models.JSONField(_("depth in ft and volume in gal"), default=list, blank=True)
    is_open = models.BooleanField(_("open surface"), default=True)
    level_datum = models.CharField(
        _("level is read from"),
        max_length=8,
        choices=[("bottom", _("the bottom")), ("top", _("the top"))],
        default="bottom",
    )
    pump_out_ft = models.DecimalField(
        _("pump-out mark, ft of depth"), max_digits=6, decimal_places=2, null=True, blank=True
    )
    freeboard_ft = models.DecimalField(
        _("design freeboard, ft"), max_digits=5, decimal_places=2, null=True, blank=True
    )
    design_volume_gal = models.PositiveBigIntegerField(
        _("total design volume, gal"), null=True, blank=True
    )
    treatment_volume_gal = models.PositiveBigIntegerField(null=True, blank=True)
    solids_allowance_gal = models.PositiveBigIntegerField(null=True, blank=True)
    design_days = models.PositiveIntegerField(_("days of storage"), null=True, blank=True)
    storm_depth_in = models.DecimalField(
        _("25-year, 24-hour storm, in"), max_digits=5, decimal_places=2, null=True, blank=True
    )
    storm_source = models.CharField(_("source of the storm depth"), max_length=120, blank=True)
    drainage_area_ac = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    capacity_ton = models.DecimalField(
        _("capacity, tons"), max_digits=9, decimal_places=1, null=True, blank=True
    )
    began_on = models.DateField(_("in use from"))
    ended_on = models.DateField(_("last day in use"), null=True, blank=True)

    class History:
        name = "storage"
        operation = "operation"
        day = None

    class Meta(Recorded.Meta):
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                name="storage_name_once", fields=["operation", "name"], condition=Q(voided=False)
            ),
            models.CheckConstraint(
                name="storage_amounts",
                condition=(Q(depth_ft__isnull=True) | Q(depth_ft__gt=0))
                & (Q(pump_out_ft__isnull=True) | Q(pump_out_ft__gte=0))
                & (Q(freeboard_ft__isnull=True) | Q(freeboard_ft__gte=0))
                & (Q(storm_depth_in__isnull=True) | Q(storm_depth_in__gt=0)),
            ),
            models.CheckConstraint(
                name="storage_measures",
                condition=above_zero("length_ft", "width_ft", "diameter_ft", "capacity_ton")
                & at_least_zero("side_slope", "drainage_area_ac"),
            ),
            models.CheckConstraint(
                name="storage_days_in_order", condition=not_before("ended_on", "began_on")
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def is_used(self, first_on: dt.date, last_on: dt.date | None = None) -> bool:
        """Whether it is in use on the day, or on some day from the first to the last."""
        ended = self.ended_on is not None and self.ended_on < first_on
        return self.began_on <= (last_on or first_on) and not ended


class AnimalGroup(Recorded):
    """Animals of one kind and housing that feed a storage."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="animal_groups")
    storage = models.ForeignKey(
        Storage, on_delete=models.PROTECT, related_name="animal_groups", null=True, blank=True
    )
    name = models.CharField(_("name"), max_length=80)
    kind = models.CharField(_("type"), max_length=20, choices=ANIMAL_KINDS)
    other_kind = models.CharField(_("other, which"), max_length=60, blank=True)
    has_liquid_system = models.BooleanField(_("liquid manure system"), null=True, blank=True)

    class History:
        name = "animal_group"
        operation = "operation"
        day = None

    class Meta(Recorded.Meta):
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class AnimalCount(Recorded):
    """How many animals a group had on a day, in open confinement and under roof."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="+")
    group = models.ForeignKey(AnimalGroup, on_delete=models.PROTECT, related_name="counts")
    counted_on = models.DateField(_("counted on"))
    open_head = models.PositiveIntegerField(_("open confinement"), default=0)
    roof_head = models.PositiveIntegerField(_("under roof"), default=0)

    class History:
        name = "animal_count"
        operation = "operation"
        day = "counted_on"

    class Meta(Recorded.Meta):
        ordering = ["counted_on"]
        constraints = [
            models.UniqueConstraint(
                name="animal_count_once",
                fields=["group", "counted_on"],
                condition=Q(voided=False),
            )
        ]


class Spreader(Recorded):
    """Machine that takes manure to the field; its load and width are calibrated."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="spreaders")
    name = models.CharField(_("name"), max_length=80)
    kind = models.CharField(_("kind"), max_length=20, choices=SPREADER_KINDS)
    form = models.CharField(
        _("form"), max_length=8, choices=[("liquid", _("liquid")), ("solid", _("solid"))]
    )
    rated_load_text = models.CharField(_("rated load"), max_length=20, blank=True)
    rated_load_unit = models.CharField(_("unit"), max_length=8, blank=True)
    rated_width_ft = models.DecimalField(
        _("working width, ft"), max_digits=6, decimal_places=1, null=True, blank=True
    )
    throw_ft = models.DecimalField(
        _("throw, ft"), max_digits=6, decimal_places=1, null=True, blank=True
    )
    discharge_side = models.CharField(
        _("discharges to"),
        max_length=8,
        choices=[
            ("both", _("both sides")),
            ("left", _("left")),
            ("right", _("right")),
            ("rear", _("rear")),
            ("unknown", _("not known")),
        ],
        default="unknown",
    )
    measures_by = models.CharField(_("measures by"), max_length=12, blank=True)
    cells = models.PositiveSmallIntegerField(_("weigh cells"), default=0)
    owner_name = models.CharField(_("owned by"), max_length=80, blank=True)

    class History:
        name = "spreader"
        operation = "operation"
        day = None

    class Meta(Recorded.Meta):
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                name="spreader_name_once", fields=["operation", "name"], condition=Q(voided=False)
            ),
            models.CheckConstraint(
                name="spreader_widths",
                condition=(Q(rated_width_ft__isnull=True) | Q(rated_width_ft__gt=0))
                & (Q(throw_ft__isnull=True) | Q(throw_ft__gt=0)),
            ),
            models.CheckConstraint(
                name="spreader_load_has_unit",
                condition=both_or_neither("rated_load_text", "rated_load_unit"),
            ),
        ]

    def __str__(self) -> str:
        return self.name
