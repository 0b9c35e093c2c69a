"""A small report made by hand, for tests of its renderings: one field, six loads, one hand-over.

The field and its loads are constructed and worked by hand:
6 loads of 4,200 gal on 9.5 ac with 25 lb N and 12 lb P2O5 per 1,000 gal.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from decimal import Decimal
from typing import Any

from farmrecords.farm.kinds import ANIMAL_KINDS
from farmrecords.report.certification import LINES
from farmrecords.report.figures import Address, figure
from farmrecords.report.land import LandMap, LandmarkShape, SwathShape, ZoneShape
from farmrecords.report.model import (
    AcresInPlan,
    AcresUsed,
    AnimalRow,
    Animals,
    AnnualReport,
    AppliedRow,
    Certification,
    Counts,
    Cover,
    CropRow,
    Discharges,
    FieldItem,
    FindingRow,
    FindingsPart,
    Generated,
    HistoryHead,
    LoadRow,
    LoadTotal,
    MaximumRow,
    Nutrients,
    PlannerStatement,
    Reported,
    RuleFindings,
    Statement,
    TestRow,
    Transferred,
    TransferRow,
)

FIRST, LAST = dt.date(2025, 1, 1), dt.date(2025, 12, 31)
NOWHERE = Address("load", (("pk", "0b0c7f52-8a1d-4f2e-8a43-2f3a5f2d9c01"),))


def load_row(number: int, **values: Any) -> LoadRow:
    row = LoadRow(
        number=number,
        local_day=dt.date(2025, 4, 10) + dt.timedelta(days=number),
        start="09:30",
        amount=figure(4200, "gal", 0),
        covered_ac=figure(1.55, "ac", 2),
        covered_from="track",
        per_ac=figure(2709.7, "gal/ac", 0),
        method="on the surface",
        source="Long tank",
        test="Long tank 2025-03-01",
        n_lb=figure(105.0, "lb", 1),
        p2o5_lb=figure(50.4, "lb", 1),
        records=NOWHERE,
    )
    return dataclasses.replace(row, **values)


def land() -> LandMap:
    outline = ((-300, -340), (300, -340), (300, 350), (-300, 350), (-300, -340))
    strips = tuple(
        SwathShape(
            ((((x, -300), (x + 60, -300), (x + 60, 300), (x, 300), (x, -300)),),),
            Decimal(2500 + 40 * i),
            "gal/ac",
        )
        for i, x in enumerate(range(-200, 160, 60))
    )
    ditch = LandmarkShape("Mill ditch", "line", ((-380, -380), (-340, 420)))
    well = LandmarkShape("House well", "point", ((360, 330),))
    zone = ZoneShape(
        "Mill ditch: 100 ft",
        ((((-300, -340), (-262, -340), (-255, 350), (-300, 350), (-300, -340)),),),
    )
    return LandMap(((outline,),), strips, (ditch, well), (zone,))


def field_item(**values: Any) -> FieldItem:
    nothing = figure(None, "ton/ac", 1, missing="no harvest is entered in the period")
    item = FieldItem(
        number="7",
        name="Lower meadow",
        field_ac=figure(Decimal("9.5"), "ac", 1),
        covered_ac=figure(9.0, "ac", 1),
        covered_basis="tracks of 6 loads, each piece of ground once",
        control="owned",
        is_under_control=True,
        crops=(
            CropRow(2025, "corn silage", dt.date(2025, 5, 9), dt.date(2025, 9, 20),
                    figure(Decimal("21.5"), "ton/ac", 1)),
            CropRow(2026, "winter rye", dt.date(2025, 9, 28), None, nothing),
        ),
        applied=(AppliedRow("liquid, gallons", 6, figure(25200, "gal", 0),
                            figure(25200 / 9.5, "gal/ac", 1)),),
        nutrients=Nutrients(
            figure(630.0, "lb", 1),
            figure(302.4, "lb", 1),
            figure(630 / 9.5, "lb/ac", 2),
            figure(302.4 / 9.5, "lb/ac", 2),
            figure(302.4 / 9.5 / 2.2914, "lb/ac", 2),
        ),
        maximum=(
            MaximumRow(2025, "corn silage", "Plan of 2024", figure(Decimal(160), "lb/ac", 1),
                       figure(Decimal(80), "lb/ac", 1), "total N", "Long tank 2025-03-01",
                       figure(60800.0, "gal", 0), figure(6400.0, "gal/ac", 1), "N",
                       figure(25200, "gal", 0), figure(9.5, "ac", 1), "the whole field"),
        ),
        loads=tuple(load_row(n) for n in range(1, 7)),
        totals=(
            LoadTotal(
                figure(25200, "gal", 0), figure(630.0, "lb", 1), figure(302.4, "lb", 1)
            ),
        ),
        land=land(),
        records=Address("field", (("pk", "0b0c7f52-8a1d-4f2e-8a43-2f3a5f2d9c02"),)),
    )  # fmt: skip
    return dataclasses.replace(item, **values)


def sample_report(**values: Any) -> AnnualReport:
    cover = Cover(
        operation="Example Operation One",
        address="12 Ridge Road",
        permit_number="VT0000001",
        is_permitted=True,
        size_class="large",
        class_basis="820 mature cows",
        approach="linear",
        jurisdictions=("us", "us-vt"),
        first_on=FIRST,
        last_on=LAST,
        is_whole_period=True,
        due_on=dt.date(2026, 2, 15),
    )
    stated = Statement("Owner One", dt.date(2026, 1, 3), FIRST, LAST, "walked every week")
    report = AnnualReport(
        cover=cover,
        animals=Animals("latest count", tuple(_animals(*kind) for kind in ANIMAL_KINDS)),
        generated=Generated(
            figure(3_100_000, "gal", 0), figure(None, "tons", 2, missing="the stock"),
            "what left, and the change of level", figure(3_200_000, "gal", 0),
            figure(Decimal("812.5"), "tons", 2), figure(-100_000, "gal", 0),
            figure(None, "tons", 2, missing="the stock"),
            figure(0, "gal", 0), figure(0, "tons", 2),
        ),
        transferred=Transferred(
            figure(0, "gal", 0), figure(Decimal("102.25"), "tons", 2),
            (TransferRow(dt.date(2025, 6, 2), "Neighbour", "3 Hill Road",
                         figure(Decimal("102.25"), "tons", 2), dt.date(2025, 6, 1)),),
            None, "",
        ),
        acres_in_plan=AcresInPlan(figure(Decimal("410.2"), "ac", 1), 14, "Plan of 2024", "14"),
        acres_used=AcresUsed("field", figure(Decimal("9.5"), "ac", 1), figure(9.0, "ac", 1), 1,
                             "Fields that took at least one load, each once."),
        discharges=Discharges((), stated, "None, as stated below."),
        planner=PlannerStatement("yes", "Plan of 2024", dt.date(2024, 3, 1), dt.date(2024, 2, 1),
                                 "Planner One", "CP-17", "The current version was approved."),
        tests=(
            TestRow("Long tank", "liquid", dt.date(2025, 3, 1), "Laboratory",
                    (Reported("total N", "25", "lb/1000 gal", "as is"),
                     Reported("P2O5", "12", "lb/1000 gal", "as is")),
                    figure(25.0, "lb/1,000 gal", 2), figure(12.0, "lb/1,000 gal", 2),
                    figure(12 / 2.2914, "lb/1,000 gal", 2), ()),
        ),
        fields=(field_item(),),
        narrative=None,
        certification=Certification("I state what the permit asks me to state.", "permit, part 9",
                                    dt.date(2021, 3, 1), LINES, "To be signed by hand."),
        findings=_findings(),
        history=HistoryHead("6f1e2f0a-3c57-4c1e-9d1b-0a6a6f0f5b11", 1234, "5a8aaba1" * 8,
                            dt.datetime(2026, 1, 5, 12, 0, tzinfo=dt.UTC)),
    )  # fmt: skip
    return dataclasses.replace(report, **values)


def _animals(kind: str, label: Any) -> AnimalRow:
    if kind == "dairy_mature":
        return AnimalRow(
            kind, str(label), figure(0, "head", 0), figure(820, "head", 0), ("Milking herd",)
        )
    return AnimalRow(kind, str(label), None, None)


def _findings() -> FindingsPart:
    near = FindingRow(
        "2025-04-12 09:30, 7 Lower meadow", "The load came nearer than the distance asked.",
        ("distance: 82 ft; asked: at least 100 ft",), (), 1,
    )  # fmt: skip
    unknown = FindingRow(
        "2025-04-13 09:30, 7 Lower meadow and 3 more", "The rain before the load is not known.",
        (), ("rain in the day before",), 4,
    )  # fmt: skip
    rule = RuleFindings(
        "us.412_4_c_5", "Distance to surface water and conduits", "40 CFR 412.4(c)(5)", "read",
        "firm", 2, (near,), (unknown,), (),
    )  # fmt: skip
    return FindingsPart(Counts(2, 1, 4, 0), Counts(), (rule,), "What was checked.")
