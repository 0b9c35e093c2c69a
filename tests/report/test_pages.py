"""The pages of the report: who sees them, that they say what the PDF and the JSON say."""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
import html
import io
import json
import re
from decimal import Decimal

import pdfplumber
import pytest
from django.urls import NoReverseMatch, reverse

from farmrecords.history import canon, clock
from farmrecords.loads.models import Fertilizer, Transfer
from farmrecords.measurements.models import Discharge
from farmrecords.people.models import Permit
from farmrecords.report.content import build
from farmrecords.report.cover import jurisdiction_names
from farmrecords.report.figures import Address
from farmrecords.report.model import ITEMS
from farmrecords.templatetags.report_figures import address_url
from tests import builders as make

pytestmark = pytest.mark.django_db

DAYS = ("2026-01-01", "2026-12-31")
NOON = dt.datetime(2026, 4, 22, 16, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def _spring():
    with clock.standing_at(NOON):
        yield


@pytest.fixture
def farm():
    operation = make.make_operation("hill-farm")
    tank = make.make_storage(operation, "Long tank")
    test = make.make_manure_test(tank, dt.date(2026, 3, 1))
    field = make.make_field(operation, "7", boundary=None, stated_ac=Decimal("9.5"))
    for day in range(6):
        make.make_load(
            field,
            tank,
            dt.date(2026, 4, 10 + day),
            gallons=4200,
            rate_test=test,
            content_test=test,
        )
    return operation


def signed_in(client, operation, role="office", grant=None):
    membership = make.make_member(operation, role)
    if grant:
        make.make_grant(membership, *grant)
    client.force_login(membership.person)
    return client


def address(name, operation, *days):
    return reverse(name, args=(operation.slug, *days))


def words_of(page) -> str:
    """The text of a page without its markup."""
    return html.unescape(re.sub(r"<[^>]+>", " ", page.content.decode()))


def test_the_running_period_is_offered_first(client, farm):
    page = signed_in(client, farm).get(address("report", farm))
    assert page.status_code == 200
    assert "2026-01-01 to 2026-12-31" in " ".join(words_of(page).split())
    assert address("report_period", farm, *DAYS) in page.content.decode()


def test_other_days_lead_to_their_report(client, farm):
    page = signed_in(client, farm).get(
        address("report", farm), {"first": "2026-04-01", "last": "2026-04-30"}
    )
    assert page.status_code == 302
    assert page.url == address("report_period", farm, "2026-04-01", "2026-04-30")


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        ("2026-02-30", "2026-04-30", "2026-02-30"),
        ("spring", "2026-04-30", "spring"),
        ("2026-05-01", "2026-04-30", "before the first day"),
        ("2020-01-01", "2026-04-30", "longer than"),
    ],
)
def test_days_that_make_no_period_are_named(client, farm, first, last, said):
    page = signed_in(client, farm).get(address("report", farm), {"first": first, "last": last})
    assert page.status_code == 422
    assert said in words_of(page)


@pytest.mark.parametrize(
    ("role", "status"),
    [
        ("owner", 200),
        ("office", 200),
        ("planner", 200),
        ("inspector", 200),
        ("crew", 404),
        ("hauler", 404),
    ],
)
@pytest.mark.parametrize("name", ["report_period", "report_pdf", "report_json"])
def test_who_sees_the_report(client, farm, role, status, name):
    grant = (dt.date(2026, 1, 1), dt.date(2026, 12, 31))
    signed_in(client, farm, role, grant if role in ("planner", "inspector") else None)
    assert client.get(address(name, farm, *DAYS)).status_code == status


def test_another_farms_office_finds_nothing(client, farm):
    signed_in(client, make.make_operation("other-farm"))
    for name in ("report_period", "report_pdf", "report_json"):
        assert client.get(address(name, farm, *DAYS)).status_code == 404


def test_without_signing_in_there_is_no_report(client, farm):
    page = client.get(address("report_period", farm, *DAYS))
    assert page.status_code == 302
    assert reverse("sign_in") in page.url


@pytest.mark.parametrize("days", [("2026-13-01", "2026-12-31"), ("2026-12-31", "2026-01-01")])
def test_days_that_make_no_period_have_no_report(client, farm, days):
    assert signed_in(client, farm).get(address("report_period", farm, *days)).status_code == 404


def test_an_inspectors_report_holds_the_granted_days_alone(client, farm):
    grant = (dt.date(2026, 4, 12), dt.date(2026, 4, 13))
    signed_in(client, farm, "inspector", grant)
    words = " ".join(words_of(client.get(address("report_period", farm, *DAYS))).split())
    assert "2026-04-12 to 2026-04-13" in words
    assert "8,400 gal" in words  # 2 x 4,200
    assert "25,200" not in words
    told = json.loads(client.get(address("report_json", farm, *DAYS)).content)
    assert told["report"]["cover"]["first_on"] == "2026-04-12"


def test_page_pdf_and_json_say_the_same_numbers(client, farm):
    signed_in(client, farm)
    words = words_of(client.get(address("report_period", farm, *DAYS)))
    with pdfplumber.open(
        io.BytesIO(client.get(address("report_pdf", farm, *DAYS)).content)
    ) as book:
        paper = "\n".join(page.extract_text() for page in book.pages)
    told = json.loads(client.get(address("report_json", farm, *DAYS)).content)
    field = told["report"]["fields"][0]
    # constructed, worked by hand
    assert field["applied"][0]["per_field_ac"]["value"] == "2652.6"
    assert field["nutrients"]["n_lb_per_ac"]["value"] == "66.32"
    for figure in ("25,200", "2,652.6", "66.32", "31.83", "13.89"):
        assert figure in words
        assert figure in paper
    for load in field["loads"]:
        assert load["local_day"] in words
        assert load["local_day"] in paper


def test_the_hash_in_the_json_is_that_of_its_own_content(client, farm):
    told = json.loads(signed_in(client, farm).get(address("report_json", farm, *DAYS)).content)
    content = canon.canonical(told["report"])
    assert hashlib.sha256(content).hexdigest() == told["report_hash"]
    farm.log.refresh_from_db()
    assert told["history"]["hash"] == farm.log.head_hash


def test_two_downloads_are_the_same_bytes(client, farm):
    signed_in(client, farm)
    url = address("report_pdf", farm, *DAYS)
    assert client.get(url).content == client.get(url).content


def test_the_report_is_the_same_in_every_language_of_the_reader(client, farm):
    signed_in(client, farm)
    url = address("report_json", farm, *DAYS)
    english = client.get(url).content
    assert client.get(url, headers={"accept-language": "es"}).content == english


def test_figures_lead_to_their_records(client, farm):
    page = signed_in(client, farm).get(address("report_period", farm, *DAYS)).content.decode()
    load = farm.loads.first()
    field = farm.fields.first()
    assert f'href="{address("load", farm, load.pk)}"' in page
    assert f'href="{address("field", farm, field.pk)}"' in page
    assert f"{address('loads', farm)}?first=2026-01-01&amp;last=2026-12-31" in page


def test_names_are_text_on_the_page(client, farm):
    field = make.make_field(farm, "8", boundary=None, stated_ac=Decimal(5))
    tank = make.make_storage(farm, "<script>alert(1)</script>")
    make.make_load(field, tank, dt.date(2026, 4, 20))
    page = signed_in(client, farm).get(address("report_period", farm, *DAYS)).content.decode()
    assert "<script>alert(1)" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page


def test_the_page_says_that_it_is_a_draft_and_claims_no_more_than_it_may(client, farm):
    words = words_of(signed_in(client, farm).get(address("report_period", farm, *DAYS)))
    assert "Draft, not signed" in words
    # 40 CFR 3 and 127: what a record book must not say
    for claim in ("in compliance", "CROMERR", "EPA-approved"):
        assert claim not in words


def test_headings_stand_in_the_order_of_the_law(client, farm):
    page = signed_in(client, farm).get(address("report_period", farm, *DAYS)).content.decode()
    places = [page.index(f'id="item-{key}"') for key in ITEMS]
    assert places == sorted(places)
    assert page.index('id="item-viii"') < page.index('id="findings"')


def test_every_address_of_a_report_leads_to_a_page(client, farm):
    """Also those of rows that the small farm above has none of: hand-overs, discharges, soil."""
    made = full_report(farm)
    found = list(addresses(made))
    assert {one.name for one in found} >= {"fields", "loads", "field", "load", "manure_test"}
    signed_in(client, farm)
    for one in found:
        assert client.get(address_url(one, farm.slug), follow=True).status_code == 200


def test_an_address_without_a_page_is_not_passed_over():
    with pytest.raises(NoReverseMatch):
        address_url(Address("no_such_page"), "hill-farm")


def full_report(farm):
    field = farm.fields.first()
    make.make_soil_test(field, dt.date(2026, 3, 3))
    make.save(Discharge(operation=farm, happened_on=dt.date(2026, 3, 3), volume_text="about 5"))
    make.save(
        Transfer(
            operation=farm, direction="out", moved_on=dt.date(2026, 3, 3), amount_text="5",
            amount_unit="gal", amount_kind="gal", amount_milli=5000,
        )
    )  # fmt: skip
    make.save(
        Fertilizer(
            operation=farm, field=field, spread_on=dt.date(2026, 3, 3), crop_year=2026, product="x"
        )
    )
    make.amend(Permit.objects.get(operation=farm), approach="narrative")
    return build(farm, dt.date(2026, 1, 1), dt.date(2026, 12, 31))


def addresses(value):
    """Every address in a report, however deep."""
    if isinstance(value, Address):
        yield value
    elif dataclasses.is_dataclass(value):
        for part in dataclasses.fields(value):
            yield from addresses(getattr(value, part.name))
    elif isinstance(value, tuple):
        for inner in value:
            yield from addresses(inner)


def test_the_body_is_english_throughout_and_says_so_in_a_page_of_another_language(client, farm):
    client.cookies["django_language"] = "es"
    page = signed_in(client, farm).get(address("report_period", farm, *DAYS)).content.decode()
    frame, _, rest = page.partition('<div lang="en">')
    body = rest[: rest.index("</main>")]
    assert '<html lang="es">' in frame
    assert "Borrador" in frame
    for words in ("Acres covered", "Crops and yields", "Manure test", "Findings"):
        assert words in body
    assert "no se puede saber" not in body


def test_the_cover_names_the_jurisdictions_as_they_call_themselves():
    assert jurisdiction_names(("us", "us-vt", "us-zz")) == "United States, federal; Vermont; us-zz"
