"""Conditions of the operation's own permit, and the papers that open or close something."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from farmrecords.farm.kinds import FEATURE_KINDS
from farmrecords.farm.models import Feature, Field
from farmrecords.people.dated import Dated, days_in_order
from farmrecords.people.models import Operation
from farmrecords.rules.errors import RuleFileError
from farmrecords.rules.model import Rule, Section
from farmrecords.rules.papers import PAPERS
from farmrecords.rules.permits import PermitCondition as Condition
from farmrecords.rules.permits import PermitConditionError, rules_of

MONTH_DAY = re.compile(r"(\d\d)-(\d\d)")
LEAP_YEAR = 2024
# Kinds that become rules of the permit's own layer; the others are papers the rules look for.
OWN_RULES = {
    "distance": "setback",
    "cap": "rate_cap",
    "season": "closed_season",
    "winter_barred": "winter_barred",
}
CAP_UNITS = [("gal/ac", _("gal per acre")), ("ton/ac", _("tons per acre"))]
# Papers that hold only once the agency was told, or the paper was recorded.
TOLD_FIRST = ("emergency_notice",)
RECORDED_FIRST = ("recorded_waiver",)


def check_month_day(text: str) -> None:
    """Refuse what is no day of the year written as month and day; 02-29 counts as one."""
    found = MONTH_DAY.fullmatch(text)
    try:
        if found is None:
            raise ValueError
        dt.date(LEAP_YEAR, int(found[1]), int(found[2]))
    except ValueError as error:
        raise ValidationError(
            _("“%(text)s” is no day of the year. Write month and day, e.g. 12-15.") % {"text": text}
        ) from error


def check_feature_kinds(names: Any) -> None:
    """Refuse kinds of features that the farm's list does not have."""
    known = dict(FEATURE_KINDS)
    if not isinstance(names, list) or any(name not in known for name in names):
        raise ValidationError(_("Choose kinds of features from the list."))


class PermitCondition(Dated):
    """A condition, waiver, variance or approval that joins the rules of the operation."""

    KINDS = [
        ("distance", _("distance to keep")),
        ("cap", _("largest amount")),
        ("season", _("closed season")),
        ("winter_barred", _("no spreading on frozen ground")),
        ("winter_field", _("field named for winter")),
        ("waiver", _("waiver")),
        ("variance", _("variance")),
        ("approval", _("approval or other paper")),
        ("emergency", _("emergency approval")),
    ]
    operation = models.ForeignKey(
        Operation, on_delete=models.PROTECT, related_name="permit_conditions"
    )
    field = models.ForeignKey(
        Field, on_delete=models.PROTECT, related_name="permit_conditions", null=True, blank=True
    )
    feature = models.ForeignKey(
        Feature, on_delete=models.PROTECT, related_name="permit_conditions", null=True, blank=True
    )
    kind = models.CharField(_("kind"), max_length=15, choices=KINDS)
    paper = models.CharField(_("as the rules name it"), max_length=40, blank=True)
    text = models.CharField(_("what it says"), max_length=250)
    value = models.DecimalField(_("number"), max_digits=9, decimal_places=2, null=True, blank=True)
    unit = models.CharField(_("unit"), max_length=12, blank=True)
    feature_kinds = models.JSONField(
        _("kept from"), default=list, blank=True, validators=[check_feature_kinds]
    )
    season_first = models.CharField(
        _("season, first day"), max_length=5, blank=True, validators=[check_month_day]
    )
    season_last = models.CharField(
        _("season, last day"), max_length=5, blank=True, validators=[check_month_day]
    )
    document = models.CharField(_("document"), max_length=200)
    document_dated = models.DateField(_("document dated"), null=True, blank=True)
    citation = models.CharField(_("paragraph"), max_length=80, blank=True)
    noticed_at = models.DateTimeField(_("agency told at"), null=True, blank=True)
    recorded_with = models.CharField(_("recorded with"), max_length=120, blank=True)
    recorded_on = models.DateField(_("recorded on"), null=True, blank=True)

    class History:
        name = "permit_condition"
        operation = "operation"
        day = None

    class Meta(Dated.Meta):
        constraints = [
            days_in_order("permit_condition_days_in_order"),
            models.CheckConstraint(
                name="permit_condition_number",
                condition=~Q(kind__in=["distance", "cap"]) | Q(value__isnull=False, value__gte=0),
            ),
            models.CheckConstraint(
                name="permit_condition_unit",
                condition=(~Q(kind="distance") | Q(unit="ft"))
                & (~Q(kind="cap") | Q(unit__in=["gal/ac", "ton/ac"])),
            ),
            models.CheckConstraint(
                name="permit_condition_season",
                condition=~Q(kind="season") | ~(Q(season_first="") | Q(season_last="")),
            ),
        ]

    def __str__(self) -> str:
        return self.text

    @property
    def is_own_rule(self) -> bool:
        """Whether it is judged as a rule of the permit; otherwise it is a paper others look for."""
        return self.kind in OWN_RULES

    @property
    def layer(self) -> str:
        """The name under which it joins the stack of jurisdictions."""
        return f"permit-{self.pk.hex[:12]}"

    def rules(self) -> tuple[Section, list[Rule]]:
        """The permit's own rule as the rules read it; for the kinds of `OWN_RULES` only."""
        held = Condition(
            kind=OWN_RULES[self.kind],
            title=_one_line(self.text),
            citation=_one_line(self.citation or self.document),
            from_on=self.from_on,
            until_on=self.to_on,
            number=self.value,
            unit=self.unit,
            first=self.season_first,
            last=self.season_last,
            features=tuple(self.feature_kinds),
        )
        return rules_of([held], self.layer, _one_line(self.document))

    def holds_at(self, moment: dt.datetime) -> bool:
        """Whether a paper in force on the day holds at the moment: told first, recorded first."""
        if self.noticed_at is None:
            told = self.paper not in TOLD_FIRST
        else:
            told = self.noticed_at <= moment
        on = moment.astimezone(self.operation.zone).date()
        if self.paper in RECORDED_FIRST or self.recorded_on is not None:
            return told and self.recorded_on is not None and self.recorded_on <= on
        return told

    def clean(self) -> None:
        super().clean()
        problems: dict[str, Any] = {}
        for name, words in (*self._needs(), *self._names()):
            problems.setdefault(name, words)
        if problems:
            raise ValidationError(problems)
        if self.is_own_rule and self.from_on:
            try:
                self.rules()
            except (RuleFileError, PermitConditionError) as error:
                raise ValidationError(
                    _("The rules cannot read this condition: %(why)s") % {"why": error}
                ) from error

    def _needs(self) -> list[tuple[str, Any]]:
        """What the kind needs and lacks."""
        lacks: list[tuple[str, Any]] = []
        if self.kind == "distance" and not self.feature_kinds:
            lacks.append(("feature_kinds", _("Choose what the distance is kept from.")))
        if self.kind in ("distance", "cap") and (self.value is None or self.value < 0):
            lacks.append(("value", _("Enter the number that the document names.")))
        if self.kind == "cap" and self.unit not in dict(CAP_UNITS):
            lacks.append(("unit", _("A largest amount counts in gal/ac or ton/ac.")))
        if self.kind == "season":
            for name in ("season_first", "season_last"):
                if not getattr(self, name):
                    lacks.append((name, _("Enter the day as month and day, e.g. 12-15.")))
        if self.kind == "winter_field" and self.field_id is None:
            lacks.append(("field", _("Choose the field that is named for winter.")))
        return lacks + self._paper_needs()

    def _paper_needs(self) -> list[tuple[str, Any]]:
        lacks: list[tuple[str, Any]] = []
        if self.paper in TOLD_FIRST and self.noticed_at is None:
            lacks.append(
                ("noticed_at", _("This paper holds only after the agency was told: enter when."))
            )
        if self.paper in RECORDED_FIRST and not (self.recorded_with and self.recorded_on):
            lacks.append(
                ("recorded_on", _("This waiver holds only once recorded: enter where and when."))
            )
        return lacks

    def _names(self) -> list[tuple[str, Any]]:
        """Names that must be known, and links that must stay within the operation."""
        wrong: list[tuple[str, Any]] = []
        if self.paper and self.paper not in PAPERS:
            wrong.append(("paper", _("No rule looks for a paper of this name.")))
        for name in ("field", "feature"):
            linked = getattr(self, name)
            if linked is not None and linked.operation_id != self.operation_id:
                wrong.append((name, _("It belongs to another operation.")))
        return wrong


def _one_line(text: str) -> str:
    """The text without line ends and other signs that a rule file may not hold."""
    return "".join(sign for sign in " ".join(text.split()) if sign.isprintable())
