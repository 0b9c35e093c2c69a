"""Kinds of record of who enters and reads: memberships, and grants to planners and inspectors."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from farmrecords.book.record_form import RecordForm
from farmrecords.book.record_kind import Kind
from farmrecords.people.access import BY_PERIOD, Seat
from farmrecords.people.models import Grant, Membership, Person

LANGUAGES = [("en", "English"), ("es", "Español")]
FOR_NEW = ("display_name", "language", "password")


def _not_own(seat: Seat, row: Any) -> str:
    """An owner's access is the owners' affair, and nobody takes the own one back."""
    if row.person_id == seat.person.pk:
        return gettext("Your own access is changed by another person of the farm.")
    if row.role == "owner" and seat.role != "owner":
        return gettext("The access of an owner is changed by an owner.")
    return ""


class MembershipForm(RecordForm):
    """A person by the name of sign-in; who is not known yet gets an account here."""

    made: Person | None = None

    def build(self) -> None:
        if not self.is_new:
            del self.fields["role"]
            return
        self.fields["sign_in"] = forms.CharField(label=_("Name for signing in"), max_length=150)
        self.fields["display_name"] = forms.CharField(
            label=_("Name of the person, if new here"), max_length=120, required=False
        )
        self.fields["language"] = forms.ChoiceField(label=_("Language"), choices=LANGUAGES)
        self.fields["password"] = forms.CharField(
            label=_("First password, if new here"), required=False, max_length=128,
            widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        )  # fmt: skip
        self.order_fields(["sign_in", *FOR_NEW])

    def values(self) -> dict[str, Any]:
        return {name: value for name, value in super().values().items() if name != "role"}

    def check(self, found: dict[str, Any]) -> None:
        if not self.is_new:
            return
        if found.get("role") == "owner" and self.seat.role != "owner":
            self.add_error("role", gettext("Owners are entered by an owner."))
        name = found.get("sign_in", "")
        known = Person.objects.filter(username=name).first()
        if known is not None:
            self.instance.person = known
        elif name:
            self._check_new(name, found)

    def _check_new(self, name: str, found: dict[str, Any]) -> None:
        if not found.get("display_name"):
            words = gettext(
                "“%(name)s” is not known yet. Enter the person's name and a first password."
            )
            self.add_error("display_name", words % {"name": name})
        person = Person(username=name, display_name=found.get("display_name", ""))
        person.language = found.get("language", "en")
        try:
            Person._meta.get_field("username").clean(name, person)
        except forms.ValidationError as problem:
            self.add_error("sign_in", problem)
        try:
            validate_password(found.get("password", ""), person)
        except forms.ValidationError as problem:
            self.add_error("password", problem)
        person.set_password(found.get("password", ""))
        self.made = person

    def before_writing(self) -> None:
        if self.made is not None:
            self.made.save()
            self.instance.person = self.made


MEMBERS = Kind(
    slug="people",
    model=Membership,
    group="people",
    many=_("People"),
    one=_("access of a person"),
    lede=_(
        "Who enters and reads here, in which role and from which day. A planner or inspector "
        "reads nothing until a period is granted."
    ),
    fields=("role", "from_on", "to_on", "capacity", "certificate_number"),
    columns=("person", "role", "from_on", "to_on", "certificate_number"),
    see="grant",
    write="grant",
    form=MembershipForm,
    labels={"person": _("person")},
    in_order=(("from_on", "to_on"),),
    own=("person",),
    order=("-from_on",),
    refusals={
        "membership_once": (
            "from_on",
            _("This person has the role from %(from_on)s already. Amend that line."),
        )
    },
    initial=lambda seat: {"from_on": seat.today},
    closed=_not_own,
)

GRANTS = Kind(
    slug="grants",
    model=Grant,
    group="people",
    many=_("Grants"),
    one=_("grant"),
    lede=_(
        "Which period a planner or inspector may read. The period covers its records and what "
        "they rest on. Make a grant void, or give it a last day, to end it at once."
    ),
    fields=("membership", "period_from_on", "period_to_on", "ends_on"),
    columns=("membership", "period_from_on", "period_to_on", "ends_on"),
    see="grant",
    write="grant",
    in_order=(("period_from_on", "period_to_on"),),
    offers={"membership": lambda rows: rows.filter(role__in=BY_PERIOD)},
    order=("-period_from_on",),
)

PEOPLE = (MEMBERS, GRANTS)
