"""Boundaries and features as a zipped Shapefile, brought to WGS84 by its .prj file.

Without a .prj file the projection is asked for, never guessed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import chain, repeat
from typing import Any

from farmrecords.formats.archives import Archive, is_zip
from farmrecords.formats.common import Answers, Choice, FormatError, Question, ReadResult, shown
from farmrecords.formats.features import labels_of, settled
from farmrecords.formats.projections import Projection, projection_of
from farmrecords.formats.shapes import (
    Box,
    Drawn,
    FeatureRow,
    bounds_of,
    checked_coordinates,
    each_position,
)
from farmrecords.formats.shp import dbf_rows, shapes_of

_ENCODINGS = {
    "utf-8": "utf-8", "utf8": "utf-8", "65001": "utf-8", "1252": "cp1252", "cp1252": "cp1252",
    "ansi 1252": "cp1252", "iso-8859-1": "latin-1", "iso 88591": "latin-1", "8859-1": "latin-1",
    "iso8859-1": "latin-1", "latin1": "latin-1", "88591": "latin-1", "437": "cp437",
}  # fmt: skip


def read_shapefile(
    data: bytes, *, box: Box | None = None, answers: Answers | None = None
) -> ReadResult[FeatureRow]:
    """The shapes of a zipped Shapefile in WGS84 longitude, latitude.

    Questions: `layer` when the archive holds several, `projection` when it has no .prj file
    (wgs84 or a code such as EPSG:26916), and those of `features.settled`.
    """
    answers = answers or {}
    if not is_zip(data):
        raise FormatError(
            "A Shapefile consists of several files.", "Put .shp, .dbf and .prj into one ZIP file."
        )
    archive = Archive(data)
    layers = archive.named(".shp")
    if not layers:
        raise FormatError("The archive holds no .shp file.", "Put .shp, .dbf and .prj into it.")
    layer = layers[0] if len(layers) == 1 else answers.get("layer", "")
    if layer not in layers:
        return ReadResult([], [], [], [_layer_question(layers)])
    return _read_layer(archive, layer, box, answers)


def _layer_question(layers: list[str]) -> Question:
    choices = tuple(Choice(name, shown(name)) for name in layers)
    return Question("layer", "The archive holds several layers. Which one is meant?", choices)


def _read_layer(
    archive: Archive, layer: str, box: Box | None, answers: Answers
) -> ReadResult[FeatureRow]:
    notes: list[str] = []
    rows = _table(archive, layer, notes)
    shapes = shapes_of(archive.read(layer))
    drawn = list(_drawn(shapes, rows))
    prj = _beside(archive, layer, ".prj")
    if prj:
        projection = projection_of(archive.read(prj).decode("utf-8", "replace"))
    else:
        answer = answers.get("projection", "")
        if not answer:
            return ReadResult([], [], notes, [_projection_question(drawn)])
        projection = projection_of("EPSG:4326" if answer == "wgs84" else answer)
        notes.append(f"The projection was given by a person: {shown(answer)}.")
    placed = list(_placed(drawn, projection))
    notes.extend(projection.notes)
    return settled(iter(placed), box=box, answers=answers, notes=notes)


def _beside(archive: Archive, layer: str, ending: str) -> str:
    """The member with the layer's name and another ending, empty when there is none."""
    name = layer.removesuffix(".shp") + ending
    return name if name in archive.names else ""


def _table(archive: Archive, layer: str, notes: list[str]) -> Iterator[dict[str, Any]]:
    name = _beside(archive, layer, ".dbf")
    if not name:
        notes.append("The archive has no .dbf file, so the shapes have no names.")
        return iter(())
    data = archive.read(name)
    cpg = _beside(archive, layer, ".cpg")
    stated = archive.read(cpg)[:40].decode("ascii", "ignore").strip().lower() if cpg else ""
    for encoding in dict.fromkeys([_ENCODINGS.get(stated, "utf-8"), "utf-8", "cp1252", "latin-1"]):
        try:
            rows = list(dbf_rows(data, encoding))
        except UnicodeDecodeError:
            continue
        if encoding != _ENCODINGS.get(stated, "utf-8"):
            notes.append(f"The names were read as {encoding}; check those with accents.")
        return iter(rows)
    return iter(())


def _drawn(shapes: Iterator[tuple[str, Any]], rows: Iterator[dict[str, Any]]) -> Iterator[Drawn]:
    padded = chain(rows, repeat({}))
    for number, ((shape, coordinates), properties) in enumerate(
        zip(shapes, padded, strict=False), 1
    ):
        if shape == "nothing" and not properties:
            continue
        name, kind = labels_of(properties)
        yield Drawn(number, name, kind, properties, shape, coordinates)


def _placed(drawn: list[Drawn], projection: Projection) -> Iterator[Drawn]:
    """The features in WGS84; one that cannot be placed carries the reason."""
    for one in drawn:
        if one.shape == "nothing":
            yield one
            continue
        try:
            coordinates = projection.to_wgs84(checked_coordinates(one))
        except FormatError as error:
            yield replace(one, refused=error)
        else:
            yield replace(one, coordinates=coordinates)


def _projection_question(drawn: list[Drawn]) -> Question:
    positions = [
        position
        for one in drawn
        if one.shape != "nothing"
        for position in each_position(checked_coordinates(one))
    ]
    if not positions:
        raise FormatError("The Shapefile holds no shapes.", "Check that this is the right file.")
    west, south, east, north = bounds_of(positions)
    degrees = max(-west, east) <= 180 and max(-south, north) <= 90
    choices = (Choice("wgs84", "degrees of longitude and latitude (WGS84)"),) if degrees else ()
    return Question(
        key="projection",
        asked="The archive has no .prj file, so nothing says which projection the numbers are in "
        f"(x {west:.6g} to {east:.6g}, y {south:.6g} to {north:.6g}). Which one is it? A code "
        "such as EPSG:26916 may be given.",
        choices=choices,
        suggested="wgs84" if degrees else "",
    )
