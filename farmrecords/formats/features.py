"""Features of any file kind -> rows, with everything doubtful asked once for the file."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from farmrecords.formats.common import (
    MAX_FEATURES,
    MAX_VERTICES,
    Answers,
    Choice,
    FormatError,
    Question,
    ReadResult,
    Rejected,
    shown,
)
from farmrecords.formats.outlines import Built, Crossings, built
from farmrecords.formats.shapes import (
    Box,
    Drawn,
    FeatureRow,
    Position,
    bounds_of,
    checked_coordinates,
    each_position,
    exchanged,
    is_within,
    looks_exchanged,
    refuse_out_of_range,
)

NAME_KEYS = ("name", "field", "field_name", "fieldname", "field name", "label", "title", "id")
KIND_KEYS = ("kind", "type", "feature", "class", "category")
MOST_PROPERTY_CHARACTERS = 20_000


@dataclass
class _Sheet:
    """The result while it is being put together."""

    answers: Answers
    box: Box | None
    items: list[FeatureRow] = field(default_factory=list)
    rejected: list[Rejected] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    needs: list[Question] = field(default_factory=list)
    outside: list[str] = field(default_factory=list)
    crossings: Crossings = field(default_factory=Crossings)


def settled(
    drawn: Iterable[Drawn],
    *,
    box: Box | None = None,
    answers: Answers | None = None,
    notes: Iterable[str] = (),
) -> ReadResult[FeatureRow]:
    """The rows of drawn features after all checks.

    Questions: `swap` (latitude before longitude), `outside` (beyond `box`) and, for each crossed
    outline, `repair:<row_number>`.
    """
    sheet = _Sheet(answers or {}, box, warnings=list(notes))
    checked = _checked(drawn, sheet)
    checked = _turned(checked, sheet)
    for feature, coordinates in checked:
        try:
            _place(feature, coordinates, sheet)
        except FormatError as error:
            _refuse(sheet, feature, error)
    _ask_outside(sheet)
    _say_repeated_names(sheet)
    if not sheet.items and not sheet.rejected:
        raise FormatError("The file holds no features.", "Check that this is the right file.")
    return ReadResult(sheet.items, sheet.rejected, sheet.warnings, sheet.needs)


def _checked(drawn: Iterable[Drawn], sheet: _Sheet) -> list[tuple[Drawn, Any]]:
    """Features with coordinates that are numbers, within the limits of one upload."""
    checked, vertices = [], 0
    for count, feature in enumerate(drawn, 1):
        if count > MAX_FEATURES:
            raise FormatError(
                f"The file has more than {MAX_FEATURES:,} features.", "Cut it to the farm's land."
            )
        try:
            if feature.refused:
                raise feature.refused
            refuse_bad_text(feature)
            coordinates = checked_coordinates(feature)
        except FormatError as error:
            _refuse(sheet, feature, error)
            continue
        vertices += sum(1 for _ in each_position(coordinates))
        if vertices > MAX_VERTICES:
            raise FormatError(
                f"The file has more than {MAX_VERTICES:,} points.", "Cut it to the farm's land."
            )
        checked.append((feature, coordinates))
    return checked


def refuse_bad_text(feature: Drawn) -> None:
    """Raise when texts of a feature cannot be stored: half characters, zeros, far too long."""
    text = json.dumps([feature.name, feature.kind, feature.properties], ensure_ascii=False)
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        raise FormatError("A text holds half of a character.", "Export the file again.") from None
    if "\\u0000" in text:
        raise FormatError("A text holds a zero character.", "Export the file again.")
    if len(text) > MOST_PROPERTY_CHARACTERS:
        raise FormatError(
            f"Its properties have {len(text):,} characters; at most "
            f"{MOST_PROPERTY_CHARACTERS:,} are kept.",
            "Leave long texts out of the export.",
        )


def _turned(checked: list[tuple[Drawn, Any]], sheet: _Sheet) -> list[tuple[Drawn, Any]]:
    """The features with latitude and longitude exchanged, when a person said so."""
    positions: list[Position] = [p for _, c in checked for p in each_position(c)]
    if not positions or not looks_exchanged(bounds_of(positions), sheet.box):
        return checked
    x, y = positions[0]
    answer = sheet.answers.get("swap", "")
    if answer == "swap":
        sheet.warnings.append("Latitude and longitude were exchanged, as answered.")
        return [(feature, exchanged(coordinates)) for feature, coordinates in checked]
    if answer != "keep":
        sheet.needs.append(
            Question(
                key="swap",
                asked=f"The first position is {x:.6f}, {y:.6f}. GeoJSON and its like put the "
                "longitude first. Were latitude and longitude exchanged?",
                choices=(
                    Choice("swap", f"yes: latitude {x:.6f}, longitude {y:.6f}"),
                    Choice("keep", f"no: longitude {x:.6f}, latitude {y:.6f}"),
                ),
                suggested="swap",
            )
        )
        return [(feature, exchanged(coordinates)) for feature, coordinates in checked]
    return checked


def _place(feature: Drawn, coordinates: Any, sheet: _Sheet) -> None:
    refuse_out_of_range(coordinates)
    result = built(feature.shape, coordinates, sheet.crossings)
    label = feature.name or f"feature {feature.row_number}"
    sheet.warnings.extend(f"{label}: {note}." for note in result.notes)
    if result.repair and not _may_repair(feature, result, sheet, label):
        return
    inside = sheet.box is None or is_within(bounds_of(list(each_position(coordinates))), sheet.box)
    if not inside:
        sheet.outside.append(label)
        if sheet.answers.get("outside") == "leave":
            return
    sheet.items.append(
        FeatureRow(
            name=feature.name,
            kind=feature.kind,
            properties=feature.properties,
            geometry=result.geometry,
            repaired=result.repair,
            row_number=feature.row_number,
        )
    )


def _may_repair(feature: Drawn, result: Built, sheet: _Sheet, label: str) -> bool:
    """Is the repair accepted or still open? A refused one rejects the feature."""
    repair = result.repair
    assert repair is not None
    key = f"repair:{feature.row_number}"
    answer = sheet.answers.get(key, "")
    if answer == "refuse":
        reason = f"{repair.what[0].upper()}{repair.what[1:]}."
        _refuse(sheet, feature, FormatError(reason, "Draw the outline again."))
        return False
    acres = f"{repair.acres_after:,.2f} acres instead of {repair.acres_before:,.2f} as drawn"
    if answer == "accept":
        sheet.warnings.append(f"{label}: {repair.what}; mended as answered, {acres}.")
        return True
    sheet.needs.append(
        Question(
            key=key,
            asked=f"{label}: {repair.what}. Mended, it has {acres}. Take the mended outline?",
            choices=(
                Choice("accept", f"take it, {repair.acres_after:,.2f} acres"),
                Choice("refuse", "no; it will be drawn again"),
            ),
        )
    )
    return True


def _refuse(sheet: _Sheet, feature: Drawn, error: FormatError) -> None:
    sheet.rejected.append(
        Rejected(feature.row_number, "geometry", shown(feature.name), error.reason, error.remedy)
    )


def _ask_outside(sheet: _Sheet) -> None:
    if not sheet.outside:
        return
    names = ", ".join(shown(name) for name in sheet.outside[:5])
    more = f" and {len(sheet.outside) - 5} more" if len(sheet.outside) > 5 else ""
    answer = sheet.answers.get("outside", "")
    if answer in ("keep", "leave"):
        done = "kept" if answer == "keep" else "left out"
        sheet.warnings.append(f"Outside the expected area and {done}: {names}{more}.")
        return
    sheet.needs.append(
        Question(
            key="outside",
            asked=f"{names}{more} lie outside the area where this farm is expected. Is that right?",
            choices=(Choice("keep", "yes, keep them"), Choice("leave", "no, leave them out")),
        )
    )


def _say_repeated_names(sheet: _Sheet) -> None:
    names = Counter(row.name.casefold() for row in sheet.items if row.name)
    repeated = [name for name, count in names.items() if count > 1]
    if repeated:
        listed = ", ".join(shown(name) for name in repeated[:10])
        sheet.warnings.append(f"The same name stands on several features: {listed}.")


def labels_of(properties: dict[str, Any]) -> tuple[str, str]:
    """The name and the kind among the properties of a feature; empty when there is none."""
    lowered = {key.casefold(): value for key, value in properties.items()}
    return _first_text(lowered, NAME_KEYS), _first_text(lowered, KIND_KEYS)


def _first_text(properties: dict[str, Any], keys: tuple[str, ...]) -> str:
    for key in keys:
        value = properties.get(key)
        if isinstance(value, str | int | float) and not isinstance(value, bool):
            text = str(value).strip()
            if text:
                return text[:200]
    return ""
