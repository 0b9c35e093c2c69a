"""From a draft to the columns, parts and draws of a load, with what looks doubtful."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from farmrecords.calculations.units import Amount
from farmrecords.history import clock
from farmrecords.loads import shares
from farmrecords.loads.draft import DrawDraft, EntryProblem, LoadDraft, _Default
from farmrecords.loads.measuring import amount_on_board, measured
from farmrecords.loads.models import Load, LoadDraw, LoadPart
from farmrecords.loads.moments import Moment, moment_of
from farmrecords.loads.surroundings import Surroundings
from farmrecords.people.access import NARROWED, Seat

CURRENT_YEARS = 2  # a crop year further than this from the day is taken for a slip of the pen


@dataclass
class Built:
    """A load ready to be recorded or to replace what one says."""

    values: dict[str, Any]
    parts: list[LoadPart]
    draws: list[LoadDraw]
    warnings: list[str]

    @property
    def collections(self) -> dict[str, list[Any]]:
        """Parts and draws as the history takes them."""
        return {"parts": self.parts, "draws": self.draws}


@dataclass(frozen=True)
class Times:
    """Start, end and incorporation of a load as moments."""

    start: Moment
    end: Moment | None
    incorporated_at: dt.datetime | None


def build(seat: Seat, draft: LoadDraft, around: Surroundings, load: Load | None = None) -> Built:
    """The columns, parts and draws of a draft. Raises EntryProblem; a breach of law never does."""
    check_belongs(draft, around)
    times = times_of(draft, around.zone)
    day = times.start.local.date()
    taken = measured(draft, around, day)
    amount = taken.amount
    carried_in, carried_out = (
        amount_on_board(text, amount.kind, amount.unit, entry)
        for text, entry in (
            (draft.carried_in_text, "carried_in_text"),
            (draft.carried_out_text, "carried_out_text"),
        )
    )
    draws = _draws(draft, around, day, amount, amount.milli + carried_out - carried_in)
    parts = _parts(draft, amount, around, day)
    storage = _main_storage(draws, draft)
    values = {
        "local_day": day,
        **_moments(times),
        "crop_year": _crop_year(draft, day),
        "amount_text": amount.text,
        "amount_unit": amount.unit,
        "amount_milli": amount.milli,
        "amount_kind": amount.kind,
        "carried_in_milli": carried_in,
        "carried_out_milli": carried_out,
        **_person(seat, draft),
        **_tests(draft, around, storage, day, load),
        **{name: getattr(draft, name) for name in COPIED},
    }
    warnings = [*taken.warnings, *_doubts(draft, day, around, times)]
    return Built(values, parts, draws, warnings)


COPIED = (
    "spreader", "method", "measured_by", "measure_start", "measure_stop", "loads_counted",
    "ticket_number", "ground", "frozen_depth_in", "snow_in", "growing_crop", "residue_pct",
    "origin", "origin_name", "from_paper", "source_key", "note",
)  # fmt: skip


def times_of(draft: LoadDraft, zone: ZoneInfo) -> Times:
    """The moments of a draft; refuses an end before its start, naming both."""
    start = moment_of(draft.started, zone, draft.started_choice, "started")
    end = moment_of(draft.ended, zone, draft.ended_choice, "ended") if draft.ended else None
    if end and end.at < start.at:
        raise EntryProblem(
            {
                "ended": _(
                    "The end %(end)s is before the start %(start)s. Check both times; a load "
                    "past midnight ends on the next day."
                )
                % {"end": _clock(end), "start": _clock(start)}
            }
        )
    worked = (
        moment_of(draft.incorporated, zone, draft.incorporated_choice, "incorporated")
        if draft.incorporated
        else None
    )
    if worked and worked.at < start.at:
        raise EntryProblem(
            {
                "incorporated": _(
                    "Incorporated at %(worked)s, before the load began at %(start)s. Correct one "
                    "of the two times."
                )
                % {"worked": _clock(worked), "start": _clock(start)}
            }
        )
    _refuse_future(start, zone)
    return Times(start, end, worked.at if worked else None)


def _clock(moment: Moment) -> str:
    return f"{moment.local:%Y-%m-%d %H:%M}"


def _refuse_future(start: Moment, zone: ZoneInfo) -> None:
    if start.at > clock.now() + dt.timedelta(days=1):
        raise EntryProblem(
            {
                "started": _(
                    "The start %(start)s lies in the future; today is %(today)s. Check the day."
                )
                % {"start": _clock(start), "today": clock.today(zone.key)}
            }
        )


def _moments(times: Times) -> dict[str, Any]:
    return {
        "started_at": times.start.at,
        "started_offset_min": times.start.offset_min,
        "ended_at": times.end.at if times.end else None,
        "ended_offset_min": times.end.offset_min if times.end else None,
        "incorporated_at": times.incorporated_at,
    }


def _crop_year(draft: LoadDraft, day: dt.date) -> int:
    year = day.year if draft.crop_year is None else draft.crop_year
    if abs(year - day.year) > CURRENT_YEARS:
        raise EntryProblem(
            {
                "crop_year": _(
                    "Crop year %(year)s is far from %(day)s. Enter the year in which the crop is "
                    "harvested."
                )
                % {"year": year, "day": day}
            }
        )
    return year


def check_belongs(draft: LoadDraft, around: Surroundings) -> None:
    """Refuse records of another operation; said as if they did not exist."""
    named: list[tuple[str, list[Any]]] = [
        ("parts", [part.field for part in draft.parts]),
        ("draws", [draw.storage for draw in draft.draws]),
        ("spreader", [draft.spreader]),
        ("rate_test", [draft.rate_test]),
        ("content_test", [draft.content_test]),
    ]
    for entry, rows in named:
        for row in rows:
            if row is None or isinstance(row, _Default):
                continue
            if row.operation_id != around.operation.pk or row.voided:
                raise EntryProblem({entry: _("There is no such record here. Choose one listed.")})


def _draws(
    draft: LoadDraft, around: Surroundings, day: dt.date, amount: Amount, needed: int
) -> list[LoadDraw]:
    drafts = list(draft.draws)
    if not drafts and draft.origin == "own" and needed > 0:
        only = around.only_storage(day)
        if only is None:
            raise EntryProblem(
                {
                    "draws": _(
                        "Say which storage the load came from, or that it came from another farm."
                    )
                }
            )
        drafts = [DrawDraft(only)]
    return [
        LoadDraw(storage=draw.storage, number=i, amount_milli=milli)
        for i, (draw, milli) in enumerate(shares.draw_amounts(drafts, needed, amount), 1)
    ]


def _parts(draft: LoadDraft, amount: Amount, around: Surroundings, day: dt.date) -> list[LoadPart]:
    milli = shares.part_amounts(draft, amount, around.width_of(draft.spreader, day))
    return [
        LoadPart(
            field=part.field,
            number=i,
            amount_milli=share,
            area_ac=shares.area_of(part),
            track_sha256=part.track_sha256,
        )
        for i, (part, share) in enumerate(zip(draft.parts, milli, strict=True), 1)
    ]


def _main_storage(draws: list[LoadDraw], draft: LoadDraft) -> Any:
    """The storage most of the load came from: its tests are the defaults."""
    if draws:
        return max(draws, key=lambda draw: draw.amount_milli).storage
    return draft.draws[0].storage if draft.draws else None


def _person(seat: Seat, draft: LoadDraft) -> dict[str, Any]:
    person = draft.person
    if person is None and not draft.driver_name and seat.role in NARROWED:
        person = seat.person
    return {"person": person, "driver_name": draft.driver_name}


def _tests(
    draft: LoadDraft, around: Surroundings, storage: Any, day: dt.date, load: Load | None
) -> dict[str, Any]:
    """The two test links: as chosen, as they stood for the same storage, or the defaults."""
    same = load is not None and _storage_before(load) == (storage.pk if storage else None)
    found: dict[str, Any] = {}
    for name in ("rate_test", "content_test"):
        choice = getattr(draft, name)
        if not isinstance(choice, _Default):
            found[name] = choice
        elif same and getattr(load, f"{name}_id"):
            found[name] = getattr(load, name)
        else:
            found[name] = getattr(around, name)(storage, day)
    return found


def _storage_before(load: Load) -> Any:
    draws = list(load.draws.all())
    return max(draws, key=lambda draw: draw.amount_milli).storage_id if draws else None


def _doubts(draft: LoadDraft, day: dt.date, around: Surroundings, times: Times) -> Iterator[str]:
    for part in draft.parts:
        field = part.field
        if field.began_on > day or (field.ended_on and field.ended_on < day):
            yield _("Field %(field)s was not farmed here on %(day)s. The load is kept.") % {
                "field": field,
                "day": day,
            }
    period = around.closed_on(day)
    if period:
        yield _(
            "The period %(first)s to %(last)s is filed. The load is kept as waiting and does not "
            "count until the owner decides on it."
        ) % {"first": period.from_on, "last": period.to_on}
    if times.start.at > clock.now():
        yield _("The start lies in the future. The load is kept; check the time.")
