"""The worksheet framework, and every registered worksheet on its own example."""

import io
import json

import pytest
from django.core.management import CommandError, call_command

from farmrecords.calculations.worksheet import (
    Input,
    WorksheetError,
    list_worksheets,
    read_inputs,
    run_worksheet,
    to_json,
    worksheet,
    worksheet_named,
)

KINDS = list_worksheets()
NEEDED = {
    "manure_test", "load_rate", "load_nutrients", "field_year_nutrients", "storage_volume",
    "p_index_vt", "footprint_area", "geodesic_area", "distance",
}  # fmt: skip


def test_every_subject_registers_its_worksheets():
    assert {kind.name for kind in KINDS} >= NEEDED


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_worksheet_works_its_own_example_and_keeps_to_its_schema(kind):
    sheet = kind.run(kind.example)
    assert sheet.steps, "a worksheet without steps shows nothing"
    assert set(sheet.outputs) == {one.name for one in kind.outputs}
    assert all(step.words and step.formula and step.source for step in sheet.steps)
    shown = json.loads(json.dumps(to_json(sheet), allow_nan=False))
    assert shown["name"] == kind.name
    assert shown["outputs"].keys() == sheet.outputs.keys()


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_worksheet_says_what_it_asks_for_and_where_it_comes_from(kind):
    schema = json.loads(json.dumps(kind.to_schema(), allow_nan=False))
    assert schema["title"]
    assert schema["meaning"]
    assert schema["source"]
    assert all(one["unit"] and one["meaning"] for one in schema["inputs"])
    assert all(one["unit"] and one["meaning"] for one in schema["outputs"])


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_worksheet_refuses_a_missing_and_an_unknown_input(kind):
    needed = next(one.name for one in kind.inputs if not one.optional)
    with pytest.raises(WorksheetError, match="missing"):
        kind.run({k: v for k, v in kind.example.items() if k != needed})
    with pytest.raises(WorksheetError, match="no input here"):
        kind.run({**kind.example, "surprise": 1})


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"width_ft": 0}, "above 0 to 200 ft .too wide."),
        ({"width_ft": 200.5}, "range is above 0 to 200 ft"),
        ({"width_ft": "wide"}, "a number in ft is wanted"),
        ({"width_ft": True}, "a number in ft is wanted"),
        ({"width_ft": float("nan")}, "range"),
        ({"count": 1.5}, "whole number"),
        ({"count": float("inf")}, "whole number"),
        ({"count": -1}, "0 head or more"),
        ({"depth_ft": 5}, "up to 4 ft"),
        ({"side": "up"}, "choose one of: left, right"),
        ({"on": "yes"}, "true or false"),
        ({"rows": "many"}, "must be a list"),
        ({"rows": [{"lb": 1}, {"lb": -1}]}, "rows, row 2: lb is -1"),
        ({"rows": [3]}, "one object"),
        ({"land": {"type": "Blob"}}, "no GeoJSON"),
    ],
)
def test_input_out_of_range_is_refused_with_range_and_reason(given, words):
    declared = [
        Input("width_ft", "ft", 0, 200, "width", above=True, reason="too wide", optional=True),
        Input("count", "head", 0, None, "animals", kind="whole", optional=True),
        Input("depth_ft", "ft", None, 4, "depth", optional=True),
        Input("side", "word", kind="choice", choices=("left", "right"), optional=True),
        Input("on", "yes or no", kind="yes_no", optional=True),
        Input("rows", "rows", kind="list", optional=True, items=(Input("lb", "lb", 0),)),
        Input("land", "lon/lat", kind="geometry", optional=True),
    ]
    with pytest.raises(WorksheetError, match=words):
        read_inputs(declared, given)


def test_ends_of_the_range_are_inside():
    declared = [Input("a", "ft", 0, 200), Input("b", "head", 0, 3, kind="whole")]
    assert read_inputs(declared, {"a": 200, "b": "3"}) == {"a": 200.0, "b": 3}
    assert read_inputs(declared, {"a": 0, "b": 0}) == {"a": 0.0, "b": 0}


def test_two_worksheets_of_one_name_are_refused():
    with pytest.raises(ValueError, match="Two worksheets"):
        worksheet("load_rate", title="", inputs=[], outputs=[], source="", example={})(dict)


def test_what_the_calculation_refuses_the_worksheet_refuses():
    with pytest.raises(WorksheetError, match="two ways"):
        run_worksheet("load_rate", {"amount": "6,5", "unit": "gal", "covered_ac": 1})
    with pytest.raises(WorksheetError, match="no worksheet 'nothing'"):
        run_worksheet("nothing", {})


def test_worksheet_gives_what_the_plain_function_gives():
    # VT-L of the Vermont workbook: 9.0081
    kind = worksheet_named("p_index_vt")
    assert kind.run(kind.example).outputs["index"] == pytest.approx(9.0081, abs=1e-4)
    # CV-6.2: 327,452 ft3
    kind = worksheet_named("storage_volume")
    steps = kind.run(kind.example).steps
    assert [s.result for s in steps if s.unit == "cu ft"] == [pytest.approx(327_452, abs=1)]
    # pyproj and geographiclib 2.1
    area = worksheet_named("geodesic_area")
    assert area.run(area.example).outputs["area_ac"] == pytest.approx(40.290596, abs=5e-7)


@pytest.mark.parametrize(
    "sizes",
    [
        {"shape": "rectangular", "length_ft": 10, "width_ft": 10, "full_depth_ft": 8},
        {"shape": "cylinder", "diameter_ft": 10, "full_depth_ft": 8},
        {"shape": "lying cylinder", "diameter_ft": 8, "length_ft": 20},
        {"shape": "round pond", "diameter_ft": 60, "full_depth_ft": 8, "slope_side_1": 2},
        {"shape": "stage table", "stage": [{"depth_ft": 0, "volume_gal": 0},
                                           {"depth_ft": 8, "volume_gal": 900}]},
        {"shape": "pond", "length_ft": 60, "width_ft": 50, "full_depth_ft": 8, "measured_at": "top",
         "slope_end_1": 2, "slope_end_2": 2, "slope_side_1": 2, "slope_side_2": 2},
    ],
)  # fmt: skip
def test_storage_sheet_takes_every_shape(sizes):
    sheet = run_worksheet("storage_volume", {**sizes, "level_ft": 8})
    assert sheet.outputs["volume_gal"] == sheet.outputs["full_gal"] > 0
    with pytest.raises(WorksheetError, match="needs it"):
        run_worksheet("storage_volume", {"shape": sizes["shape"], "level_ft": 8})


def command(monkeypatch, *args, given=""):
    monkeypatch.setattr("sys.stdin", io.StringIO(given))
    out = io.StringIO()
    call_command("worksheet", *args, stdout=out)
    return out.getvalue()


def test_command_runs_a_worksheet_from_standard_input(monkeypatch):
    given = json.dumps({"amount": "6,000", "unit": "gal", "covered_ac": 1.5})
    shown = json.loads(command(monkeypatch, "load_rate", given=given))
    assert shown["outputs"] == {"rate": 4000.0, "unit": "gal_per_ac"}
    assert shown["steps"][1]["formula"] == "amount / covered acres"


def test_command_lists_worksheets_for_people_and_machines(monkeypatch):
    assert "load_rate: Rate of a load" in command(monkeypatch, "--list")
    listed = json.loads(command(monkeypatch, "--list", "--json"))
    assert {one["name"] for one in listed} >= NEEDED
    assert json.loads(command(monkeypatch, "--schema", "distance"))["name"] == "distance"
    assert json.loads(command(monkeypatch, "--example", "distance"))["outputs"]


@pytest.mark.parametrize(
    ("args", "given", "words"),
    [
        ((), "", "Give the name"),
        (("nothing",), "{}", "no worksheet"),
        (("load_rate",), "{", "no JSON"),
        (("load_rate",), "[]", "one object"),
        (("load_rate",), '{"amount": "-5", "unit": "gal", "covered_ac": 1}', "below zero"),
        (("--schema", "nothing"), "", "no worksheet"),
    ],
)
def test_command_says_what_is_wrong(monkeypatch, args, given, words):
    with pytest.raises(CommandError, match=words):
        command(monkeypatch, *args, given=given)


def test_no_row_is_lost_to_another_of_its_name():
    """Recommendation 195 less 30 and 20 is 145, whatever the credits are called."""
    credits = [{"name": "legume", "lb_per_ac": 30}, {"name": "legume", "lb_per_ac": 20}]
    sheet = run_worksheet("nitrogen_need", {"recommended_lb_per_ac": 195, "credits": credits})
    assert sheet.outputs["needed_lb_per_ac"] == 145
    assert sheet.steps[0].values == {"recommended": 195, "legume": 30, "legume (2)": 20}
    credits[1]["in_recommendation"] = True
    sheet = run_worksheet("nitrogen_need", {"recommended_lb_per_ac": 195, "credits": credits})
    assert sheet.outputs["needed_lb_per_ac"] == 165


def test_two_groups_of_one_class_of_animals_both_count():
    rows = [{"name": "calf", "head": 60}, {"name": "calf", "head": 40}]
    sheet = run_worksheet("animal_units", {"table_id": "minnesota", "animals": rows})
    assert sheet.outputs["units"] == pytest.approx(20)  # 100 x 0.2, Minn. Stat. 116.06
    assert len(sheet.steps) == 3


def test_what_came_and_went_under_one_name_both_count():
    rows = [{"name": "manure", "amount": 300}, {"name": "manure", "amount": 60}]
    sheet = run_worksheet(
        "storage_balance", {"start": 100, "end": 150, "inflows": rows, "outflows": rows[:1]}
    )
    assert sheet.outputs["residual"] == pytest.approx(-10)  # 50 - (360 - 300)


def test_two_earlier_figures_of_one_name_both_ask():
    kind = worksheet_named("load_nutrients")
    rows = [{"name": "p2o5", "value": 10}, {"name": "p2o5", "value": 4.4}]
    sheet = kind.run({**kind.example, "p2o5": 4.37, "earlier": rows})
    assert len(sheet.doubts) == 1
    assert "was 10" in sheet.doubts[0]


@pytest.mark.parametrize(("end", "is_doubtful"), [(150, True), (100, False)])
def test_a_year_without_flows_is_plain_json(end, is_doubtful):
    given = {"start": 100, "end": end, "inflows": [], "outflows": []}
    told = to_json(run_worksheet("storage_balance", given))
    assert told["outputs"]["residual_pct"] is None
    assert told["outputs"]["doubtful"] is is_doubtful
    json.dumps(told, allow_nan=False)
    year = to_json(run_worksheet("storage_year", {"start_gal": 100, "end_gal": end}))
    json.dumps(year, allow_nan=False)


def test_what_a_field_may_still_receive_of_solids_is_in_tons():
    """5 ton/ac on 10 ac less 16,000 lb: 50 - 8 = 42 tons, five loads of 8 tons."""
    given = {"most_per_ac": 5, "field_ac": 10, "applied": "16000", "load": "16000", "unit": "lb"}
    sheet = run_worksheet("remaining_amount", given)
    assert sheet.outputs == {"left": 42.0, "unit": "ton", "whole_loads": 5}
    assert (sheet.steps[0].unit, sheet.steps[0].values["applied"]) == ("ton", 8.0)
