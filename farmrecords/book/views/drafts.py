"""“What would change”: an operation's year under draft rules, for planners and the office."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django import forms
from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmrecords.book.forms import offer_words, plain_helper
from farmrecords.book.granted import shown_year
from farmrecords.findings.drafts import changed_findings
from farmrecords.loads.models import Load
from farmrecords.loads.year import operation_years
from farmrecords.people.access import Seat, records, seated
from farmrecords.people.plain_errors import PlainForm
from farmrecords.rules.errors import RuleFileError
from farmrecords.rules.rulebook import read_rulebook


class DraftForm(PlainForm):
    """Which draft, and which crop year."""

    draft = forms.ChoiceField(label=gettext_lazy("Draft"))
    year = forms.TypedChoiceField(label=gettext_lazy("Crop year"), coerce=int)

    def __init__(self, *args: Any, drafts: list[str], years: list[int], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_words(self, "draft", [(name, name) for name in drafts])
        offer_words(self, "year", [(year, str(year)) for year in years])
        self.helper = plain_helper()


def draft_folders() -> dict[str, Path]:
    """The folders of draft rules that the server's setting offers, by name."""
    place = settings.FARMRECORDS_DRAFT_RULES
    if not place or not Path(place).is_dir():
        return {}
    return {one.name: one for one in sorted(Path(place).iterdir()) if one.is_dir()}


@seated("try_draft_rules")
def draft_rules(request: HttpRequest, seat: Seat) -> HttpResponse:
    """Choose a draft and a year; every finding that would change is listed."""
    folders = draft_folders()
    years = [year for year in operation_years(seat.operation) if _whole(seat, year)]
    asked = request.GET if "draft" in request.GET else None
    form = DraftForm(asked, drafts=list(folders), years=years)
    context: dict[str, Any] = {"form": form, "folders": folders, "years": years, "changed": None}
    if form.is_bound and form.is_valid():
        said = form.cleaned_data
        try:
            draft = read_rulebook(folders[said["draft"]])
        except (RuleFileError, OSError) as problem:
            form.add_error("draft", _("This draft cannot be read: %(why)s") % {"why": problem})
        else:
            loads = records(seat, Load)
            found = list(changed_findings(seat.operation, said["year"], draft, loads))
            context |= {"changed": found, "year": said["year"]}
    return render(request, "book/draft_rules.html", context)


def _whole(seat: Seat, year: int) -> bool:
    """Whether the seat sees the whole crop year; a part of one would change for other reasons."""
    shown = shown_year(seat, year)
    return shown is not None and shown.until is None
