"""Worksheets of tanks on wheels, road loads, piles, stacks, wall depth and density."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .. import capacity, density, piles, road_load
from .. import storage_budget as budget
from ..units import GAL_PER_CUFT, parse_amount
from ..worksheet import Input, Output, Working, worksheet
from .loads import AMOUNT_UNITS
from .one_line import one_line


def feet(name: str, meaning: str, most: float = 1000, optional: bool = False) -> Input:
    """Return a length in feet above 0."""
    return Input(name, "ft", 0, most, meaning, optional=optional, above=True,
                 reason="larger is no farm's")  # fmt: skip


BULK = Input("lb_per_cuft", "lb/cu ft", 5, 120, "weight of a cubic foot", optional=True,
             reason="from dry litter to wet sand")  # fmt: skip

one_line(
    "tank_filled",
    "Gallons a tank spreader usually carries",
    lambda rated_gal, fill_share=capacity.USUAL_FILL: capacity.tank_load_gal(rated_gal, fill_share),
    [
        Input("rated_gal", "gal", 0, 20_000, "rated capacity", above=True,
              reason="larger is no road tank"),
        Input("fill_share", "share", 0, 1, "share filled; left out, 0.90 for foam", optional=True,
              above=True, reason="a share of the rating"),
    ],
    Output("load_gal", "gal", "usual load"),
    "rating x 0.90",
    "Iowa State EPC 1999; Washington dairy plan calibration",
    "read",
    {"rated_gal": 4500},
)  # fmt: skip


@worksheet(
    "elliptical_tank",
    title="Volume of a tank with an elliptical section",
    inputs=[
        feet("width_ft", "inside width", 15),
        feet("height_ft", "inside height", 15),
        feet("length_ft", "inside length", 60),
    ],
    outputs=[
        Output("volume_cuft", "cu ft", "volume"),
        Output("full_gal", "gal", "gallons when full"),
        Output("load_gal", "gal", "usual load, 90 per cent"),
    ],
    source="Standard geometry; 90 per cent by Iowa State EPC 1999",
    evidence="memory",
    example={"width_ft": 8, "height_ft": 6, "length_ft": 20},
)
def elliptical_tank(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Cubic feet and gallons of an elliptical tank, full and as usually filled."""
    volume = sheet.step("Volume", "pi / 4 x width x height x length", dict(inputs),
                        capacity.elliptical_tank_cuft(**inputs), "cu ft")  # fmt: skip
    full = sheet.step("Gallons when full", "cu ft x 7.48052", {"volume_cuft": volume},
                      volume * GAL_PER_CUFT, "gal", "Exact unit definitions",
                      "definition")  # fmt: skip
    usual = sheet.step("Usual load", "gallons x 0.90", {"full_gal": full},
                       capacity.tank_load_gal(full), "gal", "Iowa State EPC 1999",
                       "read")  # fmt: skip
    return {"volume_cuft": volume, "full_gal": full, "load_gal": usual}


WHEELS = (
    Input("name", "word", meaning="axle or hitch", kind="text"),
    Input("on_hitch", "yes or no", meaning="this is the hitch", kind="yes_no", optional=True),
    Input("tare_lb", "lb", 0, 100_000, "carried empty", reason="heavier than any spreader"),
    Input("share", "share", 0, 1, "share of the load", reason="shares add up to 1"),
    Input("limit_lb", "lb", 0, 200_000, "its limit", optional=True, reason="law of the road"),
)


@worksheet(
    "road_load",
    title="Weight of a loaded spreader on the road",
    inputs=[
        Input("amount", "as given by unit", meaning="load", kind="text"),
        Input("unit", "word", meaning="unit of the load", kind="choice", choices=AMOUNT_UNITS),
        Input("density_lb_per_gal", "lb/gal", 1, 15, "density, for a load in gallons",
              optional=True, reason="from dry litter to wet sand"),
        Input("axles", "rows", meaning="axles and hitch", kind="list", items=WHEELS),
        Input("gross_limit_lb", "lb", 0, 400_000, "limit on its own wheels", optional=True,
              reason="law of the road"),
    ],
    outputs=[
        Output("load_lb", "lb", "weight of the load"),
        Output("wheels_lb", "lb", "on the spreader's own wheels"),
        Output("hitch_lb", "lb", "on the hitch"),
        Output("all_within", "yes or no", "every stated limit kept; empty when none is stated"),
    ],
    source="Tare plus share of the load; limits are law and are entered",
    evidence="definition",
    example={"amount": "6,000", "unit": "gal", "density_lb_per_gal": 8.4, "axles": [
        {"name": "hitch", "on_hitch": True, "tare_lb": 2000, "share": 0.1},
        {"name": "front axle", "tare_lb": 5000, "share": 0.45, "limit_lb": 20_000},
        {"name": "rear axle", "tare_lb": 5000, "share": 0.45, "limit_lb": 30_000},
    ]},
)  # fmt: skip
def road_load_sheet(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """What the load weighs, what each axle carries, and the sums on wheels and hitch."""
    amount, rows = parse_amount(inputs["amount"], inputs["unit"]), inputs["axles"]
    load = road_load.load_weight_lb(amount.milli, amount.kind, inputs["density_lb_per_gal"])
    sheet.step("Weight of the load", "gallons x density" if amount.kind == "gal" else "as weighed",
               {f"amount_{amount.kind}": amount.milli / 1000,
                "density_lb_per_gal": inputs["density_lb_per_gal"]}, load, "lb")  # fmt: skip
    axles = capacity.axle_loads(
        [row["tare_lb"] for row in rows], load, [row["share"] for row in rows],
        [row["limit_lb"] for row in rows],
    )  # fmt: skip
    for row, axle in zip(rows, axles, strict=True):
        sheet.step(f"Carried by {row['name']}", "empty + load x share",
                   {"tare_lb": row["tare_lb"], "share": row["share"]},
                   axle.carried_lb, "lb")  # fmt: skip
        if axle.within is False:
            sheet.note(f"{row['name']} carries more than its limit of {row['limit_lb']:,.0f} lb.")
    wheels, hitch = road_load.road_load_lb(axles, [bool(row["on_hitch"]) for row in rows])
    sheet.step("On its own wheels", "sum of the axles", {}, wheels, "lb")
    kept = [axle.within for axle in axles if axle.within is not None]
    most = inputs["gross_limit_lb"]
    if most is not None:
        kept.append(wheels <= most)
        if wheels > most:
            sheet.note(f"The wheels carry more than the limit of {most:,.0f} lb.")
    return {
        "load_lb": load,
        "wheels_lb": wheels,
        "hitch_lb": hitch,
        "all_within": all(kept) if kept else None,
    }


one_line(
    "wall_depth",
    "Depth of a storage along its sloped wall",
    lambda wall_length_ft, slope_angle_deg, freeboard_along_ft=0.0: budget.depth_from_wall_ft(
        wall_length_ft - freeboard_along_ft, slope_angle_deg
    ),
    [
        feet("wall_length_ft", "length along the wall, bottom to top"),
        Input("slope_angle_deg", "degrees", 0, 90, "angle of the wall above level", above=True,
              reason="90 is upright"),
        Input("freeboard_along_ft", "ft", 0, 1000, "freeboard along the wall", optional=True,
              reason="part of the wall's length"),
    ],
    Output("depth_ft", "ft", "upright depth"),
    "cos(90 - angle) x (length - freeboard)",
    "Agdex 400/28-3 p. 140",
    "read",
    {"wall_length_ft": 24, "slope_angle_deg": 30, "freeboard_along_ft": 4},
)  # fmt: skip
one_line(
    "leaning_board",
    "Height of a pile by a leaning board",
    lambda board_ft, rise_at_mark_ft, slope_to_mark_ft: budget.leaning_board_height(
        board_ft, rise_at_mark_ft, slope_to_mark_ft
    ),
    [
        feet("board_ft", "board from foot to top of the pile", 100),
        feet("rise_at_mark_ft", "height of the mark above ground", 100),
        feet("slope_to_mark_ft", "board from foot to mark", 100),
    ],
    Output("height_ft", "ft", "height of the pile"),
    "board x rise at the mark / board to the mark",
    "Agdex 400/28-3 p. 130 (CV-6.6)",
    "read",
    {"board_ft": 4.9, "rise_at_mark_ft": 0.9, "slope_to_mark_ft": 2.0},
)


def _weight(volume: float, lb_per_cuft: float | None, sheet: Working) -> float | None:
    """The step from volume to tons, where a cubic foot's weight is known."""
    if lb_per_cuft is None:
        sheet.note("Without the weight of a cubic foot there are no tons.")
        return None
    found: float = sheet.step(
        "Weight", "volume x weight of a cubic foot / 2000",
        {"volume_cuft": volume, "lb_per_cuft": lb_per_cuft},
        piles.pile_ton(volume, lb_per_cuft), "ton", piles.PILE_SOURCE, "read",
    )  # fmt: skip
    return found


HEAP = (
    Output("volume_cuft", "cu ft", "volume"),
    Output("weight_ton", "ton", "weight; empty without the weight of a cubic foot"),
)


@worksheet(
    "round_pile",
    title="Volume and weight of a round pile",
    inputs=[
        feet("circumference_ft", "tape around its foot"),
        feet("height_ft", "height", 60),
        BULK,
    ],
    outputs=[Output("diameter_ft", "ft", "diameter"), *HEAP],
    source="Agdex 400/28-3 pp. 129-130; cone by standard geometry",
    evidence="memory",
    example={"circumference_ft": 62.83, "height_ft": 6, "lb_per_cuft": 55},
)
def round_pile(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """A cone by the tape around its foot and its height."""
    around, height = inputs["circumference_ft"], inputs["height_ft"]
    across = sheet.step("Diameter", "circumference / pi", {"circumference_ft": around},
                        piles.diameter_of_round(around), "ft", piles.PILE_SOURCE,
                        "read")  # fmt: skip
    volume = sheet.step("Volume", "pi x diameter squared x height / 12",
                        {"diameter_ft": across, "height_ft": height},
                        budget.cone_pile_cuft(across, height), "cu ft")  # fmt: skip
    return {"diameter_ft": across, "volume_cuft": volume,
            "weight_ton": _weight(volume, inputs["lb_per_cuft"], sheet)}  # fmt: skip


@worksheet(
    "windrow_pile",
    title="Volume and weight of a windrow",
    inputs=[
        feet("bottom_length_ft", "length at the bottom", 5000),
        Input("top_length_ft", "ft", 0, 5000, "length at the top", reason="not above the bottom"),
        feet("width_ft", "width at the bottom", 200),
        feet("height_ft", "height", 60),
        BULK,
    ],
    outputs=[Output("diameter_ft", "ft", "working width of its section"), *HEAP],
    source="Agdex 400/28-3 p. 130; half an ellipse by standard geometry",
    evidence="memory",
    example={"bottom_length_ft": 110, "top_length_ft": 90, "width_ft": 20, "height_ft": 6,
             "lb_per_cuft": 55},
)  # fmt: skip
def windrow_pile(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """A windrow with half an ellipse as its section, as long as the mean of bottom and top."""
    bottom, top = inputs["bottom_length_ft"], inputs["top_length_ft"]
    across = sheet.step(
        "Working width", "(bottom length - top length + width) / 2",
        {"bottom_length_ft": bottom, "top_length_ft": top, "width_ft": inputs["width_ft"]},
        piles.diameter_of_windrow(bottom, top, inputs["width_ft"]), "ft", piles.PILE_SOURCE, "read",
    )  # fmt: skip
    mean = sheet.step("Mean length", "(bottom + top) / 2", {}, piles.mean_length_ft(bottom, top),
                      "ft", "The ends slope: mean of both lengths", "practice")  # fmt: skip
    volume = sheet.step(
        "Volume", "pi x width x height x length / 4",
        {"width_ft": across, "height_ft": inputs["height_ft"], "length_ft": mean},
        piles.windrow_cuft(across, inputs["height_ft"], mean), "cu ft",
    )  # fmt: skip
    return {"diameter_ft": across, "volume_cuft": volume,
            "weight_ton": _weight(volume, inputs["lb_per_cuft"], sheet)}  # fmt: skip


@worksheet(
    "open_stack",
    title="Length of a stack with three open sides",
    inputs=[
        Input("volume_cuft", "cu ft", 0, 10_000_000, "volume to be stacked", above=True,
              reason="larger is no one stack"),
        feet("building_width_ft", "width of the building", 300),
        feet("height_ft", "height of the stack", piles.STACK_MOST_HIGH_FT),
        Input("side_freeboard_ft", "ft", 0, 50, "freeboard at each side; left out, 6",
              optional=True, reason="6 ft without siding"),
        Input("end_freeboard_ft", "ft", 0, 50, "freeboard at the end; left out, 12",
              optional=True, reason="12 ft in the source"),
    ],
    outputs=[
        Output("section_sqft", "sq ft", "section of the stack"),
        Output("stack_length_ft", "ft", "length of the stack"),
        Output("building_length_ft", "ft", "length of the building"),
    ],
    source=piles.STACK_SOURCE,
    example={"volume_cuft": 8400, "building_width_ft": 40, "height_ft": 5},
)  # fmt: skip
def open_stack(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """How long a roofed stack with three open sides must be; its free sides slope 1.5 to 1."""
    given = {name: value for name, value in inputs.items() if value is not None}
    found = piles.open_sided_stack(**given)
    sheet.step("Section", "height x (width - 2 x side freeboard) - 1.5 x height squared",
               given, found.section_sqft, "sq ft")  # fmt: skip
    sheet.step("Length of the stack", "volume / section + 0.75 x height", {},
               found.stack_length_ft, "ft")  # fmt: skip
    sheet.step("Length of the building", "stack + end freeboard", {}, found.building_length_ft,
               "ft")  # fmt: skip
    return {
        "section_sqft": found.section_sqft,
        "stack_length_ft": found.stack_length_ft,
        "building_length_ft": found.building_length_ft,
    }


@worksheet(
    "bucket_density",
    title="Density by a five-gallon bucket",
    inputs=[
        Input("buckets", "rows", meaning="full buckets, at least five", kind="list",
              items=(Input("net_lb", "lb", 0, 100, "net weight", above=True,
                           reason="wet sand in a bucket weighs less"),)),
    ],
    outputs=[
        Output("lb_per_gal", "lb/gal", "density"),
        Output("lb_per_cuft", "lb/cu ft", "the same for a cubic foot"),
    ],
    source=density.SOURCE,
    example={"buckets": [{"net_lb": lb} for lb in (41, 42, 42, 42.5, 42.5)]},
)  # fmt: skip
def bucket_density(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Pounds per gallon and per cubic foot from at least five weighed buckets."""
    pounds = [row["net_lb"] for row in inputs["buckets"]]
    found = density.from_buckets(pounds)
    sheet.step("Mean net weight", "sum / buckets", {"net_lb": pounds}, found.mean_net_lb, "lb")
    sheet.step("Density", "mean / 5", {}, found.lb_per_gal, "lb/gal")
    sheet.step("Weight of a cubic foot", "mean x 1.5", {}, found.lb_per_cuft, "lb/cu ft")
    return {"lb_per_gal": found.lb_per_gal, "lb_per_cuft": found.lb_per_cuft}


one_line(
    "pail_density",
    "Bulk density by one pail",
    density.pail_kg_per_m3,
    [
        Input("net_kg", "kg", 0, 100, "net weight of the full pail", above=True,
              reason="more than a pail holds"),
        Input("pail_litres", "L", 0, 100, "volume of the pail", above=True,
              reason="larger is no pail"),
    ],
    Output("kg_per_m3", "kg/m3", "bulk density"),
    "kilograms / litres x 1000",
    "Agdex 400/28-3 p. 133 (CV-1.4)",
    "read",
    {"net_kg": 19.48, "pail_litres": 20},
)  # fmt: skip
