"""Who: persons, operations with their dated permit facts, memberships, grants and devices."""

from __future__ import annotations

import datetime as dt
import uuid
import zoneinfo

from django.contrib.auth.models import AbstractUser
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from farmrecords.history.constraints import at_least_zero
from farmrecords.history.kinds import Account
from farmrecords.history.models import Log
from farmrecords.history.recorded import Recorded, declaration
from farmrecords.people.dated import Dated, days_in_order
from farmrecords.people.jurisdictions import check_stack

__all__ = [
    "ClosedPeriod",
    "Device",
    "Grant",
    "Jurisdiction",
    "LateRecord",
    "Membership",
    "Operation",
    "Permit",
    "Person",
]


class Person(Account, AbstractUser):
    """An account. The log knows a person by number only; names stay here and can be erased."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    display_name = models.CharField(_("name"), max_length=120)
    initials = models.CharField(_("initials"), max_length=6, blank=True)
    language = models.CharField(_("language"), max_length=5, default="en")

    class Meta:
        verbose_name = _("person")
        verbose_name_plural = _("persons")

    def __str__(self) -> str:
        return self.display_name or self.username


def check_time_zone(value: str) -> None:
    """Refuse a zone that the zone database does not know."""
    if value not in zoneinfo.available_timezones():
        raise ValidationError(
            _("“%(value)s” is not a known time zone. Use a name such as America/New_York.")
            % {"value": value}
        )


class Operation(Recorded):
    """One permitted facility: the business that keeps the records and files the report."""

    slug = models.SlugField(_("short name"), unique=True)
    name = models.CharField(_("name"), max_length=120)
    address = models.CharField(_("mailing address"), max_length=250, blank=True)
    time_zone = models.CharField(_("time zone"), max_length=60, validators=[check_time_zone])
    production_area_lon = models.DecimalField(
        _("production area, longitude"), max_digits=10, decimal_places=7, null=True, blank=True
    )
    production_area_lat = models.DecimalField(
        _("production area, latitude"), max_digits=10, decimal_places=7, null=True, blank=True
    )
    area_reported = models.CharField(
        _("acres reported as used"),
        max_length=12,
        default="field",
        choices=[("field", _("acres of the fields")), ("covered", _("acres covered"))],
    )
    log = models.OneToOneField(Log, on_delete=models.PROTECT, related_name="operation")

    class History:
        name = "operation"
        operation = ""
        day = None

    class Meta(Recorded.Meta):
        verbose_name = _("operation")
        constraints = [
            models.CheckConstraint(
                name="operation_lon_lat_range",
                condition=Q(production_area_lon__isnull=True, production_area_lat__isnull=True)
                | Q(
                    production_area_lon__isnull=False,
                    production_area_lat__isnull=False,
                    production_area_lon__gte=-180,
                    production_area_lon__lte=180,
                    production_area_lat__gte=-90,
                    production_area_lat__lte=90,
                ),
            )
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def zone(self) -> zoneinfo.ZoneInfo:
        """The operation's time zone."""
        return zoneinfo.ZoneInfo(self.time_zone)

    def stack_on(self, on: dt.date) -> tuple[str, ...]:
        """The jurisdictions whose rules hold for the operation on the day, federal first."""
        row = self.jurisdictions.the_one_in_force(on)
        return tuple(row.stack) if row else ()

    def permit_on(self, on: dt.date) -> Permit | None:
        """The permit facts in force on the day."""
        return self.permits.the_one_in_force(on)


class Jurisdiction(Dated):
    """The stack of jurisdictions of the operation from a day on, e.g. federal and Vermont."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="jurisdictions")
    stack = models.JSONField(_("jurisdictions"), default=list, validators=[check_stack])

    class History:
        name = "jurisdiction"
        operation = "operation"
        day = None

    class Meta(Dated.Meta):
        constraints = [days_in_order("jurisdiction_days_in_order")]


class Permit(Dated):
    """Dated permit facts. A medium or small operation's class is a legal fact, never computed."""

    SIZE_CLASSES = [
        ("large", _("large")),
        ("medium", _("medium")),
        ("small", _("small")),
        ("none", _("not regulated by size")),
    ]
    APPROACHES = [
        ("linear", _("linear")),
        ("narrative", _("narrative rate")),
        ("none", _("no federal approach")),
    ]
    PERIODS = [
        ("calendar", _("calendar year")),
        ("months", _("twelve months from a stated month")),
    ]

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="permits")
    number = models.CharField(_("permit number"), max_length=60, blank=True)
    size_class = models.CharField(_("class"), max_length=10, choices=SIZE_CLASSES)
    class_basis = models.CharField(_("basis of the class"), max_length=120, blank=True)
    is_permitted = models.BooleanField(_("has a discharge permit"), default=False)
    subpart = models.CharField(_("subpart of 40 CFR 412"), max_length=2, blank=True)
    programme = models.CharField(_("programme of the state"), max_length=20, blank=True)
    animal_units = models.DecimalField(
        _("animal units by the state's own table"),
        max_digits=9,
        decimal_places=1,
        null=True,
        blank=True,
    )
    is_confinement = models.BooleanField(_("confinement feeding"), null=True, blank=True)
    approach = models.CharField(_("rate approach"), max_length=10, choices=APPROACHES)
    period_kind = models.CharField(_("reporting period"), max_length=10, choices=PERIODS)
    period_start_month = models.PositiveSmallIntegerField(_("first month of the period"), default=1)
    due_month = models.PositiveSmallIntegerField(_("report due, month"), null=True, blank=True)
    due_day = models.PositiveSmallIntegerField(_("report due, day"), null=True, blank=True)
    certification_text = models.TextField(_("certification wording of the permit"), blank=True)
    certification_citation = models.CharField(_("where it stands"), max_length=200, blank=True)
    certification_dated = models.DateField(_("dated"), null=True, blank=True)
    document = models.CharField(_("document"), max_length=200, blank=True)
    # Seldom needed facts of the operation under the names the rules use, e.g. plan_duty.
    further = models.JSONField(_("further facts"), default=dict, blank=True)

    class History:
        name = "permit"
        operation = "operation"
        day = None

    class Meta(Dated.Meta):
        constraints = [
            days_in_order("permit_days_in_order"),
            models.CheckConstraint(
                name="permit_months_exist",
                condition=Q(period_start_month__gte=1, period_start_month__lte=12)
                & (Q(due_month__isnull=True) | Q(due_month__gte=1, due_month__lte=12))
                & (Q(due_day__isnull=True) | Q(due_day__gte=1, due_day__lte=31)),
            ),
            models.CheckConstraint(
                name="permit_animal_units", condition=at_least_zero("animal_units")
            ),
        ]

    def __str__(self) -> str:
        return self.number or str(_("permit facts"))

    def period_containing(self, on: dt.date) -> tuple[dt.date, dt.date]:
        """First and last day of the reporting period that holds the day."""
        month = self.period_start_month if self.period_kind == "months" else 1
        year = on.year if on.month >= month else on.year - 1
        first = dt.date(year, month, 1)
        after = dt.date(year + 1, month, 1)
        return first, after - dt.timedelta(days=1)


class ClosedPeriod(Recorded):
    """A filed period: what comes late for it waits for the signatory's decision."""

    operation = models.ForeignKey(
        Operation, on_delete=models.PROTECT, related_name="closed_periods"
    )
    from_on = models.DateField(_("first day"))
    to_on = models.DateField(_("last day"))
    filing = models.UUIDField(_("filing"), null=True, blank=True)
    reopened_at = models.DateTimeField(_("reopened"), null=True, blank=True)
    reopen_reason = models.CharField(_("reason"), max_length=250, blank=True)

    class History:
        name = "closed_period"
        operation = "operation"
        day = None
        create_act = "lock"

    class Meta(Recorded.Meta):
        constraints = [
            models.CheckConstraint(
                name="closed_period_days_in_order", condition=Q(to_on__gte=models.F("from_on"))
            )
        ]


class LateRecord(Recorded):
    """A record that came late for a filed period: kept void until the signatory decides."""

    STATES = [
        ("waiting", _("waiting")),
        ("accepted", _("counts")),
        ("refused", _("does not count")),
    ]
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="late_records")
    kind = models.CharField(_("kind of record"), max_length=40)
    record = models.UUIDField(_("record"))
    day = models.DateField(_("day"))
    period = models.ForeignKey(ClosedPeriod, on_delete=models.PROTECT, related_name="late_records")
    state = models.CharField(_("state"), max_length=8, choices=STATES, default="waiting")

    class History:
        name = "late_record"
        operation = "operation"
        day = "day"
        waits = False

    class Meta(Recorded.Meta):
        constraints = [
            models.UniqueConstraint(
                name="late_record_waits_once",
                fields=["operation", "kind", "record"],
                condition=Q(voided=False, state="waiting"),
            )
        ]

    @property
    def row(self) -> Recorded:
        """The record that waits."""
        return declaration(self.kind).model.objects.get(pk=self.record)

    @property
    def kind_words(self) -> str:
        """What kind of record it is."""
        return str(declaration(self.kind).model._meta.verbose_name)


class Membership(Dated):
    """A person's role in an operation, from a day on."""

    ROLES = [
        ("crew", _("crew")),
        ("hauler", _("contract hauler")),
        ("office", _("office")),
        ("owner", _("owner")),
        ("planner", _("planner")),
        ("inspector", _("inspector")),
    ]

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="memberships")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="memberships")
    role = models.CharField(_("role"), max_length=10, choices=ROLES)
    capacity = models.CharField(
        _("capacity to sign"), max_length=120, blank=True, help_text=_("e.g. proprietor")
    )
    certificate_number = models.CharField(_("certificate number"), max_length=60, blank=True)

    class History:
        name = "membership"
        operation = "operation"
        day = None
        create_act = "grant"

    class Meta(Dated.Meta):
        constraints = [
            days_in_order("membership_days_in_order"),
            models.UniqueConstraint(
                name="membership_once",
                fields=["operation", "person", "role", "from_on"],
                condition=Q(voided=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person} ({self.get_role_display()})"


class Grant(Recorded):
    """What a planner or inspector may read: one operation, one period, until it ends."""

    membership = models.ForeignKey(Membership, on_delete=models.PROTECT, related_name="grants")
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="grants")
    period_from_on = models.DateField(_("records from"))
    period_to_on = models.DateField(_("records up to"))
    ends_on = models.DateField(_("last day of access"), null=True, blank=True)

    class History:
        name = "grant"
        operation = "operation"
        day = None
        create_act = "grant"

    class Meta(Recorded.Meta):
        constraints = [
            models.CheckConstraint(
                name="grant_days_in_order",
                condition=Q(period_to_on__gte=models.F("period_from_on")),
            )
        ]

    def clean(self) -> None:
        super().clean()
        if self.membership.operation_id != self.operation_id:
            raise ValidationError(_("The grant and the membership name different operations."))


class Device(Recorded):
    """A phone or office computer that sends records; known to the server by a hashed token."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="devices")
    person = models.ForeignKey(
        Person, on_delete=models.PROTECT, related_name="devices", null=True, blank=True
    )
    label = models.CharField(_("name of the device"), max_length=60)
    token_hash = models.CharField(max_length=64, unique=True)
    revoked_at = models.DateTimeField(_("revoked"), null=True, blank=True)

    class History:
        name = "device"
        operation = "operation"
        day = None
        create_act = "grant"

    class Meta(Recorded.Meta):
        constraints = [
            models.UniqueConstraint(name="device_label_once", fields=["operation", "label"])
        ]
