"""One operation with what a load needs, for the tests of this room."""

import datetime as dt

import pytest

from farmrecords.history.models import Log
from farmrecords.loads import entry
from farmrecords.loads.entry import DrawDraft, EntryProblem, LoadDraft, PartDraft
from farmrecords.loads.models import Load, LoadDraw, LoadFacts, LoadPart
from tests import builders


def at(text):
    """A time on the farm's clock, without a zone."""
    return dt.datetime.fromisoformat(text)


NOON = at("2026-04-20 12:00")


class Farm:
    """One operation with two fields, a pit and a spreader, and the office's seat."""

    def __init__(self):
        self.operation = builders.make_operation()
        self.seat = builders.make_seat(self.operation)
        self.field = builders.make_field(self.operation)
        self.other = builders.make_field(self.operation)
        self.pit = builders.make_storage(self.operation)
        self.spreader = builders.make_spreader(
            self.operation, rated_load_text="6000", rated_load_unit="gal"
        )

    def draft(self, **values):
        """A load of 6,500 gal on the first field at noon of 20 April."""
        values = {
            "started": NOON,
            "parts": [PartDraft(self.field)],
            "draws": [DrawDraft(self.pit)],
            "method": "surface",
            "amount_text": "6,500",
            "amount_unit": "gal",
            "spreader": self.spreader,
        } | values
        return LoadDraft(**values)

    def record(self, **values):
        """The draft, recorded by the office."""
        return entry.record_load(self.seat, self.draft(**values), channel="web")

    def counts(self):
        """Rows of the load tables and the head of the log."""
        head = Log.objects.get(pk=self.operation.log_id)
        rows = [m.objects.count() for m in (Load, LoadPart, LoadDraw, LoadFacts)]
        return head.head_seq, head.head_hash, rows

    def refused(self, *words, **values):
        """The refusal of a draft, which holds the words and leaves nothing behind."""
        before = self.counts()
        with pytest.raises(EntryProblem) as caught:
            self.record(**values)
        text = " ".join(caught.value.messages)
        for word in words:
            assert word in text, text
        assert self.counts() == before
        return caught.value
