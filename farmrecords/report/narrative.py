"""What the narrative rate approach adds: soil tests, the inputs of the calculation, fertilizer."""

from __future__ import annotations

from farmrecords.farm.models import Field
from farmrecords.measurements.models import SoilTest
from farmrecords.measurements.results import value_of
from farmrecords.report.figures import Address, figure
from farmrecords.report.items import NOTHING_ENTERED, statement_of
from farmrecords.report.maximum import limits_of
from farmrecords.report.model import FertilizerRow, InputRow, Narrative, SoilTestRow
from farmrecords.report.rows import Rows
from farmrecords.report.tests_used import reported_values

SOIL_N_AND_P = ("soil_p", "soil_nitrate_n", "soil_p_fiv")


def narrative_of(rows: Rows) -> Narrative | None:
    """The additions for a narrative filer; a linear filer is not asked for them."""
    approach = rows.permit.approach if rows.permit else None
    if approach != "narrative":
        return None
    statement = rows.statement_about("fertilizer")
    words = ""
    if not rows.fertilizers:
        words = "None, as stated below." if statement else NOTHING_ENTERED.capitalize() + "."
    return Narrative(
        soil_tests=tuple(_soil_row(row) for row in rows.soil_tests if _has_n_or_p(row)),
        inputs=tuple(
            _input_row(rows, field, crop_year)
            for field in rows.used_fields
            for crop_year in _crop_years(rows, field)
        ),
        fertilizer=tuple(
            FertilizerRow(
                str(row.field),
                row.spread_on,
                row.product,
                figure(row.n_lb_per_ac, "lb/ac", 1),
                figure(row.p2o5_lb_per_ac, "lb/ac", 1),
                Address("fertilizer", (("pk", str(row.pk)),)),
            )
            for row in rows.fertilizers
        ),
        fertilizer_statement=statement_of(statement),
        fertilizer_words=words,
    )


def _has_n_or_p(row: SoilTest) -> bool:
    return any(value_of(row.results, analyte) for analyte in SOIL_N_AND_P)


def _soil_row(row: SoilTest) -> SoilTestRow:
    kept = [value for value in row.results if value["analyte"] in SOIL_N_AND_P]
    return SoilTestRow(
        str(row.field),
        row.sampled_on,
        row.laboratory,
        row.extractant,
        row.depth_in,
        reported_values(kept),
        Address("soil_test", (("pk", str(row.pk)),)),
    )


def _crop_years(rows: Rows, field: Field) -> list[int]:
    return sorted({part.load.crop_year for part in rows.parts_by_field[field.pk]})


def _input_row(rows: Rows, field: Field, crop_year: int) -> InputRow:
    limits = limits_of(rows, field, crop_year)
    goal = limits.crops[0] if len(limits.crops) == 1 else None
    latest = [row for row in rows.soil_tests if row.field_id == field.pk]
    soil = value_of(latest[-1].results, "soil_p") if latest else None
    fertilizer = [
        row.n_lb_per_ac
        for row in rows.fertilizers
        if row.field_id == field.pk and row.crop_year == crop_year
    ]
    return InputRow(
        field=str(field),
        crop_year=crop_year,
        crop=limits.names or "not in the plan",
        yield_goal=figure(
            goal.yield_goal if goal else None,
            f"{goal.yield_unit}/ac" if goal else "",
            1,
            missing="the yield goal",
        ),
        n_credit=figure(limits.total("n_credit_lb_per_ac"), "lb/ac", 1, missing="N credits"),
        fertilizer_n=figure(
            sum(fertilizer) if fertilizer else None, "lb/ac", 1, missing="none entered"
        ),
        soil_p=f"{soil['value']} {soil['unit']}" if soil else "no soil test in the period",
        rate_basis="; ".join(crop.rate_basis for crop in limits.crops if crop.rate_basis),
    )
