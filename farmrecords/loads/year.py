"""A field's year: what it received, what the plan allows, and what is left."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from farmrecords.farm.models import Field
from farmrecords.people.models import Operation


@dataclass(frozen=True)
class FieldYear:
    """One field and crop year."""

    field: Field
    crop_year: int


def field_year(field: Field, crop_year: int, *, until: dt.date | None = None) -> FieldYear:
    """The year of one field, up to and including a day when one is given."""
    raise NotImplementedError


def years_of(
    operation: Operation, crop_year: int, *, until: dt.date | None = None
) -> dict[UUID, FieldYear]:
    """Every field's year, in a fixed number of queries."""
    raise NotImplementedError


def operation_years(operation: Operation) -> list[Any]:
    """The crop years the operation has records of, newest first."""
    raise NotImplementedError
