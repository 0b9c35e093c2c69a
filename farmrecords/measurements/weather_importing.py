"""Weather as it comes in: days of a station, observations, and forecasts as they were seen."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmrecords.formats.common import Rejected
from farmrecords.formats.weather_service import read_forecast
from farmrecords.history import clock, files, write
from farmrecords.intake.as_imported import untouched
from farmrecords.intake.kinds import Summary, Written, register_kind
from farmrecords.intake.models import IncomingFile
from farmrecords.measurements.models import Forecast, WeatherDay, WeatherReading
from farmrecords.measurements.weather_keeping import (
    day_of,
    day_values,
    forecast_of,
    middle_of,
    reading_of,
    source_of,
)
from farmrecords.people.access import Seat
from farmrecords.people.filed import waiting

COLUMNS = ("rain_in", "high_f", "low_f", "snow_depth_in")


def summarise_days(seat: Seat, items: list[dict[str, Any]], answers: dict[str, str]) -> Summary:
    """Which days are new, which differ from what is here, and which stay or wait already."""
    summary = Summary(figures=[(_("days read"), len(items))])
    here = _days_here(seat, items)
    waits = set(_waiting(seat, WeatherDay).values_list("day", "source"))
    same_as_file = untouched(seat.operation, here.values())
    new, changed = [], []
    stays = by_hand = held = 0
    for item in items:
        if dt.date.fromisoformat(item["on"]) > seat.today:
            summary.rejected.append(_not_yet(item["row_number"], item["on"], seat))
            continue
        which = (dt.date.fromisoformat(item["on"]), source_of(item))
        known = here.get(which)
        if known is None and which in waits:
            held += 1
            continue
        if known is None:
            new.append(day_of(seat.operation, item))
        elif all(getattr(known, name) == value for name, value in day_values(item).items()):
            stays += 1
            continue
        elif known.pk not in same_as_file:
            by_hand += 1
            continue
        else:
            changed.append((known, day_values(item)))
        summary.lines.append((item["row_number"], _words(item)))
    summary.new = len(new) + len(changed)
    summary.payload = (new, changed)
    summary.figures += [
        (_("new days"), len(new)),
        (_("days with corrected figures"), len(changed)),
        (_("days already here"), stays),
        (_("days entered or changed by hand, left as they are"), by_hand),
        (_("days that wait for the owner's decision, left as they are"), held),
    ]
    return summary


def _not_yet(row: int, when: str, seat: Seat) -> Rejected:
    return Rejected(
        row, "day", when,
        _("This lies in the future; today is %(today)s.") % {"today": seat.today},
        _("Check the year and the order of day and month. What is expected is a forecast."),
    )  # fmt: skip


def _days_here(seat: Seat, items: list[dict[str, Any]]) -> dict[tuple[dt.date, str], WeatherDay]:
    days = [dt.date.fromisoformat(item["on"]) for item in items]
    if not days:
        return {}
    rows = WeatherDay.objects.filter(
        operation=seat.operation, voided=False, day__gte=min(days), day__lte=max(days)
    )
    return {(row.day, row.source): row for row in rows}


def _waiting(seat: Seat, model: type[WeatherDay] | type[WeatherReading]) -> Any:
    """The rows of filed periods that came before and are not decided on."""
    late = waiting(seat).filter(kind=model.History.name).order_by()
    rows = model.objects.filter(operation=seat.operation, pk__in=late.values("record"))
    return rows.order_by()


def _words(item: dict[str, Any]) -> str:
    rain = day_values(item)["rain_in"]
    told = _("rain not known") if rain is None else _("rain %(rain)s in") % {"rain": rain}
    return f"{item['on']}  {source_of(item)}: {told}"


def take_over_days(
    _seat: Seat, change: write.Change, _incoming: IncomingFile, summary: Summary
) -> Written:
    """Record the new days and correct those a file brought before."""
    new, changed = summary.payload
    change.create_many([(row, {}) for row in new])
    done = Written(created=new)
    for row, values in changed:
        before = {name: _plain(getattr(row, name)) for name in COLUMNS}
        change.amend(row, base_rev=row.rev, values=values, reason_code="imported")
        done.amended.append((row, before))
    return done


def _plain(value: Any) -> str | None:
    return None if value is None else str(value)


def summarise_service(seat: Seat, items: list[dict[str, Any]], answers: dict[str, str]) -> Summary:
    """Which observations and forecasts of the public service are new."""
    summary = Summary()
    seen_at = clock.now()
    readings = [item for item in items if item["kind"] == "observation"]
    here = _readings_here(seat, readings)
    middle = middle_of(seat.operation) if readings else None
    new: list[Any] = []
    for item in _once_each(readings, summary):
        at = dt.datetime.fromisoformat(item["at"])
        if at > seen_at:
            summary.rejected.append(_not_yet(item["row_number"], f"{at:%Y-%m-%d %H:%M} UTC", seat))
        elif (at, item["station"]) not in here and item["values"]:
            row = reading_of(
                seat.operation, item["station"], at, item["values"],
                place=item["place"], middle=middle,
            )  # fmt: skip
            new.append(row)
            summary.lines.append((item["row_number"], f"{item['station']}  {at:%Y-%m-%d %H:%M}"))
    texts = [item["text"] for item in items if item["kind"] == "forecast"]
    for text in texts:
        _take_forecast(seat, text, seen_at, new, summary)
    summary.new = len(new)
    summary.payload = (new, texts)
    summary.figures = [
        (_("observations read"), len(readings)),
        (_("forecasts read"), len(texts)),
        (_("to be recorded"), len(new)),
    ]
    return summary


def _once_each(items: list[dict[str, Any]], summary: Summary) -> list[dict[str, Any]]:
    """One observation of a station and moment, the one with most values; the others are told."""
    best: dict[tuple[str, str], dict[str, Any]] = {}
    for item in items:
        key = (item["at"], item["station"])
        if key not in best or len(item["values"]) > len(best[key]["values"]):
            best[key] = item
    if twice := len(items) - len(best):
        summary.warnings.append(
            _("%(n)d observations stand in the file more than once; each counts once.")
            % {"n": twice}
        )
    return list(best.values())


def _take_forecast(
    seat: Seat, text: str, seen_at: dt.datetime, new: list[Any], summary: Summary
) -> None:
    forecast = read_forecast(text.encode()).items[0]
    row = forecast_of(seat.operation, forecast, seen_at, "")
    if row.issued_at > seen_at:
        summary.rejected.append(_not_yet(1, f"{row.issued_at:%Y-%m-%d %H:%M} UTC", seat))
        return
    known = Forecast.objects.filter(
        operation=seat.operation, issuer=row.issuer, issued_at=row.issued_at, voided=False
    )
    if known.exists():
        return
    new.append(row)
    rain = _("not known") if row.rain_in is None else f"{row.rain_in} in"
    summary.lines.append(
        (1, _("forecast of %(at)s UTC, next 24 hours: %(rain)s")
         % {"at": f"{row.issued_at:%Y-%m-%d %H:%M}", "rain": rain})
    )  # fmt: skip
    summary.warnings.append(
        _("A forecast counts as seen when it came in here, not when it was issued.")
    )


def _readings_here(seat: Seat, items: list[dict[str, Any]]) -> set[tuple[dt.datetime, str]]:
    moments = [dt.datetime.fromisoformat(item["at"]) for item in items]
    if not moments:
        return set()
    rows = WeatherReading.objects.filter(
        operation=seat.operation,
        voided=False,
        observed_at__gte=min(moments),
        observed_at__lte=max(moments),
    )
    late = _waiting(seat, WeatherReading)
    return {
        row for held in (rows.order_by(), late) for row in held.values_list("observed_at", "source")
    }


def take_over_service(
    _seat: Seat, change: write.Change, _incoming: IncomingFile, summary: Summary
) -> Written:
    """Record observations, and forecasts with the whole answer beside them."""
    new, texts = summary.payload
    kept = [
        files.keep(
            text.encode(), media_type="application/geo+json", original_name="forecast.json"
        ).sha256
        for text in texts
    ]
    for row in new:
        if isinstance(row, Forecast) and kept:
            row.kept_file = kept[0]
    for model in (WeatherReading, Forecast):
        change.create_many([(row, {}) for row in new if isinstance(row, model)])
    return Written(created=new)


for name, title, endings, words in (
    (
        "ghcn",
        gettext_lazy("daily weather of a public station (GHCN-Daily)"),
        (".dly", ".csv", ".txt"),
        gettext_lazy("A station's days as .dly or CSV. Values that failed a check are missing."),
    ),
    (
        "gauge",
        gettext_lazy("daily weather of the own gauge or station"),
        (".csv", ".txt", ".tsv"),
        gettext_lazy("Date and rain (in), with high and low (F) and snow where measured."),
    ),
):
    register_kind(name, title, name, summarise_days, take_over_days, endings=endings, help=words)
register_kind(
    "weather_service",
    gettext_lazy("answer of the public weather service"),
    "weather_service",
    summarise_service,
    take_over_service,
    endings=(".json", ".geojson"),
    help=gettext_lazy(
        "Observations or a grid forecast as saved from the service. A forecast is kept as seen."
    ),
)
