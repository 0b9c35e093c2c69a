"""Findings of storages, transfers and the operation stand on their pages and on the start page."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from farmrecords.loads.models import Transfer
from farmrecords.measurements.models import Deficiency, StorageLevel
from tests import builders
from tests.book.desk import TODAY, Desk

LEVELS = "Level of each liquid storage read each week"
GIVEN = "Newest analysis given before the transfer"
THIRTY = "Deficiency corrected or explained"
HEADING = "What the rules say"


@pytest.fixture
def yard(desk: Desk) -> Desk:
    """A level read once, a deficiency left open, a transfer whose analysis came late."""
    desk.level = StorageLevel(
        operation=desk.operation, storage=desk.pit, read_on=dt.date(2026, 1, 5),
        reading_ft=Decimal("4"),
    )  # fmt: skip
    builders.save(desk.level)
    builders.save(
        Deficiency(
            operation=desk.operation, found_on=dt.date(2026, 2, 1), description="marker leaning"
        )
    )
    desk.transfer = builders.save(
        Transfer(
            operation=desk.operation, direction="out", storage=desk.pit, test=desk.test,
            moved_on=dt.date(2026, 4, 1), analysis_given_on=dt.date(2026, 4, 2),
            amount_text="4200", amount_unit="gal", amount_milli=4_200_000, amount_kind="gal",
            receiver_name="Tolland Farm", receiver_address="2 Mill Road",
        )
    )  # fmt: skip
    return desk


def test_the_storage_page_says_what_the_rules_say(yard: Desk) -> None:
    page = yard.get("storage", yard.pit.pk)
    assert HEADING in page
    assert f"Judged now, from the records of 2026-01-01 to {TODAY}." in page
    assert LEVELS in page


def test_the_page_of_a_transfer_says_what_the_rules_say(yard: Desk) -> None:
    assert GIVEN in yard.get("record_page", "transfers", yard.transfer.pk)


def test_the_permit_page_has_the_findings_of_the_operation(yard: Desk) -> None:
    assert THIRTY in yard.get("permit")


def test_the_start_page_counts_them_with_links_to_their_records(yard: Desk) -> None:
    page = yard.get("start")
    assert LEVELS in page
    assert GIVEN in page
    assert THIRTY in page
    answer = yard.client.get(yard.url("start")).content.decode()
    assert f"{yard.url('storage', yard.pit.pk)}#finding-US-F24" in answer
    assert f"{yard.url('record_page', 'transfers', yard.transfer.pk)}#finding-US-F41-GIVEN" in (
        answer
    )


def test_the_crew_reads_levels_but_no_findings(yard: Desk) -> None:
    crew = builders.make_person("crew")
    builders.make_member(yard.operation, "crew", crew)
    yard.client.force_login(crew)
    assert HEADING not in yard.get("storage", yard.pit.pk)
    assert LEVELS not in yard.get("start")


def test_a_planner_sees_findings_of_the_granted_days_alone(yard: Desk) -> None:
    planner = builders.make_person("planner")
    member = builders.make_member(yard.operation, "planner", planner)
    builders.make_grant(member, dt.date(2026, 3, 1), dt.date(2026, 3, 31))
    yard.client.force_login(planner)
    page = yard.get("storage", yard.pit.pk)
    assert "Judged now, from the records of 2026-03-01 to 2026-03-31." in page
    assert GIVEN not in yard.get("start")
