"""Worksheets give published results when their inputs are those of the published example."""

import pytest

from farmrecords.calculations.worksheet import WorksheetError, run_worksheet, worksheet_named

# name, output, published value, tolerance (ids of the check values in the title of each row)
EXAMPLES = [
    ("sheet_calibration", "rate_ton_per_ac", 12, 0.005),  # CV-4.1, Iowa State EPC, 2001
    ("flow_rate", "rate_gal_per_ac", 4950, 1e-9),  # 800 gal/min x 495 / (20 ft x 4 mph), memory
    ("drive_length", "length_ft", 726, 1e-9),  # WAC 173-308-270: 100 ft of 43,560 by 6,000
    ("removal_from_analysis", "removal_lb_per_ac", 86.8, 1e-9),  # CV-3.3
    ("effluent_inches", "depth_in", 9.20, 0.015),  # CV-2.6
    ("soil_water_limit", "limit_gal_per_ac", 7241, 0.5),  # CV-7.2
    ("trench_depth", "depth_in", 3.59, 0.005),  # CV-7.1: 0.479 in on 30-in centres, 4 in wide
    ("animal_manure", "manure_ton", 1095, 1e-9),  # CV-5.1
    ("bedding_volume", "bedding_cuft", 1627.5, 1e-9),  # CV-6.1
    ("rain_on_storage", "rain_gal", 1_004_698, 20),  # CV-6.5 with 27,154 gal per acre-inch
    ("pump_out_mark", "below_top_ft", 1.75, 0.005),  # CV-6.3
    ("usle", "soil_loss_ton_per_ac", 11.4852, 5e-5),  # USLE-1
    ("usle_ls", "ls", 1.4018, 5e-5),  # USLE-2
    ("rusle_ls", "ls", 2.2312, 5e-5),  # RUSLE-2
    ("fertilizer_product", "product_lb", 151, 0.5),  # CV-3.5
    ("load_rate", "rate", 11.10, 0.005),  # CV-4.3
    ("available_nitrogen", "available_n", 8.53, 0.005),  # CV-2.1
    ("crop_removal", "n_lb_per_ac", 135, 1e-9),  # CV-3.2
    ("nitrogen_need", "needed_lb_per_ac", 165, 0),  # CV-2.4
    ("p_index_pa", "index", 82.6667, 5e-5),  # PA-5
    ("p_index_ny", "index", 75.0, 1e-9),  # NY-4
    ("p_index_1993", "index", 15.25, 0),  # LG-1
    ("p_loss", "total_kg_per_ha", 23.863, 5e-4),  # V-1
    ("distance", "distance_ft", 364.48, 0.01),  # 0.001 degree of meridian at 43 N, geographiclib
    ("spread_pattern", "best_spacing_ft", 20, 0),  # triangle of base 40 ft
    ("storage_balance", "residual", 10, 0),
    ("nutrient_value", "total", 95, 1e-9),
    ("maximum_rate", "units_per_ac", 18.8, 0.05),  # CV-2.1
    ("remaining_amount", "whole_loads", 10, 0),
    ("storage_days", "days", 287.7, 0.1),  # CV-6.4: 5 ft of 71,800 gal (printed), 1,248 gal a day
    ("animal_units", "units", 348, 1e-9),  # CV-5.4
    ("realistic_yield", "yield_per_ac", 195, 0),  # best four of five
    ("yearly_rate", "amount", 375.15, 0.005),  # federal reference 8.2, narrative
    ("left_under_limits", "left", 128_000, 0),  # (6,400 - 3,200 lb) / 25 lb per 1,000 gal
    ("residual_nitrogen", "credit_lb_per_ac", 8.5, 1e-9),  # CV-2.2: 6.0 + 2.5
    ("box_load", "load_ton", 7.2765, 1e-9),  # 35 lb x 1.5 x 277.2 cu ft / 2,000
    ("soil_k", "k", 0.41, 0),  # OMAFRA 12-051: silt loam below 2 %
    ("soil_k_nomograph", "k_metric", 0.0503, 5e-5),  # M 5,525, OM 2.8, b 2, c 4, worked by hand
    ("rain_factor", "r", 204.12, 0.005),  # 1,000 mm: 3,473.8 metric x 0.05876
    ("practice_factor", "p", 0.5, 0),  # AH-537 table 13 (memory)
    ("rate_by_cell", "amount", 9000, 1e-3),  # 6,000 and 3,000 gal on one ground
    ("oxides", "figure", 2.29137, 5e-6),  # molar masses: P2O5 = 2.29137 x P
    ("vermont_region", "region", "NW", 0),  # workbook: Addison is in the northwest
    ("water_of_soil_layers", "water_in", 2.756, 5e-4),  # 20 x 0.2 + 30 x 0.1 cm = 7 cm
    ("delivered_soil", "delivered_ton_per_ac", 5.8741, 5e-5),  # USLE-4
    ("metric_factor", "us", 1.0, 1e-12),  # 1 ton/ac is 2.242 t/ha
    ("p_index_class", "value", 6, 0),  # mean of 4 and 8
    ("p_index_vt_logged", "planned_index", 9.0081, 1e-4),  # VT-L
    ("p_index_vt_logged", "logged_index", 37.1681, 1e-4),  # VT-M
    ("national_manure", "manure_ton", 1524, 1e-9),  # 100 units of 15.24 tons, NRCS table
    ("wisconsin_units", "deciding_units", 900, 0),  # NR 243.05: 400 + 300 + 200
    ("leaching_index", "index_in", 9.949, 5e-4),  # 24.95 squared over 62.57, season 1
    ("storage_design", "level_ft", 5.63, 0.005),  # CV-6.4
    ("storage_year", "residual_gal", 10_000, 0),  # 50,000 - (360,000 - 320,000)
    ("storage_year", "p_difference_pct", -20, 1e-9),  # 800 of 1,000 lb
]


@pytest.mark.parametrize(("name", "output", "value", "tolerance"), EXAMPLES)
def test_worksheet_reproduces_its_source(name, output, value, tolerance):
    kind = worksheet_named(name)
    assert kind.run(kind.example).outputs[output] == pytest.approx(value, abs=tolerance)


def test_manure_test_sheet_shows_dry_basis_potash_and_organic_nitrogen():
    rows = [
        {"analyte": "solids_pct", "value": 10.5, "unit": "pct"},
        {"analyte": "p", "value": 1.4, "unit": "pct", "basis": "dry"},
        {"analyte": "total_n", "value": 21, "unit": "lb_per_ton", "basis": "as_is"},
        {"analyte": "ammonium_n", "value": 8, "unit": "lb_per_ton", "basis": "as_is"},
        {"analyte": "k", "value": 0.5, "unit": "pct"},
    ]
    sheet = run_worksheet("manure_test", {"form": "solid", "values": rows})
    assert sheet.outputs["p2o5"] == pytest.approx(6.73, abs=0.05)  # CV-1.1
    assert sheet.outputs["organic_n"] == 13  # CV-2.1
    assert sheet.outputs["k2o"] == pytest.approx(12.05, abs=0.01)  # 10 x 1.2046
    assert sheet.notes == ("The sheet names no basis: taken as-is (as received).",)


def test_nutrients_sheet_says_what_was_not_tested():
    sheet = run_worksheet(
        "load_nutrients", {"amount": "1.0005", "unit": "gal", "form": "liquid", "total_n": 25}
    )
    assert sheet.outputs["p2o5_lb"] is None
    assert sheet.outputs["per_ac"] is None
    assert any("not tested" in note for note in sheet.notes)
    assert any("Rounded" in note for note in sheet.notes)


def test_field_year_sheet_says_when_the_heaviest_ground_is_an_estimate():
    sheet = run_worksheet(
        "field_year_nutrients",
        {"field_ac": 10, "least_ac": 0.2, "loads": [{"n_lb": 100}],
         "fertilizer": [{"n_lb": 50, "p2o5_lb": 0, "k2o_lb": 0}]},
    )  # fmt: skip
    assert sheet.outputs["per_ac"].n_lb == 15
    assert any("estimate" in note for note in sheet.notes)
    assert any("lack" in note for note in sheet.notes)


def test_percent_systems_and_ranges_have_their_sheet():
    given = {"system": "IA", "form": "liquid", "total_n": 25, "material": "beef or dairy"}
    sheet = run_worksheet(
        "available_nitrogen", {**given, "application": "injected", "weather": "upper"}
    )
    assert sheet.outputs["available_n"] == 12.5
    assert any("memory" in note for note in sheet.notes)
    with pytest.raises(WorksheetError, match="no column"):
        run_worksheet("available_nitrogen", {**given, "system": "MN", "material": "beef",
                                             "application": "by drone"})  # fmt: skip


def test_sheets_name_what_is_left_out():
    credits = [{"name": "soybean", "lb_per_ac": 50, "in_recommendation": True}]
    need = run_worksheet("nitrogen_need", {"recommended_lb_per_ac": 124, "credits": credits})
    assert need.outputs["needed_lb_per_ac"] == 124  # Iowa State
    assert "not subtracted again" in need.notes[0]
    removal = run_worksheet(
        "crop_removal", {"set_id": "tri-state-2020", "crop": "soybean", "yield_per_ac": 50}
    )
    assert removal.outputs["n_lb_per_ac"] is None
    assert "states no n" in removal.notes[0]


def test_vermont_sheet_carries_manure_steps_and_notes():
    kind = worksheet_named("p_index_vt")
    row = {"rate_lb_p2o5_per_ac": 50, "time": "Oct - Dec 15", "method": "Moldboard",
           "incorporation": "< 1 day", "type": "dairy"}  # fmt: skip
    sheet = kind.run({**kind.example, "stp_ppm": 25, "manure": [row]})
    assert any(step.words == "Manure exposed to runoff" for step in sheet.steps)
    assert "drawdown" in sheet.notes[0]
    shown = run_worksheet(
        "p_index_pa",
        {**worksheet_named("p_index_pa").example, "buffer_ft": 50,
         "connectivity": "50-ft riparian buffer"},
    )  # fmt: skip
    assert shown.outputs["stricter_index"] == pytest.approx(83.4417, abs=5e-5)  # PA-8


def test_axle_sheet_names_an_overloaded_axle():
    kind = worksheet_named("axle_load")
    assert kind.run(kind.example).outputs == {"carried_lb": [7000.0, 55_000.0], "all_within": True}
    heavy = [{"tare_lb": 0, "share": 1, "limit_lb": 40_000}]
    sheet = kind.run({"load_lb": 40_001, "axles": heavy})
    assert sheet.outputs["all_within"] is False
    assert "more than its limit" in sheet.notes[0]
    open_limit = kind.run({"load_lb": 1, "axles": [{"tare_lb": 0, "share": 1}]})
    assert open_limit.outputs["all_within"] is None


def test_left_sheet_without_a_nutrient_or_with_the_wrong_load():
    limits = [{"nutrient": "N", "limit_lb_per_ac": 160, "applied_lb": 0, "held_lb_per_unit": 0}]
    sheet = run_worksheet("left_under_limits", {"form": "solid", "field_ac": 10, "limits": limits})
    assert sheet.outputs["left"] is None
    assert "no limit bears" in sheet.notes[0]
    with pytest.raises(WorksheetError, match="the manure is solid"):
        run_worksheet(
            "left_under_limits",
            {"form": "solid", "field_ac": 10, "limits": limits, "load": "6000", "unit": "gal"},
        )


def test_residual_sheet_passes_over_years_without_a_credit():
    kind = worksheet_named("residual_nitrogen")
    row = {**kind.example["events"][0], "crop_year": 2026}
    sheet = kind.run({**kind.example, "events": [row]})
    assert sheet.outputs["credit_lb_per_ac"] == 0
    assert "gives nothing" in sheet.notes[0]


def test_practice_sheet_for_strips_and_terraces():
    # AH-537 table 14 (memory): rotation B at 10 %: 0.45, strips 80 ft; terraces 100 ft apart: 0.6
    strips = {"practice": "contour strips", "slope_pct": 10, "length_ft": 200}
    sheet = run_worksheet("practice_factor", {**strips, "rotation": "B"})
    assert sheet.outputs == {"p": 0.45, "strip_width_ft": 80}
    with pytest.raises(WorksheetError, match="rotation"):
        run_worksheet("practice_factor", strips)
    terraces = {"practice": "terraces", "slope_pct": 10, "length_ft": 100}
    assert run_worksheet("practice_factor", terraces).outputs["p"] == 0.6


def test_class_sheet_for_one_value_and_from_memory():
    given = {"version": "2024", "document": "plan"}
    iowa = {"procedure": "IA", "values": [{"value": 5}], **given}
    assert run_worksheet("p_index_class", iowa).outputs["risk_class"] == "Medium"
    maryland = {"procedure": "MD", "values": [{"value": 101}], **given}
    sheet = run_worksheet("p_index_class", maryland)
    assert sheet.outputs["risk_class"] == "High"
    assert any("memory" in note for note in sheet.notes)
    with pytest.raises(WorksheetError, match="classes one value"):
        run_worksheet("p_index_class", {**iowa, "values": [{"value": 5}, {"value": 6}]})


def test_logged_index_sheet_reads_days_and_shows_each_event():
    kind = worksheet_named("p_index_vt_logged")
    row = {"applied_on": "2025-10-20", "lb_p2o5_per_ac": 70, "type": "dairy"}
    sheet = kind.run({**kind.example, "manure_logged": [row]})
    assert any(step.words == "Manure of 2025-10-20" for step in sheet.steps)
    with pytest.raises(WorksheetError, match="is no day"):
        kind.run({**kind.example, "manure_logged": [{**row, "applied_on": "20.10.2025"}]})


def test_cell_sheet_needs_a_load_and_tells_what_it_leaves_out():
    kind = worksheet_named("rate_by_cell")
    with pytest.raises(WorksheetError, match="No load"):
        kind.run({**kind.example, "loads": []})
    assert "not listed" in kind.run({**kind.example, "cell_ft": 20}).notes[0]


@pytest.mark.parametrize(
    ("earlier", "now", "factor"),
    [(10, 4.37, "2.29"), (4.37, 10, "2.29"), (10, 83.4, "8.34"), (10, 0.01, "1000")],
)
def test_a_figure_near_a_telltale_factor_of_an_earlier_one_asks(earlier, now, factor):
    # Exact factors: P and P2O5, pounds per gallon, thousands
    kind = worksheet_named("load_nutrients")
    row = [{"name": "p2o5", "value": earlier}]
    sheet = kind.run({**kind.example, "p2o5": now, "earlier": row})
    assert len(sheet.doubts) == 1
    assert f"a factor near {factor}," in sheet.doubts[0]
    assert kind.run({**kind.example, "p2o5": now}).doubts == ()


@pytest.mark.parametrize(
    ("now", "asks"), [(24.0, True), (24.1, False), (21.8, True), (21.7, False)]
)
def test_five_per_cent_of_the_factor_is_near(now, asks):
    # 10 x 2.29 is 22.9; 5 % of it: 21.755 to 24.045
    kind = worksheet_named("load_nutrients")
    given = {**kind.example, "p2o5": now, "earlier": [{"name": "p2o5", "value": 10}]}
    assert bool(kind.run(given).doubts) is asks


def test_results_are_held_against_earlier_ones_too():
    kind = worksheet_named("manure_test")
    sheet = kind.run({**kind.example, "earlier": [{"name": "p2o5", "value": 2.94}]})
    assert "p2o5" in sheet.doubts[0]
    none = kind.run({**kind.example, "earlier": [{"name": "k2o", "value": 5}]})
    assert none.doubts == ()  # potassium was not tested


@pytest.mark.parametrize(
    ("given_as", "figure", "other"),
    [("P2O5", 0.43642, "P"), ("K", 1.2046, "K2O"), ("K2O", 0.8301, "K")],
)
def test_oxides_both_ways(given_as, figure, other):
    # Molar masses and exact units
    found = run_worksheet("oxides", {"figure": 1, "given_as": given_as}).outputs
    assert found == {"figure": pytest.approx(figure, abs=5e-5), "is_of": other}


def test_the_matrix_of_1993_rates_amounts_by_itself():
    """Case LG-1 with 7 t/ac, 20 lb of fertilizer and 75 lb of organic P2O5 for 2, 1 and 4."""
    kind = worksheet_named("p_index_1993")
    rated = dict.fromkeys(("soil_erosion", "P_fertilizer_rate", "organic_P_rate"))
    amounts = {
        "erosion_ton_per_ac": 7, "fertilizer_lb_p2o5_per_ac": 20, "organic_lb_p2o5_per_ac": 75,
    }  # fmt: skip
    sheet = kind.run({**kind.example, **rated, **amounts})
    assert sheet.outputs["index"] == 15.25
    assert [step.result for step in sheet.steps[:3]] == [2, 1, 4]
    for wrong in ({**kind.example, **amounts}, {**kind.example, **rated}):
        with pytest.raises(WorksheetError, match="one of the two"):
            kind.run(wrong)


def test_layers_without_the_whole_depth_say_what_is_known():
    kind = worksheet_named("water_of_soil_layers")
    sheet = kind.run({**kind.example, "depth_cm": 180})
    assert sheet.outputs["share_known"] == 0.5
    assert "50% of the depth" in sheet.notes[0]


def test_volume_by_weight_takes_a_figure_or_the_handbooks():
    kind = worksheet_named("manure_by_weight")
    known = {**kind.example, "cuft_per_day": None, "animals": "dairy: lactating, dry, heifers"}
    assert kind.run(known).outputs["manure_cuft"] == pytest.approx(16_380)  # CV-6.1
    for wrong in ({**kind.example, "animals": known["animals"]}, {**known, "animals": None}):
        with pytest.raises(WorksheetError, match="one of the two"):
            kind.run(wrong)


def test_the_northern_correction_of_the_loss_is_off_unless_asked_for():
    # Vadas 2009, case V-1; Reid and Schneider 2021 (read): manure x 0.219, fertilizer x 0.275
    kind = worksheet_named("p_loss")
    plain = kind.run(kind.example)
    north = kind.run({**kind.example, "northern_edge_of_field": True})
    assert plain.outputs["total_lb_per_ac"] == pytest.approx(21.290, abs=5e-4)  # 23.863 x 0.89218
    assert plain.notes == ()
    less = 0.994 * (1 - 0.219) + 0.063 * (1 - 0.275)
    assert north.outputs["total_kg_per_ha"] == pytest.approx(23.863 - less, abs=2e-3)
    assert "0.219" in north.notes[0]
