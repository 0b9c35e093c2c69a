"""A load is entered: its times, its amount, its shares, its tests; nothing half-saved."""

import datetime as dt
from decimal import Decimal
from uuid import uuid4

import pytest
from django.core.exceptions import PermissionDenied

from farmrecords.history import clock, write
from farmrecords.loads import entry
from farmrecords.loads.entry import DrawDraft, EntryProblem, PartDraft
from farmrecords.loads.models import Load
from farmrecords.people.models import ClosedPeriod
from tests import builders
from tests.loads.farm import NOON, Farm, at

pytestmark = pytest.mark.django_db

TODAY = dt.datetime(2026, 12, 1, 15, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def _december():
    with clock.standing_at(TODAY):
        yield


@pytest.fixture
def farm():
    return Farm()


def test_an_amount_is_kept_as_typed_and_as_thousandths(farm):
    load = farm.record()
    load.refresh_from_db()
    assert (load.amount_text, load.amount_unit, load.amount_milli) == ("6,500", "gal", 6_500_000)
    assert [part.amount_milli for part in load.parts.all()] == [6_500_000]
    assert [draw.amount_milli for draw in load.draws.all()] == [6_500_000]
    assert load.status == "counted"


def test_the_local_day_and_offset_are_those_of_the_farm(farm):
    load = farm.record(started=at("2026-04-20 22:30"))
    assert load.started_at == dt.datetime(2026, 4, 21, 2, 30, tzinfo=dt.UTC)
    assert (load.local_day, load.started_offset_min) == (dt.date(2026, 4, 20), -240)


# The clock changes of 2026 in the eastern United States: 8 March and 1 November
# (15 U.S.C. 260a: second Sunday of March, first Sunday of November, at 2 a.m.).
def test_a_time_skipped_in_march_is_refused_with_the_remedy(farm):
    problem = farm.refused(
        "2026-03-08 02:30", "did not exist", "an hour later", started=at("2026-03-08 02:30")
    )
    assert list(problem.message_dict) == ["started"]


@pytest.mark.parametrize(("hour", "minute", "offset"), [(1, 59, -300), (3, 0, -240)])
def test_the_minutes_beside_the_skipped_hour_are_kept(farm, hour, minute, offset):
    load = farm.record(started=at(f"2026-03-08 {hour:02d}:{minute:02d}"))
    assert load.started_offset_min == offset


def test_a_time_that_comes_twice_in_november_asks_which(farm):
    farm.refused(
        "2026-11-01 01:30", "came twice", "first", "second",
        started=at("2026-11-01 01:30"),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("choice", "hour_utc", "offset"), [("first", 5, -240), ("second", 6, -300)]
)
def test_first_and_second_half_past_one_are_an_hour_apart(farm, choice, hour_utc, offset):
    load = farm.record(started=at("2026-11-01 01:30"), started_choice=choice)
    assert load.started_at == dt.datetime(2026, 11, 1, hour_utc, 30, tzinfo=dt.UTC)
    assert (load.started_offset_min, load.local_day) == (offset, dt.date(2026, 11, 1))


def test_an_end_before_the_start_names_both_times(farm):
    farm.refused(
        "2026-04-20 11:59", "2026-04-20 12:00", "next day",
        ended=NOON - dt.timedelta(minutes=1),
    )  # fmt: skip


def test_an_end_at_the_start_is_kept(farm):
    assert farm.record(ended=NOON).ended_at == farm.record(started=NOON).started_at


def test_an_end_in_the_repeated_hour_is_after_a_start_before_the_change(farm):
    load = farm.record(
        started=at("2026-11-01 01:40"),
        started_choice="first",
        ended=at("2026-11-01 01:10"),
        ended_choice="second",
    )
    assert load.ended_at - load.started_at == dt.timedelta(minutes=30)


def test_incorporation_before_the_start_is_refused(farm):
    farm.refused("before the load began", incorporated=NOON - dt.timedelta(hours=1))


@pytest.mark.parametrize(
    ("text", "unit", "words"),
    [
        ("-5", "gal", ["'-5'", "below zero"]),
        ("0", "gal", ["0 gal", "more than zero"]),
        ("NaN", "gal", ["'NaN'", "not a number"]),
        ("Infinity", "gal", ["'Infinity'", "not a number"]),
        ("1e5", "gal", ["'1e5'", "exponent"]),
        ("6500", "", ["6500", "no unit"]),
        ("6500", "barrels", ["barrels", "not known"]),
        ("6500", "ac", ["'ac'", "no unit of an amount"]),
        ("", "gal", ["No amount was given"]),
        ("99999999999", "gal", ["99999999999", "Check the number"]),
    ],
)
def test_an_amount_that_is_none_is_refused_with_its_value(farm, text, unit, words):
    farm.refused(*words, amount_text=text, amount_unit=unit)


def test_more_than_ten_times_the_rated_load_is_a_warning_not_a_refusal(farm):
    assert farm.record(amount_text="60000").warnings == []
    warned = farm.record(amount_text="60001")
    assert "10 times" in warned.warnings[0]
    assert Load.objects.get(pk=warned.pk).amount_milli == 60_001_000


def test_scale_readings_give_the_amount(farm):
    load = farm.record(
        amount_text="", amount_unit="lb", measured_by="scale",
        measure_start="28640", measure_stop="12380",
    )  # fmt: skip
    # 28,640 lb - 12,380 lb = 16,260 lb = 8.13 tons
    assert (load.amount_text, load.amount_milli) == ("16260", 16_260_000)


def test_swapped_scale_readings_are_refused(farm):
    farm.refused(
        "12380", "28640", "swapped", amount_text="", amount_unit="lb", measured_by="scale",
        measure_start="12380", measure_stop="28640",
    )  # fmt: skip


def test_an_amount_that_the_readings_do_not_give_is_refused(farm):
    farm.refused(
        "16000 lb", "16260 lb", amount_text="16000", amount_unit="lb", measured_by="scale",
        measure_start="28640", measure_stop="12380",
    )  # fmt: skip


def test_counted_loads_take_the_calibrated_load_before_the_rated_one(farm):
    from farmrecords.measurements.models import Calibration

    rated = farm.record(amount_text="", amount_unit="", measured_by="counted", loads_counted=3)
    assert rated.amount_milli == 3 * 6_000_000
    builders.save(
        Calibration(
            operation=farm.operation, spreader=farm.spreader, calibrated_on=dt.date(2026, 4, 20),
            method="weighed", load_text="5,800", load_unit="gal",
        )
    )  # fmt: skip
    calibrated = farm.record(amount_text="", measured_by="counted", loads_counted=3)
    assert calibrated.amount_milli == 3 * 5_800_000
    day_before = farm.record(
        started=NOON - dt.timedelta(days=1), amount_text="", measured_by="counted", loads_counted=3
    )
    assert day_before.amount_milli == 3 * 6_000_000


def test_counted_loads_without_any_known_load_are_refused(farm):
    farm.refused(
        "3 loads", "calibrate", amount_text="", measured_by="counted", loads_counted=3,
        spreader=None,
    )  # fmt: skip


def test_parts_that_do_not_add_up_name_the_difference(farm):
    farm.refused(
        "6,499 gal", "6,500 gal", "1 gal apart",
        parts=[PartDraft(farm.field, "4000", "gal"), PartDraft(farm.other, "2499", "gal")],
    )  # fmt: skip


def test_one_part_without_amount_takes_the_rest(farm):
    load = farm.record(parts=[PartDraft(farm.field, "4000", "gal"), PartDraft(farm.other)])
    assert [part.amount_milli for part in load.parts.all()] == [4_000_000, 2_500_000]


def test_acres_share_a_load_to_the_thousandth(farm):
    load = farm.record(
        amount_text="10",
        parts=[PartDraft(farm.field, area_ac="1"), PartDraft(farm.other, area_ac="2")],
    )
    # 10,000 thousandths by 1 : 2 -> 3,333.33 and 6,666.67; the thousandth left over goes to the
    # larger remainder
    assert [part.amount_milli for part in load.parts.all()] == [3_333, 6_667]


def test_the_weight_drop_on_each_field_shares_a_load(farm):
    load = farm.record(
        amount_text="16000", amount_unit="lb",
        parts=[
            PartDraft(farm.field, weight_start_text="16000", weight_stop_text="10000"),
            PartDraft(farm.other, weight_start_text="10000", weight_stop_text="0"),
        ],
    )  # fmt: skip
    assert [part.amount_milli for part in load.parts.all()] == [6_000_000, 10_000_000]


def test_two_fields_without_any_share_are_refused(farm):
    farm.refused("2 fields", "acres", parts=[PartDraft(farm.field), PartDraft(farm.other)])


@pytest.mark.parametrize("acres", ["-1", "0", "NaN", "two"])
def test_acres_that_cannot_be_are_refused(farm, acres):
    farm.refused(acres, "acres", parts=[PartDraft(farm.field, area_ac=acres)])


def test_draws_and_what_was_on_board_make_up_the_load(farm):
    load = farm.record(carried_in_text="500", carried_out_text="200")
    assert [draw.amount_milli for draw in load.draws.all()] == [6_200_000]


def test_draws_that_do_not_add_up_are_refused(farm):
    farm.refused("6,000 gal", "6,500 gal", draws=[DrawDraft(farm.pit, "6000", "gal")])


def test_a_load_names_its_storage_unless_there_is_only_one(farm):
    assert [d.storage_id for d in farm.record(draws=[]).draws.all()] == [farm.pit.pk]
    builders.make_storage(farm.operation)
    farm.refused("which storage", draws=[])


def test_another_farms_manure_needs_no_storage(farm):
    load = farm.record(draws=[], origin="other_farm", origin_name="North Ridge")
    assert list(load.draws.all()) == []


def test_a_field_of_another_operation_does_not_exist_here(farm):
    stranger = builders.make_field(builders.make_operation())
    farm.refused("no such record", parts=[PartDraft(stranger)])


def test_a_field_not_yet_farmed_is_kept_with_a_warning(farm):
    load = farm.record(started=at("2022-05-01 09:00"))
    assert "not farmed here" in load.warnings[0]


def test_a_day_in_the_future_is_refused(farm):
    farm.refused("2027-04-20", "future", started=at("2027-04-20 12:00"))


def test_the_rate_test_was_known_that_day_the_content_test_lies_nearest(farm):
    old = builders.make_manure_test(
        farm.pit, dt.date(2026, 1, 10), reported_on=dt.date(2026, 1, 20)
    )
    late = builders.make_manure_test(
        farm.pit, dt.date(2026, 4, 18), reported_on=dt.date(2026, 4, 21)
    )
    load = farm.record()
    assert (load.rate_test, load.content_test) == (old, late)
    day_after = farm.record(started=NOON + dt.timedelta(days=1))
    assert day_after.rate_test == late


def test_a_late_result_proposes_itself_and_is_taken_with_a_reason(farm):
    old = builders.make_manure_test(farm.pit, dt.date(2026, 1, 10))
    stood, chosen = farm.record(), farm.record(content_test=None)
    other = builders.make_manure_test(farm.pit, dt.date(2025, 1, 10))
    fixed = farm.record(content_test=other)
    late = builders.make_manure_test(farm.pit, dt.date(2026, 4, 18))
    proposals = entry.propose_content_tests(farm.operation, late)
    assert {p.load.pk for p in proposals} == {stood.pk, chosen.pk}
    assert fixed.pk not in {p.load.pk for p in proposals}
    assert {p.now for p in proposals} == {old, None}
    loads = [p.load for p in proposals]
    assert entry.apply_content_tests(farm.seat, loads, late, "Result came on 21 April") == 2
    stood.refresh_from_db()
    assert (stood.content_test, stood.rev) == (late, 2)
    assert entry.propose_content_tests(farm.operation, late) == []


def test_a_load_of_a_filed_period_waits_and_the_owner_decides(farm):
    builders.save(
        ClosedPeriod(
            operation=farm.operation, from_on=dt.date(2026, 1, 1), to_on=dt.date(2026, 4, 20)
        )
    )
    late, refused = farm.record(), farm.record()
    after = farm.record(started=NOON + dt.timedelta(days=1))
    assert (late.status, refused.status, after.status) == ("waiting", "waiting", "counted")
    assert "waiting" in late.warnings[-1]
    with pytest.raises(PermissionDenied):
        entry.decide_waiting(farm.seat, late, True, "It was spread", base_rev=late.rev)
    owner = builders.make_seat(farm.operation, "owner")
    entry.decide_waiting(owner, late, True, "It was spread", base_rev=late.rev)
    entry.decide_waiting(owner, refused, False, "Entered twice", base_rev=refused.rev)
    late.refresh_from_db()
    refused.refresh_from_db()
    assert (late.status, late.voided) == ("counted", False)
    assert (refused.status, refused.voided) == ("waiting", True)
    with pytest.raises(EntryProblem, match="filed period"):
        entry.void_load(farm.seat, late, base_rev=late.rev, reason_text="wrong")


def test_amending_replaces_what_was_said_and_keeps_both(farm):
    load = farm.record()
    entry.amend_load(
        farm.seat, load, farm.draft(amount_text="5850"), base_rev=1, reason_code="measured_later",
        reason_text="Tank was not full",
    )  # fmt: skip
    load.refresh_from_db()
    assert (load.rev, load.amount_milli) == (2, 5_850_000)
    assert [part.amount_milli for part in load.parts.all()] == [5_850_000]


def test_amending_with_an_old_revision_shows_both(farm):
    load = farm.record()
    again = Load.objects.get(pk=load.pk)
    entry.amend_load(
        farm.seat, load, farm.draft(amount_text="5850"), base_rev=1, reason_code="slip",
        reason_text="slip",
    )  # fmt: skip
    with pytest.raises(write.StaleRevision) as caught:
        entry.amend_load(
            farm.seat, again, farm.draft(amount_text="5000"), base_rev=1, reason_code="slip",
            reason_text="slip",
        )  # fmt: skip
    assert caught.value.current.amount_milli == 5_850_000
    assert caught.value.yours.amount_milli == 5_000_000


@pytest.mark.parametrize("reason", ["", "  "])
def test_nothing_is_amended_or_voided_without_a_reason(farm, reason):
    load = farm.record()
    before = farm.counts()
    with pytest.raises(EntryProblem, match="Say why"):
        entry.void_load(farm.seat, load, base_rev=1, reason_text=reason)
    with pytest.raises(EntryProblem, match="Say why"):
        entry.amend_load(
            farm.seat, load, farm.draft(), base_rev=1, reason_code="slip", reason_text=reason
        )
    assert farm.counts() == before


def test_crew_enter_loads_but_planner_and_inspector_do_not(farm):
    crew = builders.make_seat(farm.operation, "crew")
    load = entry.record_load(crew, farm.draft(), channel="sync")
    assert load.person == crew.person
    for role in ("planner", "inspector"):
        with pytest.raises(PermissionDenied):
            entry.record_load(builders.make_seat(farm.operation, role), farm.draft(), channel="web")


def test_crew_amend_only_their_own_load_of_the_day(farm):
    crew = builders.make_seat(farm.operation, "crew")
    load = entry.record_load(crew, farm.draft(), channel="sync")
    with pytest.raises(PermissionDenied):
        entry.amend_load(
            crew, load, farm.draft(amount_text="1"), base_rev=1, reason_code="slip", reason_text="x"
        )


def test_the_same_sending_twice_is_one_load(farm):
    number = uuid4()
    first = entry.record_load(farm.seat, farm.draft(), channel="sync", client_op=number)
    again = entry.record_load(farm.seat, farm.draft(), channel="sync", client_op=number)
    assert first.pk == again.pk
    assert Load.objects.count() == 1


def test_many_loads_are_recorded_all_or_none(farm):
    before = farm.counts()
    with pytest.raises(EntryProblem) as caught:
        entry.record_loads(
            farm.seat, [farm.draft(), farm.draft(amount_text="-1")], channel="import"
        )
    assert caught.value.index == 1
    assert farm.counts() == before
    loads = entry.record_loads(farm.seat, [farm.draft(), farm.draft()], channel="import")
    assert len(loads) == Load.objects.count() == 2


def test_a_breach_of_law_is_never_refused(farm):
    load = farm.record(
        started=at("2026-01-15 09:00"), ground="frozen", snow_in=Decimal(8),
        amount_text="59000",
    )  # fmt: skip
    assert load.status == "counted"
