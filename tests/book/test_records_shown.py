"""What is entered on the common pages counts where it should: papers, report, dated facts."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from farmrecords.book.record_cells import plain
from farmrecords.loads.transfer_papers import missing_papers
from farmrecords.measurements.results import value_of
from farmrecords.templatetags.records import days_whole
from tests import builders
from tests.book.desk import TODAY, Desk
from tests.book.test_records_pages import enter, post

YEAR = ("2026-01-01", "2026-12-31")


def test_a_transfer_by_the_page_stands_in_the_report_until_it_is_void(desk: Desk) -> None:
    row = enter(desk, "transfers")
    assert (row.amount_milli, row.amount_kind) == (180_000_000, "gal")
    report = desk.get("report_period", *YEAR)
    assert "Orla Fenn" in report
    assert "180,000" in report
    sent = desk.form_as_shown("amend_record", "transfers", row.pk)
    change = {"amount_text": "170,500", "reason_text": "the ticket says so"}
    post(desk, "amend_record", "transfers", row.pk, **sent | change)
    report = desk.get("report_period", *YEAR)
    assert "170,500" in report
    assert "180,000" not in report
    post(desk, "void_record", "transfers", row.pk, revision="2", reason_text="another farm's")
    assert "Orla Fenn" not in desk.get("report_period", *YEAR)


def test_an_amount_in_tons_is_kept_as_typed_and_in_pounds(desk: Desk) -> None:
    row = enter(desk, "transfers", amount_text="8.13", amount_unit="ton")
    assert (row.amount_text, row.amount_unit) == ("8.13", "ton")
    assert (row.amount_milli, row.amount_kind) == (16_260_000, "lb")  # 8.13 x 2,000 lb


@pytest.mark.parametrize(
    ("left_out", "words"),
    [
        ("receiver_name", "the name of the receiver"),
        ("receiver_address", "the address of the receiver"),
        ("test", "the manure test"),
        ("analysis_given_on", "the day the analysis was handed over"),
    ],
)
def test_a_transfer_without_a_paper_is_kept_and_says_which(
    desk: Desk, left_out: str, words: str
) -> None:
    row = enter(desk, "transfers", **{left_out: ""})
    (missing,) = missing_papers(row)
    assert words in missing
    assert f"incomplete: {missing}" in desk.get("register", "transfers")
    assert f"incomplete: {missing}" in desk.get("record_page", "transfers", row.pk)


def test_the_analysis_goes_no_later_than_the_manure(desk: Desk) -> None:
    """40 CFR 122.42(e)(3): the analysis is given before the manure is transferred."""
    on_the_day = enter(desk, "transfers", analysis_given_on="2026-04-21")
    assert missing_papers(on_the_day) == []
    assert "complete" in desk.get("record_page", "transfers", on_the_day.pk)
    after = enter(desk, "transfers", analysis_given_on="2026-04-22")
    assert "2026-04-22" in missing_papers(after)[0]


def test_no_analysis_is_handed_over_before_its_sample(desk: Desk) -> None:
    on_the_day = enter(desk, "transfers", analysis_given_on="2026-03-01")  # sampled that day
    assert missing_papers(on_the_day) == []
    before = enter(desk, "transfers", analysis_given_on="2026-02-28")
    assert "2026-03-01" in missing_papers(before)[0]


def test_a_field_without_a_file_has_its_facts_from_its_first_day(desk: Desk) -> None:
    field = enter(desk, "fields")
    assert field.aliases == ["hill", "back forty"]
    version = field.version_on(dt.date(2026, 3, 1))
    assert version is not None
    assert (version.control, version.stated_ac) == ("rented", Decimal("12.5"))
    assert version.boundary is None
    assert field.version_on(dt.date(2026, 2, 28)) is None
    assert "Upper meadow" in desk.get("fields")


def test_new_facts_of_a_field_keep_its_outline(desk: Desk) -> None:
    before = desk.field.version_on(dt.date(2026, 3, 31))
    enter(desk, "field-facts")
    after = desk.field.version_on(dt.date(2026, 4, 1))
    assert before is not None
    assert after is not None
    assert after.boundary == before.boundary
    assert after.slope_pct == 6
    assert desk.field.version_on(dt.date(2026, 3, 31)) == before


def test_a_soil_test_keeps_figures_as_reported(desk: Desk) -> None:
    row = enter(desk, "soil-tests")
    assert value_of(row.results, "soil_p") == {"analyte": "soil_p", "value": "12", "unit": "ppm"}
    assert value_of(row.results, "soil_al") is None
    assert "soil-test P 12 ppm" in desk.get("tests")


def test_acidity_is_shown_without_its_name_twice() -> None:
    assert plain([{"analyte": "soil_ph", "value": "6.7", "unit": "pH"}]) == "pH 6.7"


def test_a_day_in_a_title_does_not_break_at_its_hyphens() -> None:
    shown = days_whole("2025-10-04, <Square> Piece")
    assert shown == '<span class="day">2025-10-04</span>, &lt;Square&gt; Piece'


def test_corners_are_typed_latitude_first_and_kept_as_longitude_first(desk: Desk) -> None:
    row = enter(desk, "features")
    assert row.geometry == {
        "type": "LineString",
        "coordinates": [[-73.2, 44.1], [-73.201, 44.101]],
    }
    area = "44.1, -73.2\n44.2, -73.2\n44.2, -73.1"
    ring = enter(desk, "features", shape="area", corners=area).geometry["coordinates"][0]
    assert ring[0] == ring[-1]
    assert len(ring) == 4


def test_a_feature_of_many_pieces_keeps_its_place_when_its_name_is_amended(desk: Desk) -> None:
    pieces = {
        "type": "MultiLineString",
        "coordinates": [[[-73.2, 44.1], [-73.1, 44.1]], [[-73.2, 44.2], [-73.1, 44.2]]],
    }
    row = builders.make_feature(desk.operation, "ditch", pieces)
    sent = desk.form_as_shown("amend_record", "features", row.pk)
    sent["corners"] = sent["corners"].replace("\n", "\r\n")  # as browsers end lines
    answer = post(
        desk, "amend_record", "features", row.pk, **sent | {"name": "East", "reason_text": "named"}
    )
    assert answer.status_code == 302, dict(answer.context["form"].errors)
    row.refresh_from_db()
    assert row.geometry == pieces
    assert row.name == "East"


def test_a_line_that_is_an_area_is_amended_by_its_shape(desk: Desk) -> None:
    row = enter(desk, "features", corners="44.1, -73.2\n44.2, -73.2\n44.2, -73.1")
    sent = desk.form_as_shown("amend_record", "features", row.pk)
    change = {"shape": "area", "reason_text": "it is a pond"}
    post(desk, "amend_record", "features", row.pk, **sent | change)
    row.refresh_from_db()
    assert row.geometry["type"] == "Polygon"


def test_a_deficiency_names_the_day_by_which_it_is_put_right(desk: Desk) -> None:
    """40 CFR 412.37(b)(3): within thirty days; 20 April and 30 days are 20 May."""
    row = enter(desk, "deficiencies")
    assert "2026-05-20" in desk.get("record_page", "deficiencies", row.pk)
    assert row.description in desk.get("start")


def test_a_statement_carries_who_looked_and_today(desk: Desk) -> None:
    row = enter(desk, "statements", stated_on="2026-01-05")
    assert (row.stated_by, row.stated_on) == (desk.person, TODAY)


def test_a_register_shows_the_latest_year_and_offers_the_others(desk: Desk) -> None:
    enter(desk, "harvests", harvested_on="2025-09-20", crop="corn", crop_year="2025")
    enter(desk, "harvests")
    page = desk.get("register", "harvests")
    assert "rye silage" in page
    assert "2025-09-20" not in page
    assert "2025-09-20" in desk.get("register", "harvests", year="2025")
    assert "rye silage" in desk.get("register", "harvests", year="no year")


def test_a_register_asks_as_often_for_many_records_as_for_one(
    desk: Desk, django_assert_max_num_queries
) -> None:
    enter(desk, "harvests")
    with django_assert_max_num_queries(14) as asked:
        desk.get("register", "harvests")
    few = len(asked)
    for number in range(8):
        enter(desk, "harvests", crop=f"crop {number}")
    with django_assert_max_num_queries(few):
        desk.get("register", "harvests")


def test_a_surveyed_storage_keeps_its_table(desk: Desk) -> None:
    row = enter(desk, "storages", shape="stage_table", table="0 0\n2.5 180,000\n10 900000")
    assert row.stage_table == [["0", "0"], ["2.5", "180000"], ["10", "900000"]]
