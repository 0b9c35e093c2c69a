"""What the narrative rate approach adds: soil tests, the inputs of the calculation, fertilizer."""

from __future__ import annotations

from decimal import Decimal

from farmrecords.farm.models import Field, StatementOfNone
from farmrecords.loads.limits import Limits
from farmrecords.loads.models import Fertilizer
from farmrecords.measurements.models import SoilTest
from farmrecords.measurements.results import value_of
from farmrecords.report.cover import is_narrative
from farmrecords.report.figures import Figure, figure
from farmrecords.report.items import NOTHING_ENTERED, contradiction, statement_of
from farmrecords.report.maximum import limits_for, terms_for
from farmrecords.report.model import FertilizerRow, InputRow, Narrative, SoilTestRow
from farmrecords.report.rows import Rows
from farmrecords.report.tests_used import reported_values

SOIL_N_AND_P = ("soil_p", "soil_nitrate_n", "soil_p_fiv")


def narrative_of(rows: Rows) -> Narrative | None:
    """The additions for a narrative filer; a linear filer is not asked for them.

    Where permit and plan name different approaches they are shown as well.
    """
    named = {row.approach for row in (rows.permit, rows.plan) if row is not None}
    if is_narrative(rows) is False or "narrative" not in named:
        return None
    statements = _statements(rows)
    return Narrative(
        soil_tests=tuple(_soil_row(row) for row in rows.soil_tests if _has_n_or_p(row)),
        inputs=tuple(
            _input_row(rows, field, crop_year)
            for field in rows.used_fields
            for crop_year in _crop_years(rows, field)
        ),
        fertilizer=tuple(_fertilizer_row(row) for row in rows.fertilizers),
        fertilizer_statements=tuple(
            made for row in statements if (made := statement_of(row)) is not None
        ),
        fertilizer_words=_fertilizer_words(rows),
    )


def _statements(rows: Rows) -> list[StatementOfNone]:
    """Statements that no fertilizer was spread in the period: of the farm, else of its fields."""
    whole = rows.statement_about("fertilizer")
    if whole is not None:
        return [whole]
    each = [rows.statement_about("fertilizer", field) for field in rows.used_fields]
    return [row for row in each if row is not None]


def _fertilizer_words(rows: Rows) -> str:
    """That none was spread, for which fields nobody said so, and where two entries disagree."""
    stated = [field for field in rows.used_fields if rows.statement_about("fertilizer", field)]
    whole = rows.statement_about("fertilizer")
    spread = {row.field_id for row in rows.fertilizers}
    against = whole if spread else None
    for field in stated:
        if field.pk in spread:
            against = against or rows.statement_about("fertilizer", field)
    words = [contradiction(bool(against), against, "fertilizer")]
    if not spread and whole:
        words.append("None, as stated below.")
    elif not spread and not stated:
        words.append(NOTHING_ENTERED.capitalize() + ".")
    elif not whole:
        said = {field.pk for field in stated} | spread
        unsaid = [str(field) for field in rows.used_fields if field.pk not in said]
        if unsaid:
            words.append(f"{NOTHING_ENTERED.capitalize()}: {'; '.join(unsaid)}.")
    return " ".join(word for word in words if word)


def _fertilizer_row(row: Fertilizer) -> FertilizerRow:
    return FertilizerRow(
        str(row.field),
        row.spread_on,
        row.product,
        figure(row.n_lb_per_ac, "lb/ac", 1),
        figure(row.p2o5_lb_per_ac, "lb/ac", 1),
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
    )


def _crop_years(rows: Rows, field: Field) -> list[int]:
    return sorted({part.load.crop_year for part in rows.parts_by_field[field.pk]})


def _input_row(rows: Rows, field: Field, crop_year: int) -> InputRow:
    limits = limits_for(rows, field, crop_year)
    terms = terms_for(rows, field, crop_year)
    goal = limits.crops[0] if len(limits.crops) == 1 else None
    latest = [row for row in rows.soil_tests if row.field_id == field.pk]
    soil = value_of(latest[-1].results, "soil_p") if latest else None
    passes = rows.fertilizers_of(field, crop_year)
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
        n_limit=figure(limits.n_lb_per_ac, "lb/ac", 1, missing="the plan states none"),
        n_credit=figure(limits.n_credit_lb_per_ac, "lb/ac", 1, missing="N credits"),
        fertilizer_n=_sum([row.n_lb_per_ac for row in passes]),
        fertilizer_p2o5=_sum([row.p2o5_lb_per_ac for row in passes]),
        n_for_manure=figure(terms.n.manure_lb_per_ac, "lb/ac", 1, missing=terms.n.why),
        soil_p=f"{soil['value']} {soil['unit']}" if soil else "no test in the period",
        rate_basis="; ".join(crop.rate_basis for crop in limits.crops if crop.rate_basis),
        residual_n=_residual(rows, field, crop_year, limits),
    )


def _residual(rows: Rows, field: Field, crop_year: int, limits: Limits) -> Figure | None:
    """What manure of earlier years gives, where the limit counts available N and it comes off."""
    if limits.n_counts != "available" or limits.credit_has_manure:
        return None
    found = rows.residual_of(field, crop_year)
    return figure(found.lb_per_ac, "lb/ac", 1, missing=found.why)


def _sum(pounds: list[Decimal]) -> Figure:
    return figure(sum(pounds) if pounds else None, "lb/ac", 1, missing="none entered")
