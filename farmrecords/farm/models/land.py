"""The land: fields with dated versions, features to keep away from, practices, field stacks."""

from __future__ import annotations

import datetime as dt

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Length
from django.utils.translation import gettext_lazy as _

from farmrecords.farm.further import check_feature_facts, check_field_facts
from farmrecords.farm.geometry import check_any_geometry, check_areas
from farmrecords.farm.kinds import (
    CONTROLS,
    DRAINAGE_CLASSES,
    FEATURE_KINDS,
    HYDROLOGIC_GROUPS,
    LINE_SOURCES,
    PRACTICE_KINDS,
    TILE,
    YES_NO_UNKNOWN,
)
from farmrecords.history.constraints import both_or_neither
from farmrecords.history.recorded import Recorded
from farmrecords.people.dated import Dated, days_in_order
from farmrecords.people.jurisdictions import check_stack
from farmrecords.people.models import Operation


class Field(Recorded):
    """Land farmed and recorded as one. Boundary and facts are dated; its past keeps its past."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="fields")
    number = models.CharField(_("number"), max_length=12)
    name = models.CharField(_("name"), max_length=80)
    aliases = models.JSONField(_("other names"), default=list, blank=True)
    began_on = models.DateField(_("farmed from"))
    ended_on = models.DateField(_("last day farmed"), null=True, blank=True)
    ended_how = models.CharField(
        _("how it ended"),
        max_length=12,
        blank=True,
        choices=[
            ("split", _("split")),
            ("merged", _("merged")),
            ("rented_out", _("rented out")),
            ("given_up", _("given up")),
        ],
    )

    class History:
        name = "field"
        operation = "operation"
        day = None

    class Meta(Recorded.Meta):
        ordering = [Length("number"), "number"]  # 2 before 10, 12A after 12
        verbose_name = _("field")
        constraints = [
            models.UniqueConstraint(
                name="field_number_once",
                fields=["operation", "number", "began_on"],
                condition=Q(voided=False),
            ),
            models.CheckConstraint(
                name="field_days_in_order",
                condition=Q(ended_on__isnull=True) | Q(ended_on__gte=F("began_on")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.name}"

    def version_on(self, on: dt.date) -> FieldVersion | None:
        """Boundary and facts in force on the day."""
        return self.versions.the_one_in_force(on)

    def stack_on(self, on: dt.date) -> tuple[str, ...]:
        """The field's own jurisdictions on the day; the operation's where it states none."""
        version = self.version_on(on)
        if version and version.stack:
            return tuple(version.stack)
        return self.operation.stack_on(on)


class FieldVersion(Dated):
    """Boundary and facts of a field from a day on."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="+")
    field = models.ForeignKey(Field, on_delete=models.PROTECT, related_name="versions")
    boundary = models.JSONField(_("boundary"), null=True, blank=True, validators=[check_areas])
    line_source = models.CharField(
        _("how the line was got"), max_length=10, choices=LINE_SOURCES, default="imported"
    )
    uncertainty_ft = models.DecimalField(
        _("uncertainty of the line, ft"), max_digits=6, decimal_places=1, default=0
    )
    stated_ac = models.DecimalField(
        _("acres as stated in the plan"), max_digits=9, decimal_places=2, null=True, blank=True
    )
    stack = models.JSONField(
        _("own jurisdictions"), default=list, blank=True, validators=[check_stack]
    )
    control = models.CharField(_("control"), max_length=10, choices=CONTROLS, default="owned")
    slope_pct = models.DecimalField(
        _("slope, %"), max_digits=5, decimal_places=1, null=True, blank=True
    )
    drainage_class = models.CharField(
        _("drainage class"), max_length=30, blank=True, choices=DRAINAGE_CLASSES
    )
    hydrologic_group = models.CharField(
        _("hydrologic group"), max_length=3, blank=True, choices=HYDROLOGIC_GROUPS
    )
    tile = models.CharField(_("tile"), max_length=10, choices=TILE, default="unknown")
    soil = models.CharField(_("predominant soil"), max_length=80, blank=True)
    further = models.JSONField(
        _("further facts"), default=dict, blank=True, validators=[check_field_facts]
    )

    class History:
        name = "field_version"
        operation = "operation"
        day = None

    class Meta(Dated.Meta):
        constraints = [
            days_in_order("field_version_days_in_order"),
            models.CheckConstraint(
                name="field_version_amounts",
                condition=Q(uncertainty_ft__gte=0)
                & (Q(stated_ac__isnull=True) | Q(stated_ac__gt=0))
                & (Q(slope_pct__isnull=True) | Q(slope_pct__gte=0, slope_pct__lte=200)),
            ),
            models.UniqueConstraint(
                name="field_version_one_a_day",
                fields=["field", "from_on"],
                condition=Q(voided=False),
            ),
        ]


class FieldOrigin(Recorded):
    """Where a field came from after a split or merge: a parent and the share of its acres."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="+")
    field = models.ForeignKey(Field, on_delete=models.PROTECT, related_name="origins")
    parent = models.ForeignKey(Field, on_delete=models.PROTECT, related_name="descendants")
    share = models.DecimalField(_("share of the parent's acres"), max_digits=6, decimal_places=5)

    class History:
        name = "field_origin"
        operation = "operation"
        day = None

    class Meta(Recorded.Meta):
        constraints = [
            models.CheckConstraint(
                name="field_origin_share", condition=Q(share__gt=0, share__lte=1)
            ),
            models.CheckConstraint(
                name="field_origin_other_field", condition=~Q(field=F("parent"))
            ),
        ]


class Feature(Dated):
    """Something on the land that rules keep a distance from.

    A row that `follows` another is the same thing at another place from its first day on; practices
    and papers of the one hold for the other.
    """

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="features")
    kind = models.CharField(_("kind"), max_length=30, choices=FEATURE_KINDS)
    name = models.CharField(_("name"), max_length=80, blank=True)
    geometry = models.JSONField(_("place"), validators=[check_any_geometry])
    down_gradient = models.CharField(
        _("down-gradient of the spread ground"),
        max_length=8,
        choices=YES_NO_UNKNOWN,
        default="unknown",
    )
    flows_toward = models.CharField(_("flow toward"), max_length=80, blank=True)
    line_source = models.CharField(_("how the line was got"), max_length=10, choices=LINE_SOURCES)
    uncertainty_ft = models.DecimalField(
        _("uncertainty of the line, ft"), max_digits=6, decimal_places=1, default=0
    )
    built_on = models.DateField(_("built or drilled"), null=True, blank=True)
    follows = models.ForeignKey(
        "self", on_delete=models.PROTECT, related_name="followed_by", null=True, blank=True
    )
    further = models.JSONField(
        _("further facts"), default=dict, blank=True, validators=[check_feature_facts]
    )

    class History:
        name = "feature"
        operation = "operation"
        day = None

    class Meta(Dated.Meta):
        constraints = [
            days_in_order("feature_days_in_order"),
            models.CheckConstraint(name="feature_uncertainty", condition=Q(uncertainty_ft__gte=0)),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.name}".strip()


class Practice(Dated):
    """A practice that a rule may count: a vegetated buffer or an approved alternative."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="practices")
    field = models.ForeignKey(Field, on_delete=models.PROTECT, related_name="practices")
    feature = models.ForeignKey(
        Feature, on_delete=models.PROTECT, related_name="practices", null=True, blank=True
    )
    kind = models.CharField(_("kind"), max_length=30, choices=PRACTICE_KINDS)
    width_ft = models.DecimalField(
        _("width, ft"), max_digits=7, decimal_places=1, null=True, blank=True
    )
    geometry = models.JSONField(_("place"), null=True, blank=True, validators=[check_any_geometry])
    document = models.CharField(_("document"), max_length=200, blank=True)
    paper = models.CharField(_("as the rules name it"), max_length=40, blank=True)
    approved_by = models.CharField(_("approved by"), max_length=120, blank=True)
    scope = models.CharField(_("what it covers"), max_length=250, blank=True)

    class History:
        name = "practice"
        operation = "operation"
        day = None

    class Meta(Dated.Meta):
        constraints = [
            days_in_order("practice_days_in_order"),
            models.CheckConstraint(
                name="practice_width", condition=Q(width_ft__isnull=True) | Q(width_ft__gt=0)
            ),
        ]


class FieldStack(Dated):
    """A temporary field stack of solid manure."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="stacks")
    field = models.ForeignKey(Field, on_delete=models.PROTECT, related_name="stacks")
    geometry = models.JSONField(_("place"), validators=[check_any_geometry])
    amount_text = models.CharField(_("amount"), max_length=20, blank=True)
    amount_unit = models.CharField(_("unit"), max_length=8, blank=True)
    covered = models.BooleanField(_("covered"), default=False)

    class History:
        name = "field_stack"
        operation = "operation"
        day = None

    class Meta(Dated.Meta):
        constraints = [
            days_in_order("field_stack_days_in_order"),
            models.CheckConstraint(
                name="field_stack_amount_has_unit",
                condition=both_or_neither("amount_text", "amount_unit"),
            ),
        ]
