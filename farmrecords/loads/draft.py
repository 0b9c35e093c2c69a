"""What a person, a phone or a file says about a load, before it is a record."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Iterable
from dataclasses import MISSING, dataclass, field, fields, is_dataclass
from decimal import Decimal
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db import models

from farmrecords.farm.models import Field, Spreader, Storage
from farmrecords.measurements.models import ManureTest
from farmrecords.people.models import Person


class EntryProblem(ValidationError):
    """An entry that cannot be kept as it stands; says in plain words what and how to mend it.

    Its dictionary goes by the entries of `LoadDraft`. `index` is the position of the draft when
    many were handed over.
    """

    index: int | None = None


class _Default:
    """The mark of a test link left to the stated default."""

    def __repr__(self) -> str:
        return "DEFAULT"


DEFAULT: Final = _Default()
TestChoice = ManureTest | None | _Default


@dataclass
class PartDraft:
    """A load's share on one field.

    The amount is given as text and unit, or left empty to be split by the weight drop between two
    scale readings, else by the length of the tracks with the discharge on, else by acres.
    """

    field: Field
    amount_text: str = ""
    amount_unit: str = ""
    area_ac: Decimal | str | None = None
    weight_start_text: str = ""
    weight_stop_text: str = ""
    track_sha256: str = ""


@dataclass
class DrawDraft:
    """A load's share from one storage; one draw may leave its amount to be worked out."""

    storage: Storage
    amount_text: str = ""
    amount_unit: str = ""


@dataclass
class LoadDraft:
    """One load as stated.

    `started`, `ended` and `incorporated` are naive times on the clock of the operation; the
    choices say `first` or `second` where a time comes twice as clocks go back. A time with an
    offset is taken as that moment.
    """

    started: dt.datetime
    parts: list[PartDraft]
    method: str
    draws: list[DrawDraft] = field(default_factory=list)
    ended: dt.datetime | None = None
    started_choice: str = ""
    ended_choice: str = ""
    incorporated: dt.datetime | None = None
    incorporated_choice: str = ""
    amount_text: str = ""
    amount_unit: str = ""
    measured_by: str = "rated"
    measure_start: str = ""
    measure_stop: str = ""
    loads_counted: int | None = None
    each_load_text: str = ""
    each_load_unit: str = ""
    ticket_number: str = ""
    carried_in_text: str = ""
    carried_out_text: str = ""
    spreader: Spreader | None = None
    person: Person | None = None
    driver_name: str = ""
    ground: str = "unknown"
    frozen_depth_in: Decimal | None = None
    snow_in: Decimal | None = None
    growing_crop: bool | None = None
    residue_pct: int | None = None
    origin: str = "own"
    origin_name: str = ""
    crop_year: int | None = None
    rate_test: TestChoice = DEFAULT
    content_test: TestChoice = DEFAULT
    from_paper: bool = False
    source_key: str = ""
    note: str = ""
    extra: dict[str, Any] = field(default_factory=dict)


def hash_of(drafts: Iterable[LoadDraft]) -> str:
    """SHA-256 of what drafts state, by which the same sending is known when it comes again.

    What is left to a default has no part in it, so that a newer test changes nothing.
    """
    text = json.dumps([_stated(draft) for draft in drafts], sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()


def _stated(value: Any) -> Any:
    if is_dataclass(value):
        return {
            one.name: _stated(getattr(value, one.name))
            for one in fields(value)
            if getattr(value, one.name) != _default_of(one)
        }
    if isinstance(value, models.Model):
        return str(value.pk)
    if isinstance(value, dict):
        return {str(key): _stated(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_stated(item) for item in value]
    return value if value is None or isinstance(value, bool) else str(value)


def _default_of(one: Any) -> Any:
    return one.default_factory() if one.default_factory is not MISSING else one.default
