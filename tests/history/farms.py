"""One small invented operation and loads for it, for the tests of the history."""

import datetime as dt
import itertools
import uuid

from farmrecords.history import write
from farmrecords.loads.models import Load, LoadDraw, LoadPart
from tests import builders

OFFICE = write.Actor(uuid.UUID("00000000-0000-4000-8000-0000000000aa"), "office")
CREW = write.Actor(uuid.UUID("00000000-0000-4000-8000-0000000000bb"), "crew")
NOON = dt.datetime(2026, 4, 20, 12, tzinfo=dt.UTC)
_numbers = itertools.count(1)


class Farm:
    """An operation with two fields and two storages."""

    def __init__(self):
        self.operation = builders.save(
            builders.Operation(
                slug=f"brook{next(_numbers)}", name="Brook", time_zone="America/New_York",
                log=write.open_log("Brook"),
            ),
            by=OFFICE,
        )  # fmt: skip
        self.fields = [self._field(number) for number in "12"]
        self.storages = [self._storage(name) for name in ("Pit", "Pond")]

    def _field(self, number):
        field = builders.Field(
            operation=self.operation, number=number, name=f"Field {number}",
            began_on=builders.FIRST_DAY,
        )  # fmt: skip
        return builders.save(field, by=OFFICE)

    def _storage(self, name):
        storage = builders.Storage(
            operation=self.operation, name=name, form="liquid", shape="rectangular",
            length_ft=100, width_ft=50, depth_ft=10, began_on=builders.FIRST_DAY,
        )  # fmt: skip
        return builders.save(storage, by=OFFICE)

    @property
    def log(self):
        log = self.operation.log
        log.refresh_from_db()
        return log

    def load(self, gallons=6500, **values):
        """A load not yet recorded, and its parts."""
        values = {
            "operation": self.operation, "local_day": NOON.date(), "started_at": NOON,
            "started_offset_min": -240, "crop_year": 2026, "method": "surface",
            "measured_by": "rated", "amount_text": str(gallons), "amount_unit": "gal",
            "amount_milli": gallons * 1000, "amount_kind": "gal",
        } | values  # fmt: skip
        load = Load(**values)
        return load, {
            "parts": [LoadPart(field=self.fields[0], amount_milli=load.amount_milli)],
            "draws": [LoadDraw(storage=self.storages[0], amount_milli=load.amount_milli)],
        }

    def recorded(self, gallons=6500, **values):
        """A recorded load."""
        load, parts = self.load(gallons, **values)
        with change() as under_way:
            under_way.create(load, parts)
        return load


def change(by=OFFICE, channel="web", **said):
    return write.change(by=by, channel=channel, **said)
