"""Worksheets of animals: as-excreted tables, a year's nutrients, bedding, wash water, places."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .. import animal_tables, animals
from ..units import GAL_PER_CUFT
from ..worksheet import Input, Output, Working, worksheet
from .one_line import one_line

HELD = animal_tables.tables()
HEAD = Input("head", "head", 0, 5_000_000, "animals", reason="more than any one farm's")
DAYS = Input("days", "days", 0, 366, "days in the period", reason="one year at most")
SETS = ("wisconsin-a3601", "asabe-d384.2", "awmfh-2008", "horse-rutgers")


def _choice(name: str, meaning: str, table: str) -> Input:
    return Input(name, "word", meaning=meaning, kind="choice",
                 choices=tuple(HELD[table]["rows"]))  # fmt: skip


@worksheet(
    "animals_excreted",
    title="Manure of animals by an as-excreted table",
    inputs=[
        Input("set_id", "word", meaning="table", kind="choice", choices=SETS),
        Input("animal", "word", meaning="animal, in the table's words", kind="text"),
        HEAD,
        DAYS,
        Input("confined_share", "share", 0, 1, "share of the time confined", optional=True,
              reason="1 is always"),
    ],
    outputs=[
        Output("manure_ton", "ton", "manure as excreted"),
        Output("manure_gal", "gal", "its volume; empty where the table states none"),
        Output("n_lb", "lb", "N as excreted; empty where the table states none"),
        Output("p_lb", "lb P", "P as excreted; empty where the table states none"),
        Output("k_lb", "lb K", "K as excreted; empty where the table states none"),
        Output("evidence", "word", "read, or memory: confirm before use"),
    ],
    source="The chosen table",
    example={"set_id": "wisconsin-a3601", "animal": "dairy, 1,400 lb", "head": 50, "days": 365},
)  # fmt: skip
def animals_excreted(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Tons, gallons and nutrients of so many animals as they fall, before any loss."""
    share = 1.0 if inputs["confined_share"] is None else inputs["confined_share"]
    found = animal_tables.excreted_in_period(
        inputs["set_id"], inputs["animal"], inputs["head"], inputs["days"], share
    )
    row, evidence = found.row, found.row.evidence
    told: Any = {"source": row.source, "evidence": evidence}
    sheet.step("Animal-days confined", "head x days x share",
               {"head": inputs["head"], "days": inputs["days"], "share": share},
               found.animal_days, "days", "Definition", "definition")  # fmt: skip
    sheet.step("Manure", "animal-days x pounds a day / 2000", {"lb_per_day": row.lb_per_day},
               found.ton, "ton", **told)  # fmt: skip
    gallons = None
    if found.cuft is not None:
        gallons = sheet.step(
            "Volume", "animal-days x cubic feet a day x 7.48052",
            {"cuft_per_day": row.cuft_per_day}, found.cuft * GAL_PER_CUFT, "gal", **told,
        )  # fmt: skip
    pounds = {"n_lb": found.n_lb, "p_lb": found.p_lb, "k_lb": found.k_lb}
    for name, value in pounds.items():
        if value is not None:
            daily = getattr(row, f"{name}_per_day")
            sheet.step(f"{name[0].upper()} as excreted", "animal-days x pounds a day",
                       {"lb_per_day": daily}, value, "lb", **told)  # fmt: skip
    if evidence == "memory":
        sheet.note("This table is from memory: confirm it before use.")
    return {"manure_ton": found.ton, "manure_gal": gallons, **pounds, "evidence": evidence}


@worksheet(
    "yearly_nutrients",
    title="A year's manure and usable nutrients by Wisconsin's table",
    inputs=[_choice("animal", "animal", "yearly_nutrients"), HEAD],
    outputs=[
        Output("manure_ton", "ton", "manure of a year"),
        Output("n_lb", "lb", "N available in the first year"),
        Output("p2o5_lb", "lb", "P2O5 available in the first year"),
        Output("k2o_lb", "lb", "K2O available in the first year"),
        Output("s_lb", "lb", "sulfur available in the first year"),
    ],
    source="University of Wisconsin A3601",
    example={"animal": "dairy, 1,400 lb", "head": 50},
)
def yearly_nutrients(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Tons and first-year available pounds of a year; already less what is lost or locked up."""
    found = animal_tables.yearly_nutrients(inputs["animal"], inputs["head"])
    one = animal_tables.yearly_nutrients(inputs["animal"], 1)
    outputs = {
        "manure_ton": found.ton, "n_lb": found.n_lb, "p2o5_lb": found.p2o5_lb,
        "k2o_lb": found.k2o_lb, "s_lb": found.s_lb,
    }  # fmt: skip
    words = {"manure_ton": "Manure", "n_lb": "N", "p2o5_lb": "P2O5", "k2o_lb": "K2O",
             "s_lb": "Sulfur"}  # fmt: skip
    for (name, value), of_one in zip(
        outputs.items(), (one.ton, one.n_lb, one.p2o5_lb, one.k2o_lb, one.s_lb), strict=True
    ):
        unit = "ton" if name == "manure_ton" else "lb"
        sheet.step(f"{words[name]} of a year", "head x figure of one animal",
                   {"head": inputs["head"], "of_one": of_one}, value, unit)  # fmt: skip
    return outputs


@worksheet(
    "manure_by_weight",
    title="Volume of manure by live weight",
    inputs=[
        HEAD,
        Input("average_lb", "lb", 0, 3000, "average live weight", above=True,
              reason="heavier is no farm animal"),
        Input("cuft_per_day", "cu ft/day", 0, 10, "volume for 1,000 lb of live weight", above=True,
              optional=True, reason="1.30 for dairy in AWMFH of 1992"),
        Input("animals", "word", meaning="or the handbook's figure for", kind="choice",
              choices=tuple(HELD["volume_by_weight"]["rows"]), optional=True),
        DAYS,
    ],
    outputs=[
        Output("weight_units", "1,000 lb", "live weight in units of 1,000 lb; no legal units"),
        Output("manure_cuft", "cu ft", "volume of manure"),
    ],
    source="AWMFH design example 10-2 (CV-6.1)",
    example={"head": 100, "average_lb": 1400, "cuft_per_day": 1.30, "days": 90},
)  # fmt: skip
def manure_by_weight(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Cubic feet of manure from live weight; the unit of weight is never a legal animal unit."""
    units = sheet.step("Live weight", "head x pounds / 1000",
                       {"head": inputs["head"], "average_lb": inputs["average_lb"]},
                       animals.mass_units(inputs["head"], inputs["average_lb"]),
                       "1,000 lb")  # fmt: skip
    per_day = inputs["cuft_per_day"]
    if (per_day is None) == (inputs["animals"] is None):
        raise ValueError("Give cuft_per_day, or animals of the handbook: one of the two.")
    if per_day is None:
        per_day = sheet.step("Volume of a day", "figure of the handbook",
                             {"animals": inputs["animals"]},
                             animal_tables.manure_cuft_per_day(inputs["animals"]),
                             "cu ft/day", "AWMFH of 1992, design worksheets")  # fmt: skip
    volume = sheet.step(
        "Volume", "units x cubic feet a day x days",
        {"cuft_per_day": per_day, "days": inputs["days"]},
        animals.manure_cuft(units, per_day, inputs["days"]), "cu ft",
    )  # fmt: skip
    return {"weight_units": units, "manure_cuft": volume}


@worksheet(
    "bedding_of_material",
    title="Volume a bedding material adds",
    inputs=[
        _choice("material", "bedding", "bedding"),
        Input("weight_units", "1,000 lb", 0, 1_000_000, "live weight in units of 1,000 lb",
              reason="more than any one farm's"),
        Input("lb_per_unit_per_day", "lb/day", 0, 50, "bedding for each unit",
              reason="deep bedding takes less"),
        DAYS,
    ],
    outputs=[
        Output("lb_per_cuft", "lb/cu ft", "weight of the loose material"),
        Output("bedding_cuft", "cu ft", "volume added: half of the loose volume"),
    ],
    source="AWMFH bedding weights; design example 10-2 (CV-6.1) confirms sawdust",
    evidence="memory",
    example={"material": "sawdust", "weight_units": 140, "lb_per_unit_per_day": 3.1, "days": 90},
)  # fmt: skip
def bedding_of_material(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Cubic feet a known bedding adds; half of its loose volume is filled by the manure."""
    weight = sheet.step("Weight of the material", "table", {"material": inputs["material"]},
                        animal_tables.bedding_lb_per_cuft(inputs["material"]),
                        "lb/cu ft")  # fmt: skip
    given = {"weight_units": inputs["weight_units"], "days": inputs["days"],
             "lb_per_unit_per_day": inputs["lb_per_unit_per_day"]}  # fmt: skip
    volume = animals.bedding_cuft(
        inputs["weight_units"], inputs["lb_per_unit_per_day"], inputs["days"], weight
    )
    sheet.step("Volume added", "0.5 x pounds x units x days / weight", given, volume, "cu ft")
    sheet.note("Weights of bedding are from memory: confirm them, or weigh your own.")
    return {"lb_per_cuft": weight, "bedding_cuft": volume}


one_line(
    "wash_water",
    "Wash water of a milking centre",
    lambda weight_units, days, cuft_per_day: animal_tables.wash_water_cuft(
        weight_units, days, cuft_per_day
    ),
    [
        Input("weight_units", "1,000 lb", 0, 1_000_000, "live weight of the milkers in 1,000 lb",
              reason="more than any one farm's"),
        DAYS,
        Input("cuft_per_day", "cu ft/day", 0, 20, "wash water for 1,000 lb of milkers",
              reason="0.60 in the handbook's examples"),
    ],
    Output("wash_cuft", "cu ft", "wash water"),
    "units x cubic feet a day x days",
    "AWMFH worksheet 10-A2, 0.60 as its examples use it",
    "derived",
    {"weight_units": 140, "days": 90, "cuft_per_day": 0.60},
)  # fmt: skip
one_line(
    "unlisted_units",
    "Animal units of a class the law's table lacks",
    animal_tables.unlisted_units,
    [
        Input("table_id", "word", meaning="law", kind="choice", choices=("minnesota",)),
        HEAD,
        Input("average_lb", "lb", 0, 3000, "average weight", reason="heavier is no farm animal"),
    ],
    Output("units", "animal units", "head x average weight / 1,000"),
    "head x pounds / 1000",
    "Minn. Stat. 116.06 subd. 4a, animals not listed",
    "read",
    {"table_id": "minnesota", "head": 40, "average_lb": 250},
)


@worksheet(
    "animal_places",
    title="Manure of animal places over a year",
    inputs=[
        Input("places", "places", 0, 5_000_000, "animal places", reason="more than any one farm's"),
        Input("turns_per_year", "turns", 0, 12, "groups in a year", above=True,
              reason="broilers make six to eight"),
        Input("days_on_feed", "days", 0, 366, "days of a group", above=True,
              reason="turns x days is at most a year"),
        Input("gal_per_day", "gal/day", 0, 50, "manure of one animal", above=True,
              reason="a cow makes about 20"),
    ],
    outputs=[
        Output("occupied_days", "days", "days a year a place is occupied"),
        Output("manure_gal", "gal", "manure of a year"),
    ],
    source="Minnesota Pork forum 757, deep pits (CV-6.4)",
    example={"places": 1248, "turns_per_year": 2.7, "days_on_feed": 120, "gal_per_day": 1},
)  # fmt: skip
def animal_places(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """Days a place is occupied and the gallons of a year; never simply 365 days."""
    turns, on_feed = inputs["turns_per_year"], inputs["days_on_feed"]
    days = sheet.step("Occupied days", "turns x days on feed",
                      {"turns_per_year": turns, "days_on_feed": on_feed},
                      animals.occupied_days(turns, on_feed), "days")  # fmt: skip
    gallons = sheet.step("Manure of a year", "places x gallons a day x days",
                         {"places": inputs["places"], "gal_per_day": inputs["gal_per_day"]},
                         animal_tables.places_gal(inputs["places"], inputs["gal_per_day"], days),
                         "gal")  # fmt: skip
    return {"occupied_days": days, "manure_gal": gallons}


@worksheet(
    "finished_animals",
    title="Manure of finished animals from start to market",
    inputs=[_choice("animal", "animal", "finished"), HEAD],
    outputs=[
        Output("manure_ton", "ton", "manure as excreted"),
        Output("manure_cuft", "cu ft", "its volume"),
        Output("n_lb", "lb", "N as excreted"),
        Output("p_lb", "lb P", "P as excreted"),
        Output("k_lb", "lb K", "K as excreted"),
    ],
    source=HELD["finished"]["source"],
    evidence="memory",
    example={"animal": "grow-finish pig, 154 lb on average", "head": 1000},
)
def finished_animals(inputs: Mapping[str, Any], sheet: Working) -> dict[str, Any]:
    """What so many marketed animals excreted in their whole time on the farm."""
    found = animal_tables.finished(inputs["animal"], inputs["head"])
    outputs = {"manure_ton": found.ton, "manure_cuft": found.cuft, "n_lb": found.n_lb,
               "p_lb": found.p_lb, "k_lb": found.k_lb}  # fmt: skip
    words = ("Manure", "Volume", "N as excreted", "P as excreted", "K as excreted")
    for word, unit, value in zip(
        words, ("ton", "cu ft", "lb", "lb P", "lb K"), outputs.values(), strict=True
    ):
        sheet.step(word, "head x figure of one animal", {"head": inputs["head"]}, value, unit)
    sheet.note("This table is from memory: confirm it before use.")
    return outputs
