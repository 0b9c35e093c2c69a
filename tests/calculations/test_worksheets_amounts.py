"""Worksheets of amounts, tanks, piles, water, animals, screening and credits: values, refusals."""

import pytest

from farmrecords.calculations.worksheet import WorksheetError, run_worksheet, worksheet_named

# name, output, value of the source, tolerance; the inputs are the worksheet's own example
EXAMPLES = [
    # CV-6.4: 71,813 gal per ft over 5 ft, an inch of rain on 9,600 sq ft, 1,000 gal inflow
    ("storage_drop", "taken_gal", (5 + 1 / 12) * 9600 * 1728 / 231 + 1000, 1e-6),
    ("storage_drop", "rate_gal_per_ac", ((5 + 1 / 12) * 9600 * 1728 / 231 + 1000) / 40, 1e-4),
    ("counted_loads", "rate", 7.5, 0),  # CV-4.5
    ("bushel_spreader", "rate", 7.5, 1e-12),  # CV-4.5
    ("bushel_spreader", "amount_ton", 30, 1e-12),
    ("metered_load", "amount", 6500, 0),
    ("metered_load", "rate", 5000, 1e-9),
    ("weigh_area", "net_ton", 8.13, 0),  # CV-4.3
    ("weigh_area", "strip_ac", 0.7323, 5e-5),  # CV-4.3
    ("weigh_area", "rate_ton_per_ac", 11.10, 0.005),  # CV-4.3
    ("sheet_mean", "rate_ton_per_ac", 12, 0.005),  # CV-4.1: pounds are tons per acre
    ("tank_filled", "load_gal", 4050, 0),  # Iowa State EPC, spring 1999: 90 %
    ("elliptical_tank", "volume_cuft", 3.14159265 / 4 * 8 * 6 * 20, 1e-5),
    ("road_load", "load_lb", 50_400, 1e-9),
    ("road_load", "wheels_lb", 10_000 + 0.9 * 50_400, 1e-9),
    ("road_load", "hitch_lb", 2000 + 0.1 * 50_400, 1e-9),
    ("wall_depth", "depth_ft", 10, 1e-9),  # cos 60 x (24 - 4)
    ("leaning_board", "height_ft", 2.2, 0.01),  # CV-6.6, there in metres
    ("round_pile", "diameter_ft", 20, 0.001),
    ("windrow_pile", "diameter_ft", 20, 0),
    ("open_stack", "section_sqft", 102.5, 0),
    ("bucket_density", "lb_per_gal", 8.4, 1e-9),  # NC certification manual: 8.4 lb/gal
    ("pail_density", "kg_per_m3", 974, 1e-9),  # CV-1.4
    ("hydraulic_limit", "soil_water_gal_per_ac", 7241, 0.5),  # CV-7.2
    ("hydraulic_limit", "limit_gal_per_ac", 7241, 0.5),
    ("soil_water_capacity", "held_in", 0.09 * 8, 1e-12),  # Missouri soil guide, low end
    ("liquid_depth", "depth_in", 0.479, 5e-4),  # CV-7.1
    ("pond_evaporation", "evaporation_gal", 325_851, 1),  # an acre-foot
    ("lot_runoff", "runoff_ac_ft", 0.62, 0.005),  # Montana State, liquid production, its sound step
    ("lot_runoff", "runoff_gal", 201_267, 1),
    ("curve_number_runoff", "runoff_in", (4 - 0.2 / 0.9) ** 2 / (4 + 0.8 / 0.9), 1e-9),
    ("snow_on_storage", "water_gal", 2715, 0.5),  # Vermont
    ("animals_excreted", "manure_ton", 1095, 1e-9),  # CV-5.1
    ("yearly_nutrients", "manure_ton", 1095, 1e-9),  # CV-5.1
    ("yearly_nutrients", "n_lb", 3250, 0),  # 50 x 65, A3601
    ("manure_by_weight", "manure_cuft", 16_380, 1e-6),  # CV-6.1
    ("bedding_of_material", "bedding_cuft", 1627.5, 1e-9),  # CV-6.1
    ("wash_water", "wash_cuft", 140 * 90 * 0.60, 1e-9),  # AWMFH 10-A2
    ("unlisted_units", "units", 10, 0),  # 40 x 250 lb / 1,000
    ("animal_places", "occupied_days", 324, 1e-9),  # CV-6.4
    ("animal_places", "manure_gal", 404_352, 1e-6),  # CV-6.4
    ("source_coefficient_pa", "coefficient", 0.402, 5e-4),  # agronomy manual 503, dairy
    ("source_coefficient_pa", "book", 0.8, 0),
    ("soil_test_conversion", "result", 10.224, 1e-9),  # CONV-1
    ("septage_rate", "rate_gal_per_ac", 100 / 0.0026, 1e-6),  # WAC 173-308-270
    ("biosolids_p2o5", "p2o5", 8340 * 0.05 * 0.02 * 2.27, 1e-9),  # Vermont workbook 6.1
    ("p_k_available", "p2o5_credited_lb", 7838, 0.5),  # CV-2.4
    ("three_year_nitrogen", "n_lb", 94, 1e-9),  # 47 % of 200 lb
    ("acres_for_nitrogen", "available_lb", 9465, 0),  # CV-2.4
    ("acres_for_nitrogen", "acres", 57, 0.5),  # CV-2.4
    ("irrigation_nitrogen", "n_lb_per_ac", 10 * 12 * 0.2266, 1e-9),
    ("price_per_lb", "price_per_lb", 1.0, 1e-12),  # 920 / 2000 / 0.46
    ("yield_ceiling", "ceiling_per_ac", 195, 0),  # best four of five
    ("yield_ceiling", "above_per_ac", 5, 0),
    ("nitrogen_by_yield_goal", "recommended_lb_per_ac", 35 + 1.2 * 180, 1e-9),  # North Platte NRD
]


@pytest.mark.parametrize(("name", "output", "value", "tolerance"), EXAMPLES)
def test_worksheet_reproduces_its_source(name, output, value, tolerance):
    kind = worksheet_named(name)
    assert kind.run(kind.example).outputs[output] == pytest.approx(value, abs=tolerance)


# name, input changed from the example, words of the refusal: range and reason
REFUSED = [
    ("storage_drop", {"level_before_ft": -1}, "0 to 200 ft .from the bottom of the storage."),
    ("storage_drop", {"rain_in": 61}, "0 to 60 in .more than any storm."),
    ("storage_drop", {"level_before_ft": 9}, "outside this storage"),
    ("storage_drop", {"level_after_ft": 8}, "gained more than rain and inflow"),
    ("counted_loads", {"count": 0}, "1 to 10000 loads"),
    ("counted_loads", {"covered_ac": 0}, "above 0 to 5000 ac .a rate needs ground"),
    ("counted_loads", {"load": "6,5"}, "two ways"),
    ("bushel_spreader", {"rating_bu": "100"}, "choose one of: 90, 110"),
    ("metered_load", {"stop": "119,999"}, "went backwards"),
    ("scale_split", {"fields": [{"name": "a", "start_lb": 1, "stop_lb": 2}]}, "scale rose"),
    ("scale_split", {"net_lb": 200_001}, "heavier than any spreader"),
    ("weigh_area", {"tare_lb": 30_000}, "swapped"),
    ("weigh_area", {"width_ft": 0}, "above 0 to 200 ft .no spreader covers more."),
    ("sheet_mean", {"sheets": [{"net_lb": 10}, {"net_lb": 11}]}, "at least three"),
    ("sheet_mean", {"sheet_sqft": 401}, "above 0 to 400 sq ft"),
    ("tank_filled", {"fill_share": 0}, "above 0 to 1 share"),
    ("elliptical_tank", {"width_ft": 15.1}, "above 0 to 15 ft"),
    ("road_load", {"density_lb_per_gal": 16}, "1 to 15 lb/gal"),
    ("road_load", {"density_lb_per_gal": None}, "five-gallon bucket"),
    ("road_load", {"axles": []}, "Give tare, share"),
    ("wall_depth", {"slope_angle_deg": 91}, "above 0 to 90 degrees .90 is upright."),
    ("wall_depth", {"freeboard_along_ft": 25}, "0 or more"),
    ("leaning_board", {"rise_at_mark_ft": 3}, "along the board"),
    ("round_pile", {"lb_per_cuft": 4}, "5 to 120 lb/cu ft .from dry litter to wet sand."),
    ("windrow_pile", {"top_length_ft": 111}, "does not fit a bottom"),
    ("open_stack", {"height_ft": 7.1}, "above 0 to 7 ft"),
    ("open_stack", {"building_width_ft": 13}, "wider building"),
    ("bucket_density", {"buckets": [{"net_lb": 42}] * 4}, "at least 5"),
    ("pail_density", {"net_kg": 0}, "above 0 to 100 kg"),
    ("hydraulic_limit", {"depth_in": None}, "go together"),
    ("hydraulic_limit", {"depth_in": 61}, "above 0 to 60 in .deeper than roots."),
    ("hydraulic_limit", {"texture": "sandy loam"}, "No figure for 'sandy loam' at '50-75'"),
    ("soil_water_capacity", {"texture": None}, "give it, or a texture"),
    ("soil_water_capacity", {"capacity_in_per_in": 0.36}, "above 0 to 0.35 in/in"),
    ("soil_water_capacity", {"mmhos": 21}, "0 to 20 mmhos/cm .the table ends at 20."),
    ("liquid_depth", {"gal_per_ac": -1}, "0 to 1e.06 gal/ac"),
    ("pond_evaporation", {"evaporation_in": 151}, "0 to 150 in"),
    ("lot_runoff", {"lot_ac": 0}, "above 0 to 1000 ac"),
    ("curve_number_runoff", {"curve_number": 0}, "1 to 100 CN .100 sheds everything."),
    ("snow_on_storage", {"snow_per_water": 0.5}, "1 to 50 in/in .from slush to powder."),
    ("animals_excreted", {"animal": "llama"}, "has no 'llama'"),
    ("animals_excreted", {"days": 367}, "0 to 366 days .one year at most."),
    ("yearly_nutrients", {"head": -1}, "0 to 5e.06 head"),
    ("manure_by_weight", {"average_lb": 3001}, "above 0 to 3000 lb"),
    ("bedding_of_material", {"material": "mud"}, "choose one of"),
    ("wash_water", {"cuft_per_day": 21}, "0 to 20 cu ft/day"),
    ("unlisted_units", {"table_id": "iowa-1997"}, "choose one of: minnesota"),
    ("animal_places", {"days_on_feed": 140}, "make 378 in a year"),
    ("p_screening_pa", {"m3p_ppm": 3001}, "0 to 3000 ppm .no soil holds more."),
    ("source_coefficient_pa", {"wep_g_per_kg": -0.1}, "0 to 30 g/kg"),
    ("maryland_tier", {"fields": [{"fiv": -1}]}, "fields, row 1: fiv is -1"),
    ("soil_test_conversion", {"value": 5}, "does not cover so low a value"),
    ("septage_rate", {"need_n_lb_per_ac": 601}, "0 to 600 lb/ac .no crop takes more."),
    ("biosolids_p2o5", {"solids_pct": None}, "need their solids"),
    ("p_k_available", {"year": 4}, "1 to 3 year .no system states a fourth year."),
    ("p_k_available", {"year": 2}, "Nothing can be credited"),
    ("three_year_nitrogen", {"material": "slurry"}, "choose one of"),
    ("acres_for_nitrogen", {"need_lb_per_ac": 0}, "above 0 to 1000 lb/ac"),
    ("irrigation_nitrogen", {"nitrate_n_ppm": 201}, "nitrate x 0.2259 is nitrate N"),
    ("price_per_lb", {"share_pct": 0}, "above 0 to 100 %"),
    ("yield_ceiling", {"best": 6}, "best 6 of 5 yields"),
    ("nitrogen_by_yield_goal", {"yield_goal_bu_per_ac": 401}, "0 to 400 bu/ac"),
]


@pytest.mark.parametrize(("name", "change", "words"), REFUSED)
def test_worksheet_refuses_with_range_and_reason(name, change, words):
    kind = worksheet_named(name)
    with pytest.raises(WorksheetError, match=words):
        kind.run({**kind.example, **change})


def test_every_new_worksheet_has_a_value_and_a_refusal():
    assert {row[0] for row in EXAMPLES} | {
        "scale_split", "p_screening_pa", "maryland_tier"
    } == {row[0] for row in REFUSED}  # fmt: skip


def test_a_load_on_two_fields_by_its_scale():
    # CV-4.3's net weight of 16,260 lb: 10,000 lb on half an acre, the rest on a quarter
    kind = worksheet_named("scale_split")
    found = kind.run(kind.example).outputs
    assert found == {"pounds": [10_000, 6260], "rate_ton_per_ac": [10.0, pytest.approx(12.52)]}
    ticket = kind.run({**kind.example, "net_lb": 8130}).outputs["pounds"]
    assert ticket == [5000, 3130]
    rows = [{"name": "a", "start_lb": 9, "stop_lb": 0}]
    assert run_worksheet("scale_split", {"fields": rows}).outputs["rate_ton_per_ac"] == [None]


def test_amounts_without_acres_have_no_rate():
    sheet = run_worksheet("counted_loads", {"count": 3, "load": "6,000", "unit": "gal"})
    assert sheet.outputs == {"amount": 18_000, "rate": None}
    assert "no rate" in sheet.notes[0]


def test_storage_drop_takes_a_catchment_of_its_own():
    kind = worksheet_named("storage_drop")
    wide = kind.run({**kind.example, "catchment_sqft": 43_560}).outputs["taken_gal"]
    # An inch on an acre is 27,154.29 gal (NC certification manual)
    assert wide == pytest.approx(5 * 9600 * 1728 / 231 + 1000 + 27_154.29, abs=0.01)


def test_road_load_names_what_is_overloaded():
    kind = worksheet_named("road_load")
    sheet = kind.run({**kind.example, "gross_limit_lb": 50_000})
    assert sheet.outputs["all_within"] is False
    assert [note.split(" carr")[0] for note in sheet.notes] == ["front axle", "The wheels"]
    open_limits = [{"name": "axle", "tare_lb": 0, "share": 1}]
    given = {"amount": "8.13", "unit": "ton", "axles": open_limits}
    light = run_worksheet("road_load", given)
    assert light.outputs["load_lb"] == 16_260
    assert light.outputs["all_within"] is None
    assert run_worksheet("road_load", {**given, "gross_limit_lb": 16_260}).outputs["all_within"]


def test_pile_without_a_weight_has_a_volume_alone():
    for name in ("round_pile", "windrow_pile"):
        kind = worksheet_named(name)
        whole = kind.run(kind.example).outputs
        sheet = kind.run({k: v for k, v in kind.example.items() if k != "lb_per_cuft"})
        assert sheet.outputs["weight_ton"] is None
        assert "no tons" in sheet.notes[0]
        assert whole["weight_ton"] == pytest.approx(whole["volume_cuft"] * 55 / 2000)


@pytest.mark.parametrize(
    ("limits", "soil", "gallons", "by"),
    [
        ([("nitrogen", 6000), ("cap", 13_000)], True, 6000, "nitrogen"),
        ([("nitrogen", 9000), ("cap", 13_000)], True, 7241, "soil water"),
        ([("nitrogen", 20_000), ("cap", 13_000)], False, 13_000, "cap"),
        ([("soil water", 9000)], True, 7241, "soil water (2)"),
    ],
)
def test_the_least_limit_decides(limits, soil, gallons, by):
    # By hand: least of nutrient rate, soil water and cap; soil as in CV-7.2
    kind = worksheet_named("hydraulic_limit")
    given = dict(kind.example) if soil else {}
    given["limits"] = [{"name": name, "gal_per_ac": gal} for name, gal in limits]
    found = kind.run(given).outputs
    assert found["limit_gal_per_ac"] == pytest.approx(gallons, abs=0.5)
    assert found["set_by"] == by


def test_soil_water_by_the_soil_surveys_own_figure():
    # Missouri soil water table (read): rock by its volume, a tenth of the water lost at 4 mmhos
    given = {"capacity_in_per_in": 0.2, "depth_in": 10, "rock_pct": 25, "mmhos": 4}
    sheet = run_worksheet("soil_water_capacity", {**given, "available_pct": 50})
    assert sheet.outputs["held_in"] == pytest.approx(2 * 0.75 * 0.9)
    assert sheet.outputs["lacking_in"] == pytest.approx(0.675)
    assert sheet.outputs["gal_per_ac"] == pytest.approx(0.675 * 27_154.2857)
    assert len(sheet.steps) == 3


def test_a_table_from_memory_says_so_and_states_more():
    given = {"set_id": "asabe-d384.2", "animal": "dry cow", "head": 10, "days": 100}
    sheet = run_worksheet("animals_excreted", given)
    assert sheet.outputs["n_lb"] == pytest.approx(500)
    assert sheet.outputs["manure_gal"] == pytest.approx(1300 * 1728 / 231)
    assert {step.evidence for step in sheet.steps} == {"memory", "definition"}
    assert "memory" in sheet.notes[0]


@pytest.mark.parametrize(
    ("m3p", "feet", "special", "change", "needed"),
    [
        (200, 150, False, False, False),
        (201, 150, False, False, True),
        (200, 149, False, False, True),
        (30, 900, True, False, True),
        (30, 900, False, True, True),
    ],
)
def test_part_a_of_pennsylvania(m3p, feet, special, change, needed):
    # Pennsylvania, screening
    sheet = run_worksheet(
        "p_screening_pa",
        {"m3p_ppm": m3p, "distance_ft": feet, "special_watershed": special,
         "significant_change": change},
    )  # fmt: skip
    assert sheet.outputs["needs_part_b"] is needed
    assert [step.result for step in sheet.steps[:4]] == [m3p > 200, feet < 150, special, change]


# COMAR 15.20.08 (read): A 150-<300, B 300-<450, C >= 450, mean of fields above 150
@pytest.mark.parametrize(
    ("fields", "mean", "tier"),
    [([120, 200, 500], 350, "B"), ([150], None, None), ([151, 299], 225, "A"), ([450], 450, "C")],
)
def test_maryland_tier_sheet(fields, mean, tier):
    sheet = run_worksheet("maryland_tier", {"fields": [{"fiv": fiv} for fiv in fields]})
    assert sheet.outputs == {"mean_fiv": mean, "tier": tier}


def test_soil_test_sheet_goes_both_ways_and_names_the_method():
    given = {"value": 22, "equation_id": "tri-state-2019", "backwards": True}
    found = run_worksheet("soil_test_conversion", given).outputs
    assert found == {"result": pytest.approx(16.3, abs=0.05), "result_as": "Bray P1, ppm"}
    forward = run_worksheet("soil_test_conversion", {**given, "backwards": False}).outputs
    assert forward == {"result": pytest.approx(29.7), "result_as": "Mehlich-3, ppm"}


def test_solid_biosolids_need_no_solids():
    # Vermont workbook 6.1: mg/kg x 0.002 x 2.27
    given = {"form": "solid", "p_mg_per_kg": 20_000}
    assert run_worksheet("biosolids_p2o5", given).outputs["p2o5"] == pytest.approx(90.8)


def test_credits_leave_out_what_a_system_does_not_state():
    # Agdex 400/28-3: Alberta P 20 % in year 2, K only in the first year
    given = {"system": "AB", "year": 2, "p2o5_lb": 100, "k2o_lb": 100}
    sheet = run_worksheet("p_k_available", given)
    assert sheet.outputs["p2o5_credited_lb"] == pytest.approx(20)
    assert sheet.outputs["k2o_credited_lb"] is None
    assert "states no share of K2O for year 2" in sheet.notes[0]


def test_a_source_coefficient_without_a_material_has_no_book_value():
    assert run_worksheet("source_coefficient_pa", {"wep_g_per_kg": 16.8}).outputs == {
        "coefficient": 1.0, "book": None,
    }  # fmt: skip
