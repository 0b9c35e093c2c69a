"""The load: one quantity that left a storage and was spread, with its parts and draws."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from farmrecords.farm.further import check_load_facts
from farmrecords.farm.models import Field, Spreader, Storage
from farmrecords.history.constraints import above_zero, at_least_zero, at_most
from farmrecords.history.recorded import Recorded, RecordedPart, RecordedQuerySet
from farmrecords.loads.kinds import (
    AMOUNT_KINDS,
    AMOUNT_UNITS,
    GROUND,
    MASS_UNITS,
    MEASURED_BY,
    METHODS,
    ORIGINS,
    STATUSES,
    VOLUME_UNITS,
)
from farmrecords.measurements.models import ManureTest
from farmrecords.people.models import Operation, Person


class LoadQuerySet(RecordedQuerySet):
    """Named questions about loads."""

    def counted(self) -> LoadQuerySet:
        """Loads that count: neither void nor waiting for a decision."""
        return self.filter(voided=False, status="counted")

    def of_this_farm(self) -> LoadQuerySet:
        """Loads the farm spread itself; another farm's count in rates, not in the report."""
        return self.exclude(origin="other_farm")

    def between(self, first: dt.date, last: dt.date) -> LoadQuerySet:
        """Loads whose day lies in the period."""
        return self.filter(local_day__gte=first, local_day__lte=last)

    def on_field(self, field: Field) -> LoadQuerySet:
        """Loads with a part on the field."""
        return self.filter(parts__field=field).distinct()


class Load(Recorded):
    """One quantity that left a storage and was spread. The local day of its start is its day."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="loads")
    local_day = models.DateField(_("day"))
    started_at = models.DateTimeField(_("start"))
    started_offset_min = models.SmallIntegerField(_("offset then valid, min"))
    ended_at = models.DateTimeField(_("end"), null=True, blank=True)
    ended_offset_min = models.SmallIntegerField(null=True, blank=True)
    crop_year = models.PositiveSmallIntegerField(_("crop year"))

    spreader = models.ForeignKey(
        Spreader, on_delete=models.PROTECT, related_name="loads", null=True, blank=True
    )
    person = models.ForeignKey(
        Person,
        on_delete=models.PROTECT,
        related_name="loads",
        null=True,
        blank=True,
        verbose_name=_("driver"),
    )
    driver_name = models.CharField(_("driver without an account"), max_length=80, blank=True)

    method = models.CharField(_("method"), max_length=12, choices=METHODS)
    incorporated_at = models.DateTimeField(_("incorporated at"), null=True, blank=True)

    amount_text = models.CharField(_("amount"), max_length=20)
    amount_unit = models.CharField(_("unit"), max_length=8, choices=AMOUNT_UNITS)
    amount_milli = models.BigIntegerField(_("amount in thousandths"))
    amount_kind = models.CharField(max_length=3, choices=AMOUNT_KINDS)
    measured_by = models.CharField(_("measured by"), max_length=12, choices=MEASURED_BY)
    measure_start = models.CharField(_("reading at the start"), max_length=20, blank=True)
    measure_stop = models.CharField(_("reading at the end"), max_length=20, blank=True)
    loads_counted = models.PositiveSmallIntegerField(_("loads counted"), null=True, blank=True)
    ticket_number = models.CharField(_("ticket number"), max_length=40, blank=True)
    carried_in_milli = models.BigIntegerField(_("on board before"), default=0)
    carried_out_milli = models.BigIntegerField(_("left on board"), default=0)

    ground = models.CharField(_("ground"), max_length=10, choices=GROUND, default="unknown")
    frozen_depth_in = models.DecimalField(
        _("frozen, in deep"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    snow_in = models.DecimalField(
        _("snow, in"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    growing_crop = models.BooleanField(_("onto a growing crop"), null=True, blank=True)
    residue_pct = models.PositiveSmallIntegerField(_("ground cover, %"), null=True, blank=True)

    further = models.JSONField(
        _("further facts"), default=dict, blank=True, validators=[check_load_facts]
    )
    origin = models.CharField(_("from"), max_length=10, choices=ORIGINS, default="own")
    origin_name = models.CharField(_("whose manure"), max_length=120, blank=True)
    rate_test = models.ForeignKey(
        ManureTest,
        on_delete=models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
        verbose_name=_("test the rate was set from"),
    )
    content_test = models.ForeignKey(
        ManureTest,
        on_delete=models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
        verbose_name=_("test of what was in it"),
    )
    status = models.CharField(_("state"), max_length=8, choices=STATUSES, default="counted")
    from_paper = models.BooleanField(_("from paper"), default=False)
    source_key = models.CharField(max_length=64, blank=True)
    note = models.CharField(_("note"), max_length=250, blank=True)

    objects = LoadQuerySet.as_manager()  # type: ignore[assignment,misc]

    class History:
        name = "load"
        operation = "operation"
        day = "local_day"
        parts = ("parts", "draws")

    class Meta(Recorded.Meta):
        ordering = ["-local_day", "-started_at", "-id"]
        verbose_name = _("load")
        indexes = [
            models.Index(fields=["operation", "local_day", "started_at", "id"], name="load_by_day"),
            models.Index(fields=["operation", "crop_year"], name="load_by_crop_year"),
        ]
        constraints = [
            models.CheckConstraint(
                name="load_end_after_start",
                condition=Q(ended_at__isnull=True) | Q(ended_at__gte=F("started_at")),
            ),
            models.CheckConstraint(name="load_amount_positive", condition=Q(amount_milli__gt=0)),
            models.CheckConstraint(
                name="load_carried",
                condition=Q(carried_in_milli__gte=0, carried_out_milli__gte=0),
            ),
            models.CheckConstraint(
                name="load_kind_fits_unit",
                condition=Q(amount_kind="gal", amount_unit__in=VOLUME_UNITS)
                | Q(amount_kind="lb", amount_unit__in=MASS_UNITS),
            ),
            models.CheckConstraint(
                name="load_incorporated_after_start",
                condition=Q(incorporated_at__isnull=True) | Q(incorporated_at__gte=F("started_at")),
            ),
            models.CheckConstraint(
                name="load_ground_amounts",
                condition=at_least_zero("frozen_depth_in", "snow_in")
                & at_most(100, "residue_pct")
                & above_zero("loads_counted"),
            ),
            models.UniqueConstraint(
                name="load_source_once",
                fields=["operation", "source_key"],
                condition=~Q(source_key=""),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.started_local:%Y-%m-%d %H:%M} {self.amount_text} {self.amount_unit}"

    @property
    def started_local(self) -> dt.datetime:
        """The start on the clock that was then valid at the farm."""
        zone = dt.timezone(dt.timedelta(minutes=self.started_offset_min))
        return self.started_at.astimezone(zone)

    @property
    def ended_local(self) -> dt.datetime | None:
        """The end on the clock that was then valid at the farm."""
        if self.ended_at is None:
            return None
        offset = self.ended_offset_min
        zone = dt.timezone(
            dt.timedelta(minutes=self.started_offset_min if offset is None else offset)
        )
        return self.ended_at.astimezone(zone)

    @property
    def counts(self) -> bool:
        """Whether the load counts in totals."""
        return not self.voided and self.status == "counted"

    @property
    def waits(self) -> bool:
        """Whether the load came late for a filed period and nobody has decided on it."""
        return self.status == "waiting"

    def holds_back(self, waits: bool) -> None:
        """Let the load wait for a decision, or count."""
        self.status = "waiting" if waits else "counted"

    def clean(self) -> None:
        super().clean()
        if self.ended_at and self.started_at and self.ended_at < self.started_at:
            raise ValidationError(
                {
                    "ended_at": _(
                        "The end %(end)s is before the start %(start)s. Check both times; a load "
                        "past midnight ends on the next day."
                    )
                    % {
                        "end": f"{self.ended_local:%Y-%m-%d %H:%M}",
                        "start": f"{self.started_local:%Y-%m-%d %H:%M}",
                    }
                }
            )
        if self.amount_milli is not None and self.amount_milli <= 0:
            raise ValidationError(
                {
                    "amount_text": _("The amount %(amount)s must be more than zero.")
                    % {"amount": self.amount_text}
                }
            )

    def clean_parts(self, parts: dict[str, list[Any]]) -> None:
        """Refuse shares that do not add up to the load to the thousandth."""
        on_fields = sum(part.amount_milli for part in parts["parts"])
        if on_fields != self.amount_milli:
            raise ValidationError(
                _("The shares on the fields add up to %(sum)s thousandths, the load is %(load)s.")
                % {"sum": on_fields, "load": self.amount_milli}
            )
        drawn = sum(draw.amount_milli for draw in parts["draws"])
        needed = self.amount_milli + self.carried_out_milli - self.carried_in_milli
        if drawn != needed and (parts["draws"] or self.origin == "own"):
            raise ValidationError(
                _("The storages gave %(sum)s thousandths, %(needed)s left them for this load.")
                % {"sum": drawn, "needed": needed}
            )


class LoadPart(RecordedPart):
    """A load's share on one field, with the ground it covered."""

    load = models.ForeignKey(Load, on_delete=models.PROTECT, related_name="parts")
    field = models.ForeignKey(Field, on_delete=models.PROTECT, related_name="parts")
    amount_milli = models.BigIntegerField(_("amount in thousandths"))
    area_ac = models.DecimalField(
        _("acres covered, as noted"), max_digits=8, decimal_places=3, null=True, blank=True
    )
    track_sha256 = models.CharField(_("track"), max_length=64, blank=True)

    class History:
        parent = "load"

    class Meta:
        ordering = ["number"]
        indexes = [models.Index(fields=["field", "load"], name="part_field_load")]
        constraints = [
            models.UniqueConstraint(name="part_number_once", fields=["load", "number"]),
            models.CheckConstraint(
                name="part_amounts",
                condition=Q(amount_milli__gt=0) & (Q(area_ac__isnull=True) | Q(area_ac__gt=0)),
            ),
        ]


class LoadDraw(RecordedPart):
    """A load's share from one storage."""

    load = models.ForeignKey(Load, on_delete=models.PROTECT, related_name="draws")
    storage = models.ForeignKey(Storage, on_delete=models.PROTECT, related_name="draws")
    amount_milli = models.BigIntegerField(_("amount in thousandths"))

    class History:
        parent = "load"

    class Meta:
        ordering = ["number"]
        indexes = [models.Index(fields=["storage", "load"], name="draw_storage_load")]
        constraints = [
            models.UniqueConstraint(name="draw_number_once", fields=["load", "number"]),
            models.CheckConstraint(name="draw_amount", condition=Q(amount_milli__gt=0)),
        ]
