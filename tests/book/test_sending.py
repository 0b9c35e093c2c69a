"""A form is recorded once, however often its button is pressed or the way back is taken."""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from farmrecords.book import sending
from farmrecords.book.record_kinds import KINDS
from farmrecords.findings.models import RuleConfirmation
from farmrecords.findings.rulebooks import rulebook
from farmrecords.history.models import Entry
from farmrecords.loads.models import Load
from farmrecords.measurements.models import ManureTest, StorageLevel
from farmrecords.plan.models import NitrogenChoice, PermitCondition
from tests import builders
from tests.book.desk import Desk, words_of
from tests.book.records import entries

RULE = "VT-W-2"  # to be confirmed: read in a secondary source
SHEET = {
    "form": "liquid", "sampled_on": "2026-04-01", "basis": "as_is", "value_total_n": "24",
    "unit_total_n": "lb/1000 gal", "stands_so": "on",
}  # fmt: skip
CONDITION = {
    "kind": "cap", "text": "No more", "from_on": "2026-01-01", "document": "permit of 2026",
    "value": "1000", "unit": "gal/ac",
}  # fmt: skip
Form = tuple[str, tuple[Any, ...], dict[str, Any], type[Any], Callable[[Any], str]]


def number_on(answer: Any) -> str:
    found = re.findall(r'name="client_op" value="([^"]+)"', answer.content.decode())
    assert len(found) == 1
    return str(uuid.UUID(found[0]))


def opened(desk: Desk, name: str, *rest: Any) -> str:
    return number_on(desk.client.get(desk.url(name, *rest)))


def forms(desk: Desk) -> dict[str, Form]:
    """Page, rest of its address, what is sent, what it records, and where it leads again."""
    pit = desk.pit.pk
    seen = {"fingerprint": rulebook().rule(RULE).fingerprint}
    confirmed = {"document": "the rule as adopted", "confirmed_on": "2026-04-20"} | seen
    return {
        "load": ("enter_load", (), desk.form(), Load, lambda pk: desk.url("load", pk)),
        "level": (
            "enter_level", (pit,), {"reading_ft": "4.25"}, StorageLevel,
            lambda _pk: desk.url("storage", pit),
        ),
        "sheet": (
            "enter_manure_test", (), SHEET | {"storage": str(pit)}, ManureTest,
            lambda pk: desk.url("manure_test", pk),
        ),
        "condition": (
            "enter_condition", (), CONDITION, PermitCondition,
            lambda pk: desk.url("permit_condition", pk),
        ),
        "confirmation": (
            "confirm_rule", (RULE,), confirmed, RuleConfirmation,
            lambda _pk: desk.url("rule", RULE),
        ),
    }  # fmt: skip


ALL = ["load", "level", "sheet", "condition", "confirmation"]


@pytest.mark.parametrize("kind", list(KINDS))
def test_the_form_of_each_kind_of_record_is_recorded_once(desk: Desk, kind: str) -> None:
    page = desk.url("enter_record", kind)
    data = entries(desk, kind)
    data["client_op"] = number_on(desk.client.get(page))
    first = desk.client.post(page, data)
    assert first.status_code == 302, dict(first.context["form"].errors)
    head = desk.head()
    again = desk.client.post(page, data)
    assert (again.status_code, again["Location"]) == (302, first["Location"])
    assert desk.head() == head


def test_a_choice_of_a_nitrogen_system_is_recorded_once(desk: Desk) -> None:
    data = {"system": "NY", "from_on": "2026-01-01", "document": "the plan of 2026"}
    data["client_op"] = opened(desk, "enter_nitrogen")
    first = desk.post("enter_nitrogen", **data)
    assert first.status_code == 302, dict(first.context["form"].errors)
    made = NitrogenChoice.objects.get()
    again = desk.post("enter_nitrogen", **data)
    assert again["Location"] == desk.url("nitrogen_choice", made.pk)
    assert NitrogenChoice.objects.count() == 1


@pytest.mark.parametrize("which", ALL)
def test_the_same_form_twice_makes_one_record_and_leads_to_it(desk: Desk, which: str) -> None:
    name, rest, data, model, page = forms(desk)[which]
    known = set(model.objects.values_list("pk", flat=True))
    data = data | {"client_op": opened(desk, name, *rest)}
    assert desk.post(name, *rest, **data).status_code == 302
    made = model.objects.exclude(pk__in=known).get()
    head = desk.head()
    again = desk.post(name, *rest, **data)
    assert (again.status_code, again["Location"]) == (302, page(made.pk))
    assert "It is recorded once; here is the record" in words_of(desk.client.get(again["Location"]))
    assert model.objects.exclude(pk__in=known).count() == 1
    assert desk.head() == head


@pytest.mark.parametrize("which", ALL)
def test_a_form_opened_anew_has_a_new_number_and_records_one_more(desk: Desk, which: str) -> None:
    name, rest, data, model, _page = forms(desk)[which]
    known = model.objects.count()
    for _ in range(2 if which != "level" else 1):  # one level a day
        number = opened(desk, name, *rest)
        assert desk.post(name, *rest, **data | {"client_op": number}).status_code == 302
        assert Entry.objects.filter(client_op=number).count() == 1
        known += 1
        assert model.objects.count() == known
    assert opened(desk, name, *rest) != number


def test_a_refused_form_keeps_its_number(desk: Desk) -> None:
    number = opened(desk, "enter_load")
    refused = desk.post("enter_load", **desk.form(amount_text="", client_op=number))
    assert refused.status_code == 200
    assert number_on(refused) == number
    assert desk.post("enter_load", **desk.form(client_op=number)).status_code == 302
    assert Load.objects.count() == 1


def test_other_content_under_the_number_is_refused_and_may_be_sent_as_one_more(
    desk: Desk,
) -> None:
    number = opened(desk, "enter_load")
    desk.post("enter_load", **desk.form(client_op=number))
    first = Load.objects.get()
    other = desk.form(amount_text="3,000", started="2026-04-22T10:30", ended="2026-04-22T10:42")
    refused = desk.post("enter_load", **other | {"client_op": number})
    assert refused.status_code == 200
    page = words_of(refused)
    assert "sent before with other content, and what it said then is recorded" in page
    assert f'href="{desk.url("load", first.pk)}"' in page
    assert Load.objects.count() == 1
    anew = number_on(refused)
    assert anew != number
    assert desk.post("enter_load", **other | {"client_op": anew}).status_code == 302
    assert Load.objects.count() == 2


def test_the_number_of_another_page_is_other_content(desk: Desk) -> None:
    number = opened(desk, "enter_load")
    desk.post("enter_load", **desk.form(client_op=number))
    refused = desk.post("enter_condition", **CONDITION | {"client_op": number})
    assert "sent before with other content" in words_of(refused)
    assert not PermitCondition.objects.exists()


def test_the_number_of_somebody_else_is_refused_and_shows_nothing_of_theirs(desk: Desk) -> None:
    number = opened(desk, "enter_load")
    desk.post("enter_load", **desk.form(client_op=number))
    other = builders.make_person("ben")
    builders.make_member(desk.operation, "office", other)
    theirs = Client()
    theirs.force_login(other)
    refused = theirs.post(desk.url("enter_load"), desk.form(client_op=number))
    assert refused.status_code == 200
    assert "What this form recorded before" not in words_of(refused)
    assert Load.objects.count() == 1


@pytest.mark.parametrize("number", ["", "7", "no number"])
def test_a_form_without_a_number_counts_as_a_new_one(desk: Desk, number: str) -> None:
    assert desk.post("enter_load", **desk.form(client_op=number)).status_code == 302
    assert desk.post("enter_load", **desk.form(client_op=number)).status_code == 302
    assert Load.objects.count() == 2


@pytest.mark.parametrize("which", ALL)
def test_two_sendings_at_once_make_one_record(
    desk: Desk, which: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first is written between the look of the second and its own writing."""
    name, rest, data, model, page = forms(desk)[which]
    known = set(model.objects.values_list("pk", flat=True))
    data = data | {"client_op": opened(desk, name, *rest)}
    desk.post(name, *rest, **data)
    made = model.objects.exclude(pk__in=known).get()
    looks = iter([None])
    first = sending.Sending._first
    monkeypatch.setattr(sending.Sending, "_first", lambda own: next(looks, first(own)))
    again = desk.post(name, *rest, **data)
    assert (again.status_code, again["Location"]) == (302, page(made.pk))
    assert model.objects.exclude(pk__in=known).count() == 1


def test_other_content_at_the_same_moment_is_refused_too(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    number = opened(desk, "enter_load")
    desk.post("enter_load", **desk.form(client_op=number))
    looks = iter([None])
    first = sending.Sending._first
    monkeypatch.setattr(sending.Sending, "_first", lambda own: next(looks, first(own)))
    refused = desk.post("enter_load", **desk.form(amount_text="3,000", client_op=number))
    assert "sent before with other content" in words_of(refused)
    assert Load.objects.count() == 1
