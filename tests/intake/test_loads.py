"""A list of loads comes in: dry run, confirmation, again, undone; all of it or nothing."""

import datetime as dt

import pytest

from farmrecords.formats.common import FormatError
from farmrecords.history import clock
from farmrecords.history.models import Entry, Log
from farmrecords.intake import service
from farmrecords.intake.kinds import kind_named
from farmrecords.intake.models import ColumnMapping, IncomingFile
from farmrecords.loads import entry
from farmrecords.loads.models import Load, LoadDraw, LoadPart
from farmrecords.people.models import ClosedPeriod
from tests import builders

pytestmark = pytest.mark.django_db
HEAD = "Date,Start,End,Field,Storage,Spreader,Driver,Method,Amount (gal),Measured by\n"
ROWS = (
    "2026-04-20,08:00,08:20,7,North pit,Red tank,Ana,surface,6500,meter\n"
    "2026-04-20,09:00,09:20,7,North pit,Red tank,Ana,injected,5850.5,meter\n"
)


@pytest.fixture(autouse=True)
def _spring():
    with clock.standing_at(dt.datetime(2026, 6, 1, 15, tzinfo=dt.UTC)):
        yield


@pytest.fixture
def farm():
    return Farm()


class Farm:
    """One operation with the records the lists name."""

    def __init__(self):
        self.operation = builders.make_operation()
        self.seat = builders.make_seat(self.operation)
        self.field = builders.make_field(self.operation, "7")
        self.pit = builders.make_storage(self.operation, "North pit")
        self.spreader = builders.make_spreader(self.operation)
        self.name_of_spreader = self.spreader.name

    def take_in(self, text, name="loads.csv"):
        if isinstance(text, str):
            text = text.replace("Red tank", self.name_of_spreader).encode()
        return service.take_in(self.seat, kind_named("loads"), name, text)

    def confirm(self, incoming):
        return service.confirm(self.seat, incoming, incoming.rev)

    def bring(self, text):
        return self.confirm(self.take_in(text))

    def state(self):
        head = Log.objects.get(pk=self.operation.log_id)
        return head.head_hash, [m.objects.count() for m in (Load, LoadPart, LoadDraw)]


def rejected(incoming):
    return incoming.report["rejected"]


def test_reading_a_list_records_no_load(farm):
    incoming = farm.take_in(HEAD + ROWS)
    assert Load.objects.count() == 0
    assert incoming.state == "read"
    assert incoming.report["new"] == 2
    assert service.is_ready(incoming)


def test_a_confirmed_list_records_its_loads_with_one_import_entry(farm):
    incoming = farm.bring(HEAD + ROWS)
    loads = list(Load.objects.order_by("started_at"))
    assert [load.amount_milli for load in loads] == [6_500_000, 5_850_500]
    assert [load.method for load in loads] == ["surface", "injected"]
    # 08:00 in New York on 20 April is 12:00 UTC (daylight saving time)
    assert loads[0].started_at == dt.datetime(2026, 4, 20, 12, tzinfo=dt.UTC)
    assert loads[0].parts.get().field == farm.field
    assert loads[0].draws.get().storage == farm.pit
    (told,) = Entry.objects.filter(log=farm.operation.log, act="import")
    assert f'"file_sha256":"{incoming.sha256}"' in told.body.text
    assert incoming.state == "confirmed"


def test_the_same_file_again_changes_nothing(farm):
    farm.bring(HEAD + ROWS)
    again = farm.take_in(HEAD + ROWS)
    assert again.report["new"] == 0
    before = farm.state()
    with pytest.raises(service.NotTakenOver, match="here already"):
        farm.confirm(again)
    assert farm.state() == before


def test_a_longer_file_adds_only_its_new_rows(farm):
    farm.bring(HEAD + ROWS)
    more = ROWS + "2026-04-21,08:00,08:20,7,North pit,Red tank,Ana,surface,6000,meter\n"
    assert farm.take_in(HEAD + more).report["new"] == 1


def test_a_load_amended_by_hand_is_not_overwritten(farm):
    farm.bring(HEAD + ROWS)
    load = Load.objects.order_by("started_at").first()
    draft = entry.LoadDraft(
        started=load.started_at, parts=[entry.PartDraft(farm.field)], method="surface",
        draws=[entry.DrawDraft(farm.pit)], amount_text="6000", amount_unit="gal",
    )  # fmt: skip
    entry.amend_load(
        farm.seat, load, draft, base_rev=1, reason_code="measured_later", reason_text="foam"
    )
    assert farm.take_in(HEAD + ROWS).report["new"] == 0
    load.refresh_from_db()
    assert load.amount_milli == 6_000_000


def test_a_corrected_row_asks_and_does_not_double_the_load(farm):
    farm.bring(HEAD + ROWS)
    other = farm.take_in(HEAD + ROWS.replace("6500", "6400"))
    (question,) = other.report["questions"]
    assert question["key"].startswith("occasion:")
    service.answer(farm.seat, other, {question["key"]: "leave"}, other.rev)
    assert other.report["new"] == 0


def test_undoing_makes_the_loads_void_and_the_file_brings_them_back(farm):
    incoming = farm.bring(HEAD + ROWS)
    assert service.undo(farm.seat, incoming, incoming.rev, "Wrong farm") == []
    assert Load.objects.filter(voided=False).count() == 0
    again = farm.take_in(HEAD + ROWS)
    assert again.report["new"] == 2
    farm.confirm(again)
    assert Load.objects.filter(voided=False).count() == Load.objects.count() == 2


def test_undoing_leaves_what_was_changed_by_hand(farm):
    incoming = farm.bring(HEAD + ROWS)
    first, second = Load.objects.order_by("started_at")
    entry.void_load(farm.seat, first, base_rev=1, reason_text="Never left the yard")
    draft = entry.LoadDraft(
        started=second.started_at, parts=[entry.PartDraft(farm.field)], method="surface",
        draws=[entry.DrawDraft(farm.pit)], amount_text="6000", amount_unit="gal",
    )  # fmt: skip
    entry.amend_load(farm.seat, second, draft, base_rev=1, reason_code="slip", reason_text="foam")
    kept = service.undo(farm.seat, incoming, incoming.rev, "Wrong farm")
    assert len(kept) == 1
    second.refresh_from_db()
    assert not second.voided
    # a load voided by hand does not come back with the file either
    assert farm.take_in(HEAD + ROWS).report["new"] == 0


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("2026-04-20,08:00,07:00,7,North pit,Red tank,Ana,surface,6500,meter", "before it started"),
        ("2026-03-08,02:30,,7,North pit,Red tank,Ana,surface,6500,meter", "did not exist"),
        ("2026-04-31,08:00,,7,North pit,Red tank,Ana,surface,6500,meter", "does not exist"),
        ("2026-04-20,08:00,,7,North pit,Red tank,Ana,surface,-5,meter", "-5"),
        ("2026-04-20,08:00,,7,North pit,Red tank,Ana,surface,NaN,meter", "NaN"),
        ("2026-04-20,08:00,,7,North pit,Red tank,Ana,surface,0,meter", "above zero"),
        ("2026-04-20,08:00,,7,North pit,Red tank,Ana,surface,99999999999,meter", "Check the"),
        ("2026-04-20,08:00,,,North pit,Red tank,Ana,surface,6500,meter", "no field"),
        ("2031-04-20,08:00,,7,North pit,Red tank,Ana,surface,6500,meter", "future"),
    ],
)
def test_a_bad_row_is_named_and_stops_the_whole_file(farm, row, words):
    incoming = farm.take_in(HEAD + ROWS + row + "\n")
    (told,) = rejected(incoming)
    assert told["row"] == 4
    assert words in f"{told['value']} {told['reason']} {told['remedy']}"
    before = farm.state()
    with pytest.raises(service.NotTakenOver):
        farm.confirm(incoming)
    assert farm.state() == before


def test_an_hour_that_comes_twice_is_asked(farm):
    # 2 November 2025: the first Sunday of November (15 U.S.C. 260a)
    row = "2025-11-02,01:30,,7,North pit,Red tank,Ana,surface,6500,meter"
    incoming = farm.take_in(HEAD + row + "\n")
    assert [q["key"] for q in incoming.report["questions"]] == ["hour_twice"]
    service.answer(farm.seat, incoming, {"hour_twice": "second"}, incoming.rev)
    farm.confirm(incoming)
    # 01:30 after the change is 06:30 UTC
    assert Load.objects.get().started_at == dt.datetime(2025, 11, 2, 6, 30, tzinfo=dt.UTC)


def test_a_unit_that_is_missing_is_asked_and_remembered_for_the_next_file(farm):
    head = HEAD.replace("Amount (gal)", "Amount")
    incoming = farm.take_in(head + ROWS)
    assert [q["key"] for q in incoming.report["questions"]] == ["amount_unit"]
    before = farm.state()
    with pytest.raises(service.NotTakenOver):
        farm.confirm(incoming)
    assert farm.state() == before
    service.answer(farm.seat, incoming, {"amount_unit": "kgal"}, incoming.rev)
    farm.confirm(incoming)
    assert Load.objects.order_by("started_at").first().amount_milli == 6_500_000_000
    assert ColumnMapping.objects.get().answers == {"amount_unit": "kgal"}
    following = farm.take_in(head + ROWS.replace("04-20", "04-21"))
    assert following.report["questions"] == []
    assert service.is_ready(following)


def test_an_unclear_order_of_day_and_month_is_asked(farm):
    incoming = farm.take_in(HEAD + ROWS.replace("2026-04-20", "05/04/2026"))
    assert [q["key"] for q in incoming.report["questions"]] == ["date_order"]
    service.answer(farm.seat, incoming, {"date_order": "dmy"}, incoming.rev)
    farm.confirm(incoming)
    assert {load.local_day for load in Load.objects.all()} == {dt.date(2026, 4, 5)}


def test_another_encoding_and_delimiter_are_read_or_told(farm):
    text = (HEAD + ROWS).replace(",", ";").replace("Ana", "Peña")
    farm.bring(text.replace("Red tank", farm.name_of_spreader).encode("cp1252"))
    assert {load.driver_name for load in Load.objects.all()} == {"Peña"}


def test_an_unknown_field_is_asked_and_may_be_left_out(farm):
    incoming = farm.take_in(HEAD + ROWS + ROWS.replace(",7,", ",Back 40,").replace("08:", "18:"))
    assert [q["key"] for q in incoming.report["questions"]] == ["field:back 40"]
    service.answer(farm.seat, incoming, {"field:back 40": "leave"}, incoming.rev)
    assert incoming.report["new"] == 2
    other = builders.make_field(farm.operation, "40")
    service.answer(farm.seat, incoming, {"field:back 40": str(other.pk)}, incoming.rev)
    farm.confirm(incoming)
    assert other.parts.count() == 2


def test_loads_of_a_filed_period_come_in_as_waiting(farm):
    builders.save(
        ClosedPeriod(
            operation=farm.operation, from_on=dt.date(2026, 4, 1), to_on=dt.date(2026, 4, 30)
        )
    )
    farm.bring(HEAD + ROWS)
    assert {load.status for load in Load.objects.all()} == {"waiting"}


def test_loads_brought_back_into_a_period_filed_meanwhile_wait(farm):
    incoming = farm.bring(HEAD + ROWS)
    service.undo(farm.seat, incoming, incoming.rev, "Wrong farm")
    builders.save(
        ClosedPeriod(
            operation=farm.operation, from_on=dt.date(2026, 4, 1), to_on=dt.date(2026, 4, 30)
        )
    )
    again = farm.take_in(HEAD + ROWS)
    assert ["loads of filed periods, kept as waiting", 2] in again.report["figures"]
    farm.confirm(again)
    assert {(load.voided, load.status) for load in Load.objects.all()} == {(False, "waiting")}


@pytest.mark.parametrize("data", [b"", b"\x00\x01\x02" * 100, b"PK\x03\x04broken"])
def test_a_file_that_cannot_be_read_leaves_nothing(farm, data):
    before = farm.state()
    with pytest.raises(FormatError):
        farm.take_in(data)
    assert farm.state() == before
    assert IncomingFile.objects.count() == 0


def test_a_list_without_known_headings_asks_for_its_columns(farm):
    incoming = farm.take_in("One,Two,Three\n2026-04-20,7,6500\n")
    keys = {q["key"] for q in incoming.report["questions"]}
    assert keys == {"column_date", "column_field", "column_amount"}
    assert not service.is_ready(incoming)


def test_a_file_with_another_ending_is_refused_by_name(farm):
    with pytest.raises(FormatError, match=r"photo\.png"):
        farm.take_in(b"x", name="photo.png")
    assert IncomingFile.objects.count() == 0
