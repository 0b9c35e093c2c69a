"""One load as a file states it, and the mapping that says which column holds what."""

from __future__ import annotations

import hashlib
from dataclasses import asdict, dataclass, field, replace
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from farmrecords.formats.common import FormatError

# What a column may hold. `date` + `start_time` or `started_at` give the beginning of a load.
ROLES = (
    "date",
    "start_time",
    "started_at",
    "end_time",
    "ended_at",
    "field",
    "storage",
    "spreader",
    "driver",
    "method",
    "amount",
    "amount_per_load",
    "unit",
    "measured_by",
    "loads",
    "incorporated_at",
    "ground",
    "note",
)


@dataclass(frozen=True, slots=True)
class LoadRow:
    """One row of a list of loads, read but not yet a record.

    `amount_text` is the number as typed, rewritten with a decimal point where the file has a
    decimal comma; `amount` is the same as a number. `amount_unit` is one of gal, kgal, ac_in,
    ft3, yd3, bu, L, m3, lb, ton, kg, tonne, or load when only loads were counted; `amount_kind`
    is gal for a volume, lb for a mass and empty for a count. `measured_by` is the file's word
    for how it was measured. `per_load` means that each of `loads_counted` loads had the amount.
    Without a time of day `time_known` is False and `started_at` stands at noon of the local day.
    `source_key` recognises the same row when it comes again; `occasion_key` recognises the same
    occasion with other figures, so that a corrected file can propose an amendment.
    """

    row_number: int
    started_at: datetime
    ended_at: datetime | None
    field_label: str
    storage_label: str
    spreader_label: str
    driver: str
    method: str
    amount_text: str
    amount: Decimal
    amount_unit: str
    amount_kind: str
    loads_counted: int | None
    incorporated_at: datetime | None
    ground: str
    note: str
    measured_by: str = ""
    per_load: bool = False
    time_known: bool = True
    repeat: int = 0
    source_key: str = ""
    occasion_key: str = ""

    def keyed(self, repeat: int = 0) -> LoadRow:
        """The same row with its keys; `repeat` counts earlier rows of the same meaning."""
        occasion = [
            _moment(self.started_at),
            str(self.time_known),
            *map(_label, (self.field_label, self.storage_label)),
            *map(_label, (self.spreader_label, self.driver)),
        ]
        whole = [
            *occasion,
            _moment(self.ended_at),
            _label(self.method),
            f"{self.amount.normalize():f}",
            self.amount_unit,
            _label(self.measured_by),
            str(self.loads_counted),
            str(self.per_load),
            _moment(self.incorporated_at),
            _label(self.ground),
        ]
        return replace(
            self,
            repeat=repeat,
            source_key=_digest([*whole, str(repeat)]),
            occasion_key=_digest(occasion),
        )


def _moment(at: datetime | None) -> str:
    return "" if at is None else at.astimezone(UTC).isoformat()


def _label(text: str) -> str:
    return " ".join(text.casefold().split())


def _digest(parts: list[str]) -> str:
    joined = "".join(f"{len(part)}:{part}," for part in parts)
    return hashlib.sha256(joined.encode("utf-8", "surrogatepass")).hexdigest()


@dataclass(frozen=True)
class Mapping:
    """How to read one kind of list: which column holds what, and the answers given so far.

    `columns` maps a role of `ROLES` to the position of its column, from 0. A unit, date order,
    decimal comma, hour or repeat that is still unknown is empty and will be asked for.
    `to_dict` and `from_dict` let the mapping be remembered for the next file of its kind;
    `headers` tells whether a file is of that kind.
    """

    headers: tuple[str, ...]
    columns: dict[str, int] = field(default_factory=dict)
    header_row: int = 1
    delimiter: str = ","
    amount_unit: str = ""
    date_order: str = ""  # "mdy" or "dmy"
    decimal_comma: bool | None = None
    hour_twice: str = ""  # "first" or "second" when clocks go back
    sheet: str = ""  # of a workbook
    repeats: str = ""  # "loads" (each row is a load) or "once" (entered twice)

    def to_dict(self) -> dict[str, Any]:
        """The mapping as plain values for JSON."""
        return asdict(self) | {"headers": list(self.headers)}

    @classmethod
    def from_dict(cls, values: dict[str, Any]) -> Mapping:
        """The mapping kept by `to_dict`; raises `FormatError` when it is not one."""
        known = set(cls.__dataclass_fields__)
        if unknown := sorted(set(values) - known):
            raise FormatError(f"A mapping has no entry called {', '.join(unknown)}.")
        columns = values.get("columns", {})
        if wrong := sorted(set(columns) - set(ROLES)):
            raise FormatError(f"No column can hold “{wrong[0]}”.", f"Use one of: {ROLES}.")
        return cls(**(values | {"headers": tuple(values.get("headers", ()))}))

    def fits(self, headers: tuple[str, ...]) -> bool:
        """True when a file with these headers is of the kind this mapping was made for."""
        return [_label(h) for h in headers] == [_label(h) for h in self.headers]

    def answered(self, **answers: Any) -> Mapping:
        """The mapping with answers to questions filled in, each under its question's key."""
        if isinstance(comma := answers.get("decimal_comma"), str):
            answers["decimal_comma"] = comma == "comma"
        columns = dict(self.columns)
        for key in [key for key in answers if key.startswith("column_")]:
            columns[key.removeprefix("column_")] = int(answers.pop(key))
        return replace(self, columns=columns, **answers)
