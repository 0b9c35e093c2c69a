"""The form of the operation's choice of a system of available nitrogen."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from farmrecords.book.forms import day_input, plain_helper
from farmrecords.calculations.available_nitrogen import systems
from farmrecords.calculations.available_words import readings
from farmrecords.people.plain_errors import PlainErrors
from farmrecords.plan.models import NitrogenChoice
from farmrecords.plan.nitrogen import SYSTEMS

COLUMNS = ("system", "version", "reading", "from_on", "to_on", "document")


def _columns() -> list[tuple[str, Any]]:
    held = [systems()[name] for name, _words in SYSTEMS]
    rows = [(column, f"{column} ({one.id})") for one in held for column in readings(one)]
    return [("", _("the system leaves no choice")), *rows]


class NitrogenForm(PlainErrors, forms.ModelForm):
    """System, what it leaves open, and from when; the version is the one held."""

    system = forms.ChoiceField(label=_("System and version"), choices=[("", "—"), *SYSTEMS])
    reading = forms.ChoiceField(
        label=_("Column or end of the range"), choices=_columns(), required=False
    )

    class Meta:
        model = NitrogenChoice
        fields = ("system", "reading", "from_on", "to_on", "document")
        widgets = {name: day_input() for name in ("from_on", "to_on")}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = plain_helper()

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        if found.get("system") in systems():
            self.instance.version = systems()[found["system"]].version
        return found

    def stored(self, held: Any) -> dict[str, Any]:
        """A stored record in the entries of this form, to stand beside what was typed."""
        return forms.model_to_dict(held, COLUMNS)

    def values(self) -> dict[str, Any]:
        """The columns as entered."""
        return {name: getattr(self.instance, name) for name in COLUMNS}
