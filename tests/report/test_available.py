"""Available nitrogen from the record to the load's page, the field's year and the report."""

import datetime as dt
import json
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from farmrecords.findings.surroundings import Surroundings
from farmrecords.findings.year_facts import year_facts
from farmrecords.loads.models import Fertilizer, Load
from farmrecords.loads.year import field_year
from farmrecords.people.models import Permit
from farmrecords.plan.models import NitrogenChoice, PlannedCrop, PlanVersion
from farmrecords.report.content import build
from farmrecords.rules.facts import UNKNOWN
from tests import builders

pytestmark = pytest.mark.django_db
LATE = dt.date(2025, 12, 1)
# CV-2.1, Montana State's worksheet step 5 (read): total N 21, NH4-N 8, NO3-N 0 lb/ton
MONTANA = {"total_n": "21", "ammonium_n": "8", "nitrate_n": "0", "p2o5": "18", "k2o": "26"}
# CV-2.2, Cornell (read): cow, 6 % dry matter, 5 lb organic N a ton
CORNELL = {"total_n": "5", "ammonium_n": "0", "p2o5": "4", "k2o": "4"}


class Case:
    """40 acres and a stack of solid manure; the loads are of 400 tons, 10 an acre."""

    def __init__(self, figures=MONTANA, approach="linear", solids=None, **crop):
        self.operation = builders.make_operation()
        if approach != "linear":
            builders.amend(Permit.objects.get(operation=self.operation), approach=approach)
        self.field = builders.make_field(self.operation, boundary=None, stated_ac=Decimal("40.0"))
        self.stack = builders.make_storage(self.operation, form="solid", species="dairy")
        rows = [
            {"analyte": name, "value": value, "unit": "lb/ton", "basis": "as_is"}
            for name, value in figures.items()
        ]
        if solids:
            rows.append({"analyte": "solids_pct", "value": solids, "unit": "%", "basis": "as_is"})
        self.test = builders.make_manure_test(self.stack, dt.date(2025, 2, 2), results=rows)
        plan = PlanVersion(
            operation=self.operation, from_on=builders.FIRST_DAY, label="P", approach=approach
        )
        builders.save(plan)
        told = {"n_counts": "available", "n_limit_lb_per_ac": Decimal(160)} | crop
        builders.save(
            PlannedCrop(operation=self.operation, plan=plan, field=self.field, crop_year=2025,
                        crop="corn", **told)
        )  # fmt: skip

    def choose(self, system, **values):
        return builders.make_nitrogen_choice(self.operation, system=system, **values)

    def spread(self, year=2025, tons=400, **values):
        return builders.make_load(
            self.field, self.stack, dt.date(year, 5, 4), amount_text=str(tons), amount_unit="ton",
            amount_kind="lb", amount_milli=tons * 2_000_000, content_test=self.test,
            rate_test=self.test, **values,
        )  # fmt: skip

    def starter(self, pounds="10"):
        builders.save(
            Fertilizer(operation=self.operation, field=self.field, spread_on=dt.date(2025, 5, 1),
                       crop_year=2025, product="starter", n_lb_per_ac=Decimal(pounds),
                       p2o5_lb_per_ac=Decimal(0))
        )  # fmt: skip

    @property
    def year(self):
        return field_year(self.field, 2025, until=LATE)

    def report(self):
        return build(self.operation, dt.date(2025, 1, 1), dt.date(2025, 12, 31))

    def page(self, name, *args):
        person = builders.make_person()
        builders.make_member(self.operation, "office", person)
        client = Client()
        client.force_login(person)
        answer = client.get(reverse(name, args=[self.operation.slug, *args]))
        assert answer.status_code == 200
        return " ".join(answer.content.decode().split())


def test_montanas_example_stands_alike_on_the_load_the_field_and_in_the_report():
    case = Case()
    case.choose("MT")
    load = case.spread(tons=100)
    # CV-2.1: 8.53 lb available N a ton; 100 tons 853 lb, on 40 ac 21.325 lb/ac
    (share,) = [row.available for row in case.year.parts]
    assert share.n_lb == pytest.approx(853.0)
    assert share.found.factors == {"ammonium retained": 0.66, "organic released": 0.25}
    assert case.year.available_n_lb_per_ac == pytest.approx(21.325)
    page = case.page("load", load.pk)
    assert "853.0" in page
    assert "solid with bedding, surface" in page
    assert "Nitrogen a crop can use in the first year" in page  # its worksheet
    assert "21.3" in case.page("field_year", case.field.pk, 2025)
    (item,) = case.report().fields
    assert item.nutrients.available_n_lb.value == Decimal("853.0")
    told = json.loads(_json(case))
    (row,) = told["report"]["fields"][0]["loads"]
    assert row["available"]["system"] == "MT"
    assert row["available"]["version"] == "CNMP step 5"
    assert row["available"]["evidence"] == "read"
    assert row["available"]["factors"] == [
        ["ammonium retained", "0.66"],
        ["organic released", "0.25"],
    ]


def _json(case):
    return case.page("report_json", "2025-01-01", "2025-12-31")


def test_the_limit_of_available_n_leaves_montanas_tons():
    case = Case()
    case.choose("MT")
    case.spread(tons=100)
    # federal reference 8.2: 160 / 8.53 x 40 ac = 750.29 tons; 100 of them are spread
    (left,) = case.year.left
    assert left.amount_milli / 2_000_000 == pytest.approx(650.29, abs=0.01)
    (row,) = case.report().fields[0].maximum
    assert float(row.per_ac.value) == pytest.approx(18.76, abs=0.005)  # printed 18.8 ton/ac
    assert float(row.amount.value) == pytest.approx(750.29, abs=0.05)


def test_the_narrative_limit_takes_off_credits_and_starter():
    case = Case(approach="narrative", n_credit_lb_per_ac=Decimal(70), credit_has_manure=True)
    case.choose("MT")
    case.starter()
    case.spread(tons=100)
    # federal reference 8.2: 160 - 40 legume - 30 soil N - 10 starter = 80; 80 / 8.53 x 40 = 375.15
    (row,) = case.report().fields[0].maximum
    assert float(row.amount.value) == pytest.approx(375.15, abs=0.05)
    (left,) = case.year.left
    assert left.amount_milli / 2_000_000 == pytest.approx(275.15, abs=0.01)


def test_cornells_decay_over_three_crop_years():
    case = Case(CORNELL, approach="narrative", solids="6", n_credit_lb_per_ac=Decimal(0),
                credit_has_manure=False)  # fmt: skip
    case.choose("NY")
    case.starter("0")
    for year in (2023, 2024, 2025):
        case.spread(year)
    # CV-2.2: 17.5 in the first year, 6.0 and 2.5 from the two years before
    assert case.year.available_n_lb_per_ac == pytest.approx(17.5)
    assert case.year.residual.lb_per_ac == pytest.approx(8.5)
    assert case.year.terms.n.manure_lb_per_ac == pytest.approx(160 - 8.5)
    (row,) = case.report().narrative.inputs
    assert row.residual_n.value == Decimal("8.5")
    assert row.n_for_manure.value == Decimal("151.5")
    # an autumn load for next year's crop counts from that crop year on
    case.spread(2025, crop_year=2026)
    assert case.year.available_n_lb_per_ac == pytest.approx(17.5)


def test_whether_credits_hold_earlier_manure_is_asked_only_where_there_is_some():
    case = Case(CORNELL, approach="narrative", solids="6", n_credit_lb_per_ac=Decimal(0))
    case.choose("NY")
    case.starter("0")
    case.spread(2023)
    assert "manure of earlier years" in case.year.terms.why
    other = Case(CORNELL, approach="narrative", solids="6", n_credit_lb_per_ac=Decimal(0))
    other.choose("NY")
    other.starter("0")
    elsewhere = builders.make_field(other.operation)
    builders.make_load(elsewhere, other.stack, dt.date(2023, 5, 4))
    assert other.year.terms.why == ""
    assert other.year.residual.lb_per_ac == 0


def test_earlier_years_that_are_not_in_the_book_are_not_taken_as_none():
    case = Case(CORNELL, solids="6")
    case.choose("NY")
    case.spread(2024)
    assert case.year.residual.lb_per_ac is None
    assert "not all in the book" in case.year.residual.why


def test_without_a_system_in_force_that_day_it_cannot_be_told():
    case = Case()
    case.spread()
    assert "chose no system" in case.year.parts[0].available.why
    case.choose("MT", from_on=dt.date(2025, 5, 5))
    assert "chose no system" in case.year.parts[0].available.why
    case.choose("MT", from_on=dt.date(2025, 5, 4))
    assert case.year.parts[0].available.why == ""
    (row,) = case.report().fields[0].maximum
    assert row.amount.is_known


def test_the_missing_fact_is_named_on_the_loads_page():
    case = Case(CORNELL)
    case.choose("NY")
    load = case.spread()
    assert "not recorded: the dry matter in the manure test" in case.page("load", load.pk)
    assert case.year.available_n_lb is None
    (left,) = case.year.left
    assert left.amount_milli is None
    assert "dry matter" in left.why


def test_rules_hold_a_limit_of_available_n_only_against_figures_that_were_read():
    def counted(case):
        around = Surroundings(case.operation)
        facts = year_facts(around, case.year, LATE)
        return facts.get("year.n_counted_whole_field_lb_per_ac")

    case = Case()
    case.choose("ND")  # 60 % of total N in the first season (read)
    case.spread(tons=100)
    # 100 tons x 21 lb x 0.60 on 40 ac: 31.5 lb/ac
    assert float(counted(case)) == pytest.approx(31.5)
    memory = Case()
    memory.choose("WI")  # dairy, solid: from memory
    memory.spread(tons=100)
    assert memory.year.available_n_lb_per_ac == pytest.approx(100 * 21 * 0.25 / 40)
    assert counted(memory) is UNKNOWN


def test_the_choice_is_entered_amended_and_taken_back_on_its_pages():
    operation = builders.make_operation()
    person = builders.make_person()
    builders.make_member(operation, "planner", person)
    builders.make_grant(operation.memberships.get(), dt.date(2020, 1, 1), dt.date(2030, 1, 1))
    client = Client()
    client.force_login(person)

    def send(name, *args, **data):
        return client.post(reverse(name, args=[operation.slug, *args]), data)

    lacking = send("enter_nitrogen", system="IA", from_on="2025-01-01", document="plan")
    assert "reading" in lacking.context["form"].errors
    answer = send(
        "enter_nitrogen", system="IA", reading="upper", from_on="2025-01-01", document="plan"
    )
    assert answer.status_code == 302
    made = NitrogenChoice.objects.get()
    assert (made.system, made.version, made.reading) == ("IA", "PMR 1003, 2016", "upper")
    page = client.get(reverse("nitrogen_choice", args=[operation.slug, made.pk])).content.decode()
    assert "from memory" in page
    assert "read in its source" in page
    send(
        "amend_nitrogen", made.pk, system="IA", reading="lower", from_on="2025-01-01",
        document="plan", revision="1", reason_text="a slip",
    )  # fmt: skip
    assert NitrogenChoice.objects.get().reading == "lower"
    send("void_nitrogen", made.pk, revision="2", reason_text="not ours")
    assert NitrogenChoice.objects.get().voided
    assert not Load.objects.exists()
