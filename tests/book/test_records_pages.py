"""Every kind of record through the common pages: entered, amended, made void, both kept."""

from __future__ import annotations

from typing import Any

import pytest

from farmrecords.book.record_kinds import KINDS
from tests.book.desk import Desk
from tests.book.records import CHANGES, FORMS, entries

EACH = pytest.mark.parametrize("kind", list(KINDS))


def post(desk: Desk, page: str, kind: str, /, *rest: Any, **sent: Any) -> Any:
    """Send a form; an entry of it may be called as a parameter is elsewhere."""
    return desk.client.post(desk.url(page, kind, *rest), sent)


def enter(desk: Desk, kind: str, /, **values: Any) -> Any:
    """Enter a record by its page and return it."""
    sent = entries(desk, kind) | values
    model: Any = KINDS[kind].model
    known = set(model.objects.values_list("pk", flat=True))
    answer = post(desk, "enter_record", kind, **sent)
    assert answer.status_code == 302, dict(answer.context["form"].errors)
    found = model.objects.exclude(pk__in=known).get()
    assert answer["Location"] == desk.url("record_page", kind, found.pk)
    return found


def refused(desk: Desk, kind: str, /, **values: Any) -> dict[str, list[str]]:
    """What the page says of entries it does not take; nothing is written."""
    sent = entries(desk, kind) | values
    before = desk.head()
    answer = post(desk, "enter_record", kind, **sent)
    assert answer.status_code == 200, "it was taken"
    assert desk.head() == before
    errors = answer.context["form"].errors
    return {name: [str(one) for one in errors[name]] for name in errors}


def test_every_kind_is_tested_here() -> None:
    assert set(KINDS) == set(FORMS) == set(CHANGES)


@EACH
def test_what_is_entered_stands_in_its_register_and_on_its_page(desk: Desk, kind: str) -> None:
    row = enter(desk, kind)
    assert (row.rev, row.voided) == (1, False)
    assert desk.url("record_page", kind, row.pk) in desk.get("register", kind)
    assert ", office, <time" in desk.get("record_page", kind, row.pk)


@EACH
def test_an_amendment_shows_what_stood_before_with_its_reason(desk: Desk, kind: str) -> None:
    row = enter(desk, kind)
    name, value = CHANGES[kind]
    sent = desk.form_as_shown("amend_record", kind, row.pk)
    answer = post(
        desk,
        "amend_record",
        kind,
        row.pk,
        **sent | {name: value, "reason_text": "a slip of the pen"},
    )
    assert answer.status_code == 302, dict(answer.context["form"].errors)
    row.refresh_from_db()
    assert row.rev == 2
    page = desk.get("record_page", kind, row.pk)
    assert "a slip of the pen" in page
    assert value in page


@EACH
def test_an_untouched_amendment_is_nothing_to_amend(desk: Desk, kind: str) -> None:
    row = enter(desk, kind)
    before = desk.head()
    sent = desk.form_as_shown("amend_record", kind, row.pk)
    answer = post(desk, "amend_record", kind, row.pk, **sent | {"reason_text": "no reason"})
    assert answer.status_code == 200
    assert "nothing to amend" in str(answer.context["form"].errors)
    assert desk.head() == before


@EACH
def test_who_was_slower_sees_both_versions_and_overwrites_nothing(desk: Desk, kind: str) -> None:
    row = enter(desk, kind)
    name, value = CHANGES[kind]
    sent = desk.form_as_shown("amend_record", kind, row.pk) | {"reason_text": "a slip"}
    assert post(desk, "amend_record", kind, row.pk, **sent | {name: value}).status_code == 302
    head = desk.head()
    answer = post(desk, "amend_record", kind, row.pk, **sent)
    assert answer.status_code == 200
    assert desk.head() == head
    assert len(answer.context["conflict"]) == 1
    label, theirs, mine = answer.context["conflict"][0]
    assert theirs != mine
    assert label == answer.context["form"].fields[name].label


@EACH
def test_what_is_void_stays_struck_out_in_its_register(desk: Desk, kind: str) -> None:
    row = enter(desk, kind)
    answer = post(desk, "void_record", kind, row.pk, revision="1", reason_text="another farm's")
    assert answer.status_code == 302
    page = desk.get("register", kind)
    line = page[page.index(desk.url("record_page", kind, row.pk)) :]
    assert line[line.index(">") :].startswith("><del>")
    assert "another farm's" in desk.get("record_page", kind, row.pk)
    assert desk.client.get(desk.url("amend_record", kind, row.pk)).status_code == 404
    assert desk.client.get(desk.url("void_record", kind, row.pk)).status_code == 404


@EACH
def test_a_void_of_an_older_revision_shows_what_came_since(desk: Desk, kind: str) -> None:
    row = enter(desk, kind)
    name, value = CHANGES[kind]
    sent = desk.form_as_shown("amend_record", kind, row.pk) | {"reason_text": "a slip"}
    assert post(desk, "amend_record", kind, row.pk, **sent | {name: value}).status_code == 302
    answer = post(desk, "void_record", kind, row.pk, revision="1", reason_text="ended")
    assert answer.status_code == 200
    assert len(answer.context["later"]) == 1
    row.refresh_from_db()
    assert not row.voided


@EACH
def test_an_empty_form_names_every_entry_that_is_needed(desk: Desk, kind: str) -> None:
    before = desk.head()
    answer = post(desk, "enter_record", kind)
    assert answer.status_code == 200
    assert desk.head() == before
    errors = answer.context["form"].errors
    assert errors
    for name in errors:
        for words in errors[name]:
            assert "This field" not in words, (name, words)


def test_the_registers_are_found_from_one_page(desk: Desk) -> None:
    page = desk.get("records")
    for kind in KINDS:
        assert desk.url("register", kind) in page
