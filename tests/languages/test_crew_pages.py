"""The crew reads its pages in Spanish, and numbers in them cannot be misread."""

from __future__ import annotations

import datetime as dt
import re
from decimal import Decimal

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse
from django.utils import translation
from django.utils.formats import date_format, number_format

from farmrecords.history import clock
from farmrecords.loads.amounts import shown
from farmrecords.loads.models import Load
from tests.languages.catalogues import PLACES, messages
from tests.languages.crew import NOW, OFFICE, TODAY, Farm, crew_templates, is_for_the_crew, visible
from tests.languages.sources import texts_of_python, texts_of_templates

pytestmark = pytest.mark.django_db


@pytest.fixture
def farm():
    with clock.standing_at(NOW):
        yield Farm()


@pytest.fixture(scope="module")
def pages(django_db_setup, django_db_blocker) -> dict[str, str]:
    """The crew's pages, rendered once for a person of the crew who reads Spanish."""
    found = {}
    with django_db_blocker.unblock(), transaction.atomic():
        with clock.standing_at(NOW):
            farm = Farm()
            client = farm.client()
            for name, address in farm.pages().items():
                answer = client.get(address)
                assert answer.status_code == 200, name
                found[name] = answer.content.decode()
        transaction.set_rollback(True)
    return found


def english_of_the_crew() -> list[str]:
    """English texts of the crew's pages that differ from their Spanish, in two words or more."""
    found = []
    for row in messages(0):
        said = row.texts[0] != row.msgid and any(is_for_the_crew(s) for s in row.sources)
        parts = [part.strip(" .,;:()") for part in PLACES.split(row.msgid)]
        found += [part for part in parts if said and len(part.split()) > 1]
    found += [
        row.msgid
        for row in messages(1)
        if row.is_translated and row.texts[0] != row.msgid and len(row.msgid.split()) > 2
    ]
    return found


def test_no_page_of_the_crew_says_anything_in_english(pages: dict[str, str]) -> None:
    texts = english_of_the_crew()
    assert len(texts) > 500
    for name, page in pages.items():
        words = visible(page)
        said = [text for text in texts if re.search(rf"(?<!\w){re.escape(text)}(?!\w)", words)]
        assert said == [], name


def test_the_page_names_its_language(pages: dict[str, str], farm: Farm) -> None:
    assert [name for name, page in pages.items() if '<html lang="es">' not in page] == []
    english = Client()
    english.force_login(farm.person)
    page = english.get(reverse("loads", args=[farm.operation.slug])).content.decode()
    assert '<html lang="en' in page


# Whole sentences: half a caution, or one turned round, is a danger. Stand where the wind comes
# from: facing into it or with the wind in the face would be read as the other side.
CAUTIONS = {
    "start": "El gas del estiércol mata sin avisar. Nadie entra en una fosa o un tanque; mientras "
    "se agita, póngase del lado de donde viene el viento, con el viento a la espalda; manténgase "
    "lejos de ejes en movimiento y de almacenes abiertos.",
    "storage": "Nunca entre en una fosa o un tanque. Al agitar sale gas: personas y animales "
    "afuera, aire en movimiento, y alguien que pueda pedir ayuda.",
    "enter_load": "Manténgase lejos de ejes en movimiento y de mangueras con presión. En el camino "
    "cuentan la carga, las luces y los límites del camino.",
}


def test_the_safety_cautions_stand_in_spanish_where_the_work_is_done(pages: dict[str, str]) -> None:
    for name, caution in CAUTIONS.items():
        assert caution in visible(pages[name])


def test_a_finding_is_said_in_spanish_with_its_numbers(pages: dict[str, str]) -> None:
    words = visible(pages["load"])
    assert "no se puede saber; falta saber: día de la evaluación de transporte del campo" in words
    assert "arroyo permanente: 133.75 ft; se pide: al menos 100 ft" in words


def test_an_amount_reads_the_same_in_both_languages(pages: dict[str, str]) -> None:
    """Mexican usage: comma between thousands, point before decimals (common practice)."""
    assert "6,500 gal" in visible(pages["load"])
    with translation.override("es"):
        assert shown(6_500_000, "gal") == "6,500 gal"
        assert number_format(Decimal("6500.25"), 2, force_grouping=True) == "6,500.25"
        assert number_format(Decimal("0.5"), 1) == "0.5"
        assert date_format(dt.date(2026, 4, 22)) == "22 de abril de 2026"
        assert "lb/ac" in pages["field_year"]


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize(
    ("typed", "milli"), [("6,500", 6_500_000), ("6500", 6_500_000), ("6,500.5", 6_500_500)]
)
def test_an_amount_typed_means_the_same_in_both_languages(
    farm: Farm, language: str, typed: str, milli: int
) -> None:
    client = farm.client()
    client.cookies["django_language"] = language
    answer = client.post(
        reverse("enter_load", args=[farm.operation.slug]),
        {
            "started": "2026-04-22T09:30", "amount_text": typed, "amount_unit": "gal",
            "measured_by": "rated", "field_1": str(farm.field.pk), "storage_1": str(farm.pit.pk),
            "method": "surface", "ground": "dry", "origin": "own",
        },
    )  # fmt: skip
    assert answer.status_code == 302, answer.content.decode()
    load = Load.objects.exclude(pk=farm.load.pk).get()
    assert load.amount_milli == milli
    assert load.amount_text == typed
    assert load.local_day == TODAY


def test_a_refused_entry_says_why_in_spanish(farm: Farm) -> None:
    client = farm.client()
    answer = client.post(
        reverse("enter_load", args=[farm.operation.slug]),
        {"started": "2026-04-22T09:30", "amount_text": "0", "amount_unit": "gal",
         "measured_by": "rated", "field_1": str(farm.field.pk), "storage_1": str(farm.pit.pk),
         "method": "surface", "ground": "dry", "origin": "own"},
    )  # fmt: skip
    assert "debe ser mayor que cero" in answer.content.decode()


@pytest.mark.parametrize("name", ["measure_start", "measure_stop"])
def test_a_reading_that_is_no_number_is_refused_in_spanish(farm: Farm, name: str) -> None:
    answer = farm.client().post(
        reverse("enter_load", args=[farm.operation.slug]),
        {"started": "2026-04-22T09:30", "amount_unit": "gal", "measured_by": "meter",
         "measure_start": "100", "measure_stop": "7000", name: "6e3",
         "field_1": str(farm.field.pk), "storage_1": str(farm.pit.pk),
         "method": "surface", "ground": "dry", "origin": "own"},
    )  # fmt: skip
    (said,) = answer.context["form"].errors[name]
    assert "'6e3'" in said
    assert "Escriba el número completo" in said


def test_signing_in_brings_the_language_of_the_person_and_the_switch_changes_it(
    farm: Farm,
) -> None:
    farm.person.set_password("spreading-in-spring")
    farm.person.save()
    client = Client()
    entry = {"username": "zuzu", "password": "spreading-in-spring"}
    answer = client.post(reverse("sign_in"), entry)
    assert answer.status_code == 302
    assert client.cookies["django_language"].value == "es"
    address = reverse("loads", args=[farm.operation.slug])
    assert '<html lang="es">' in client.get(address).content.decode()
    client.post(reverse("set_language"), {"language": "en", "next": address})
    assert '<html lang="en' in client.get(address).content.decode()
    farm.person.refresh_from_db()
    assert farm.person.language == "es"


def test_the_sign_in_page_speaks_spanish_to_a_browser_from_mexico() -> None:
    page = Client(headers={"Accept-Language": "es-MX,es;q=0.9"}).get(reverse("sign_in"))
    assert "Entrar" in page.content.decode()


def test_every_text_the_crew_may_read_is_in_the_catalogue() -> None:
    held = {row.msgid for row in messages(0)}
    texts = {*texts_of_templates(crew_templates()), *texts_of_python(is_for_the_crew)}
    assert len(texts) > 300
    assert texts - held == set(), "Run manage.py makemessages and fill in the Spanish."
    assert {"tests", "decide"} < OFFICE
