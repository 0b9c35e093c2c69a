"""Hand calculators: each worksheet on its page, worked from its example, refusing bad figures."""

from __future__ import annotations

import html
import re

import pytest
from django.test import Client
from django.urls import reverse

from farmrecords.book.worksheet_form import WorksheetForm, example_values
from farmrecords.calculations.worksheet import list_worksheets, plain, worksheet_named
from tests import builders

NAMES = [kind.name for kind in list_worksheets()]


@pytest.fixture
def office(db: None, client: Client) -> Client:
    operation = builders.make_operation("calc")
    client.force_login(builders.make_seat(operation, "office").person)
    return client


def page_words(page: object) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page.content.decode())).split())


@pytest.mark.parametrize("name", NAMES)
def test_the_form_gives_the_example_back_as_the_worksheet_takes_it(name: str) -> None:
    kind = worksheet_named(name)
    form = WorksheetForm(kind, example_values(kind))
    assert form.is_valid(), form.errors
    again, at_once = kind.run(form.inputs()), kind.run(kind.example)
    assert plain(again.outputs) == plain(at_once.outputs)


def test_every_worksheet_works_its_example_on_its_page(office: Client) -> None:
    for name in NAMES:
        kind = worksheet_named(name)
        page = office.get(reverse("worksheet", args=("calc", name)), example_values(kind))
        assert page.status_code == 200, (name, page_words(page)[:400])
        assert "Result" in page_words(page), name


def test_the_list_names_every_worksheet(office: Client) -> None:
    words = page_words(office.get(reverse("worksheets", args=("calc",))))
    for name in NAMES:
        assert worksheet_named(name).title in words


def test_a_figure_out_of_range_is_refused_with_range_and_reason(office: Client) -> None:
    """CV-4.3 gives a swath of 0.7323 ac; none is not an area."""
    page = office.get(
        reverse("worksheet", args=("calc", "load_rate")),
        {"amount": "8.13", "unit": "ton", "covered_ac": "0"},
    )
    assert page.status_code == 422
    assert "covered_ac is 0" in page_words(page)
    assert "range" in page_words(page)


def test_cv_4_3_is_reproduced_on_the_page(office: Client) -> None:
    """agronomy reference CV-4.3: 8.13 tons on 0.7323 ac are 11.10 tons/ac."""
    page = office.get(
        reverse("worksheet", args=("calc", "load_rate")),
        {"amount": "8.13", "unit": "ton", "covered_ac": "0.7323"},
    )
    assert "11.1" in page_words(page)


def test_an_unknown_worksheet_is_not_found(office: Client) -> None:
    assert office.get(reverse("worksheet", args=("calc", "nothing"))).status_code == 404


def test_the_calibration_sheet_shows_its_pattern_as_a_picture(office: Client) -> None:
    kind = worksheet_named("spread_pattern")
    page = office.get(reverse("worksheet", args=("calc", kind.name)), example_values(kind))
    body = page.content.decode()
    assert body.count('<svg xmlns="http://www.w3.org/2000/svg" class="drawing"') == 2
    assert "effective width 20 ft" in body  # between the two trays with 2 of 4, 10 ft each side
    assert "with neighbouring passes 20 ft apart" in body  # triangle of base 40 ft: even at 20 ft


def test_a_figure_a_telltale_factor_from_an_earlier_one_asks_on_its_page(office: Client) -> None:
    """4.37 P2O5 where an earlier test had 10: P written for P2O5 (factor 2.29)."""
    kind = worksheet_named("load_nutrients")
    given = example_values(kind) | {
        "p2o5": "4.37",
        "earlier-0-name": "p2o5",
        "earlier-0-value": "10",
    }
    page = office.get(reverse("worksheet", args=("calc", kind.name)), given)
    assert page.status_code == 200
    assert "Is this right? p2o5 is 4.37 and was 10: a factor near 2.29" in page_words(page)


def test_an_entry_of_a_row_that_cannot_be_taken_is_said_beside_it(office: Client) -> None:
    kind = worksheet_named("load_nutrients")
    given = example_values(kind) | {"earlier-0-name": "p2o5", "earlier-0-value": "1" * 61}
    page = office.get(reverse("worksheet", args=("calc", kind.name)), given)
    assert page.status_code == 422
    row = page.content.decode().split('name="earlier-0-value"')[1].split("</td>")[0]
    assert "61 characters were given and 60 fit" in row


def test_an_answer_of_yes_or_no_has_no_unit_behind_it(office: Client) -> None:
    """Part A of Pennsylvania's index: 201 ppm Mehlich-3 asks for part B."""
    example = example_values(worksheet_named("p_screening_pa"))
    words = page_words(office.get(reverse("worksheet", args=("calc", "p_screening_pa")), example))
    assert "whether part B, the index, is needed yes" in words
    assert "yes yes or no" not in words
    assert "as Act 38 means it, yes or no" not in words


@pytest.mark.parametrize(
    ("name", "words"), [("distance", "lon -89.5, lat 43"), ("p_index_1993", "soil erosion 3")]
)
def test_a_group_of_figures_is_shown_by_name(office: Client, name: str, words: str) -> None:
    """A plane's middle in degrees; case LG-1 of the matrix: 1.5 x 2 points for erosion."""
    example = example_values(worksheet_named(name))
    shown = page_words(office.get(reverse("worksheet", args=("calc", name)), example))
    assert words in shown
    assert "{'" not in shown


def test_no_heading_or_label_ends_in_a_unit_that_is_no_unit() -> None:
    for name in NAMES:
        form = WorksheetForm(worksheet_named(name))
        words = [str(field.label) for field in form.fields.values()]
        words += [heading for _one, headings, _rows in form.lists for heading in headings]
        odd = [one for one in words if one.endswith((", yes or no", ", word", ", sentence", ", "))]
        assert odd == [], name
        assert [one for one in words if "_" in one] == [], name
