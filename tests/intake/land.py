"""A farm whose land comes in as files, for the tests of boundaries, features and tracks."""

import json

from farmrecords.intake import service
from farmrecords.intake.kinds import kind_named
from tests import builders

MOVED = [[[-89.5, 43.0], [-89.495, 43.0], [-89.495, 43.003], [-89.5, 43.003], [-89.5, 43.0]]]


class Farm:
    """One operation with field 7, a square of 40.290596 acres."""

    def __init__(self):
        self.operation = builders.make_operation()
        self.seat = builders.make_seat(self.operation)
        self.field = builders.make_field(self.operation, "7")

    def take_in(self, kind, features, **answers):
        data = features
        if isinstance(features, list):
            data = json.dumps({"type": "FeatureCollection", "features": features}).encode()
        name = "track.gpx" if kind == "track" else "land.geojson"
        incoming = service.take_in(self.seat, kind_named(kind), name, data)
        if answers:
            service.answer(self.seat, incoming, answers, incoming.rev)
        return incoming

    def confirm(self, incoming):
        return service.confirm(self.seat, incoming, incoming.rev)


def outline(name, rings, **properties):
    return {
        "type": "Feature",
        "properties": {"name": name, **properties},
        "geometry": {"type": "Polygon", "coordinates": rings},
    }


def point(name, kind, lon, lat):
    return {
        "type": "Feature",
        "properties": {"name": name, "kind": kind},
        "geometry": {"type": "Point", "coordinates": [lon, lat]},
    }


def keys(incoming):
    return [q["key"] for q in incoming.report["questions"]]
