"""Worksheets give published results when their inputs are those of the published example."""

import pytest

from farmrecords.calculations.worksheet import WorksheetError, run_worksheet, worksheet_named

# name, output, published value, tolerance (ids of the check values in the title of each row)
EXAMPLES = [
    ("sheet_calibration", "rate_ton_per_ac", 12, 0.005),  # CV-4.1, S-IA01s
    ("flow_rate", "rate_gal_per_ac", 800 * 495 / 80, 1e-9),  # 495 form (memory)
    ("drive_length", "length_ft", 3000 / 30 * 43560 / 6000, 1e-9),  # WAC 173-308-270
    ("removal_from_analysis", "removal_lb_per_ac", 86.8, 1e-9),  # CV-3.3
    ("effluent_inches", "depth_in", 9.20, 0.015),  # CV-2.6
    ("soil_water_limit", "limit_gal_per_ac", 7241, 0.5),  # CV-7.2
    ("trench_depth", "depth_in", 0.479 * 30 / 4, 0.005),  # CV-7.1 turned into a trench
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
    ("storage_days", "days", 5 * 9600 * 1728 / 231 / 1248, 1e-6),  # CV-6.4, 71,813 gal per ft
    ("animal_units", "units", 348, 1e-9),  # CV-5.4
    ("realistic_yield", "yield_per_ac", 195, 0),  # best four of five
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
    assert need.outputs["needed_lb_per_ac"] == 124  # S-DDS
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
