"""Keep the weather service's forecast as it is seen now; the forecasts kept before."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from farmrecords.book.forms import offer, plain_helper, sent
from farmrecords.farm.models import Field
from farmrecords.measurements.forecasts import last_seen
from farmrecords.measurements.weather_client import (
    WeatherServiceError,
    see_forecast,
    service,
)
from farmrecords.people.access import Seat, records, seated
from farmrecords.people.plain_errors import PlainForm

SHOWN = 20


class KeepForm(PlainForm):
    """For which place the forecast is asked."""

    field = forms.ModelChoiceField(
        label=gettext_lazy("Place"),
        queryset=Field.objects.none(),
        required=False,
        empty_label=gettext_lazy("the middle of the farm's land"),
    )

    def __init__(self, *args: Any, seat: Seat, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer(self, "field", records(seat, Field).filter(voided=False))
        self.helper = plain_helper()


@require_http_methods(["GET", "HEAD", "POST"])
@seated("enter_load")
def forecast(request: HttpRequest, seat: Seat) -> HttpResponse:
    """What was seen, and the button that keeps what is seen now."""
    is_on, trouble = _is_on()
    form = KeepForm(sent(request), seat=seat)
    if request.method == "POST" and form.is_valid():
        try:
            kept = see_forecast(seat, field=form.cleaned_data["field"])
        except WeatherServiceError as error:
            trouble = str(error)
        else:
            messages.success(request, _("The forecast is kept as seen now: %(issuer)s.")
                             % {"issuer": kept.issuer})  # fmt: skip
            return redirect("forecast", op=seat.operation.slug)
    context = {
        "form": form,
        "is_on": is_on,
        "trouble": trouble,
        "forecasts": last_seen(seat, SHOWN),
        "may_import": seat.may("import"),
    }
    status = 422 if form.is_bound and (trouble or form.errors) else 200
    return render(request, "book/forecast.html", context, status=status)


def _is_on() -> tuple[bool, str]:
    """Whether a weather service is set up, and what is wrong with how it is."""
    try:
        return service() is not None, ""
    except WeatherServiceError as error:
        return False, str(error)
