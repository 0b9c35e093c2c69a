"""Every lookup of the phosphorus procedures that was read, against the printed tables."""

import pytest

from farmrecords.calculations import p_index_ny as ny
from farmrecords.calculations import p_index_pa as pa
from farmrecords.calculations import p_matrix
from farmrecords.calculations.p_index_vt_inputs import SOILS, TABLES

# --- Vermont 6.1, workbook (read) -----------------------------------------------------------


@pytest.mark.parametrize(
    ("table", "printed"),
    [
        ("manure_time", {"May - Sept": 0.5, "Oct - Dec 15": 1.0, "Dec 15 - March": 1.3,
                         "April - bare": 0.8, "April - vegetated": 0.6, "none": 0}),
        ("manure_method", {"Injected or subsurface banded": 0, "Moldboard": 0.05, "Chisel": 0.25,
                           "Disk": 0.40, "Not incorporated": 1, "none": 0}),
        ("incorporation", {"Immediate": 0.00001, "< 1 day": 0.07, "< 2 days": 0.13,
                           "3 - 4 days": 0.24, "5 - 7 days": 0.38, "8 - 21 days": 0.74,
                           "Not incorporated": 1, "none": 0}),
        ("fertilizer_code", {"Surface May - Sept": 0.50, "Surface Oct - Dec 15": 1.00,
                             "Surface Dec 15 - March": 1.30, "Surface April - bare": 0.80,
                             "Surface April - vegetated": 0.60, "Incorporated moldboard": 0.05,
                             "Incorporated chisel": 0.25, "Incorporated disk": 0.40,
                             "Injected or subsurface banded": 0, "none": 0}),
        ("availability", {"dairy": 1, "beef": 1, "septage": 1, "poultry": 1, "swine": 1,
                          "compost and other": 1, "biosolids by water-extractable P": 1,
                          "stabilized biosolids": 0.4}),
        ("hsg_factor", {"A": 0.5, "B": 1.0, "C": 1.6, "D": 2.0}),
        ("hsg_with_tile", {"D": "C", "C": "B", "B": "A", "A": "A"}),
    ],
)  # fmt: skip
def test_vermont_lookup(table, printed):
    assert TABLES[table] == printed


# rows A to D; columns <5 %, 0-20 %, >20 % cover (read)
@pytest.mark.parametrize(
    ("crops", "rows"),
    [
        (
            ("corn and other row crops", "vegetable, clean cultivated"),
            ((0.56, 0.42, 0.25), (1.35, 1.00, 0.75), (2.63, 1.96, 1.48), (3.58, 2.65, 1.98)),
        ),
        (
            ("row crop with successful cover crop", "small grains",
             "vegetable, mulched or living cover", "vegetable, vining or high canopy"),
            ((0.27, 0.22, 0.15), (0.84, 0.67, 0.55), (1.82, 1.48, 1.23), (2.63, 2.17, 1.82)),
        ),
        (("alfalfa and other hay",), ((0.12,), (0.55,), (1.37,), (1.98,))),
        (("pasture",), ((0.02,), (0.30,), (1.08,), (1.82,))),
    ],
)  # fmt: skip
def test_vermont_runoff_adjustment(crops, rows):
    for crop in crops:
        held = TABLES["runoff"][TABLES["crops"][crop]["group"]]
        for group, printed in zip("ABCD", rows, strict=True):
            assert tuple(share for share in held[group] if share >= 0) == printed


def test_vermont_crop_uptake_and_constants():
    # corn and other row crops 100 lb P2O5, pasture 0, every other group 50
    uptake = {crop: one["uptake"] for crop, one in TABLES["crops"].items()}
    assert uptake.pop("corn and other row crops") == 100
    assert uptake.pop("pasture") == 0
    assert set(uptake.values()) == {50}
    held = TABLES["constants"]
    assert (held["scaling"], held["dissolved_runoff_factor"]) == (80, 0.02)
    assert (held["particulate_manure_factor"], held["p_per_p2o5"]) == (0.005, 0.44)
    assert (held["million_lb_water_per_ac_in"], held["tile_share"]) == (0.22651, 0.2)


SERIES = {
    "A": "Adams, Adams variant, Colrain, Colton, Copake, Deerfield, Duxbury, Groton, Hinckley, "
    "Hinesburg, Kars, Merrimac, Missisquoi, Nellis, Occum, Pittsfield, Pomfret, Quonset, "
    "St. Albans, Stetson, Sunday, Teago, Warwick, Windsor",
    "B": "Agawam, Allagash, Berkshire, Dummerston, Dutchess, Elmridge, Elmwood, Fryeburg, Glebe, "
    "Hadley, Hamlin, Hartland, Houghtonville, Irasburg, Lovewell, Machias, Madawaska, Monadnock, "
    "Ondawa, Ondawa variant, Salmon, Sudbury, Tioga, Tisbury, Unadilla, Waitsfield, Wappinger, "
    "Winooski",
    "C": "Adamant, Amenia, Calais, Cornish, Dixfield, Farmington variant, Fullam, Galway, Hero, "
    "Hitchcock, Limerick variant, Lordstown, Macomber, Marlow, Melrose, Mundal, Nicholville, "
    "Ninigret, Palatine, Paxton, Pittstown, Podunk variant, Potsdam, Rawsonville, Raynham variant, "
    "Rumney variant, Salmon variant, Shelburne, Sisk, Stockbridge, Stowe, Tunbridge, Vershire, "
    "Weider, Westbury, Worden",
    "D": "Au Gres, Belgrade, Benson, Biddeford, Binghamville, Birdsall, Bomoseen, Boothbay, "
    "Brayton, Buckland, Buxton, Cabot, Canandaigua, Castile, Charles, Colonel, Croghan, Duane, "
    "Eldridge, Elmwood variant, Elvers, Enosburg, Farmington, Fredon, Galoo, Georgia, Glover, "
    "Grange, Hogback, Hubbardton, Kendaia, Killington, Lamoine, Limerick, Londonderry, Lyman, "
    "Lyme, Lyons, Mansfield, Massena, Medomak, Middlebury, Moosilauke, Munson, Nasmith, Nassau, "
    "Pawling, Peru, Podunk, Pootatuck, Raynham, Rippowam, Roundabout, Rumney, Saco, Scantic, "
    "Scantic variant, Scarboro, Sheepscot, Skerry, Stratton, Sunapee, Sunny, Swanton, Swanville, "
    "Taconic, Teel, Wallkill, Walpole, Wareham, Whatley, Wilmington, Woodstock, Adrian, Balch, "
    "Bucksport, Carbondale, Carlisle, Linwood, Lupton, Markey, Muck and peat, Peacham, Pinnebog, "
    "Pondicherry, Ricker, Rifle, Searsport, Wonsqueak",
}
CLAY = "Covington, Kingsbury, Livingston, Panton, Vergennes, Vergennes variant"


def test_vermont_soil_series():
    printed = {name: (hsg, False) for hsg, names in SERIES.items() for name in names.split(", ")}
    printed |= dict.fromkeys(CLAY.split(", "), ("D", True))
    assert {name: one for name, one in SOILS.items() if not name.startswith("Other")} == printed


# --- Pennsylvania 2, Saha et al. 2020, agronomy manual 503 (read) --------------------------------


@pytest.mark.parametrize(
    ("table", "printed"),
    [
        ("method", {"placed or injected 2 in or deeper": 0.2, "incorporated within 1 week": 0.4,
                    "not incorporated within 1 week, April - October": 0.6,
                    "not incorporated within 1 week, November - March": 0.8,
                    "surface, frozen or snow-covered": 1.0}),
        ("source_coefficient", {"swine": 1.0, "duck": 1.0, "broiler": 0.8, "layer": 0.8,
                                "turkey": 0.8, "dairy, liquid": 0.8, "dairy, bedded pack": 0.8,
                                "beef": 0.8, "horse": 0.8,
                                "biosolids, biological P removal": 0.8, "biosolids, other": 0.4}),
        ("drainage", {"excessively": 0, "somewhat excessively": 2, "well": 4, "moderately well": 4,
                      "somewhat poorly": 6, "poorly": 8, "very poorly": 8}),
        ("subsurface", {"none": 0, "random": 1,
                        "patterned, or rapid-permeability soil near a stream": 2}),
        ("connectivity", {"50-ft riparian buffer": 0.85, "grassed waterway or none": 1.0,
                          "direct connection": 1.1}),
    ],
)  # fmt: skip
def test_pennsylvania_lookup(table, printed):
    assert pa.TABLES[table] == printed


def test_pennsylvania_arithmetic_of_a_case_that_cannot_be_a_field():
    # case PA-2: rating 9 with 0.85 and manure contradicts the worksheet's footnote, so p_index_pa
    # never takes it; the arithmetic of its parts must still give 161.67
    spread = pa.PaApplication(120, "not incorporated within 1 week, November - March", 0.8)
    field = pa.PaInputs(250, [], [spread], 2, "somewhat poorly", "random", 80, 50,
                        "50-ft riparian buffer")  # fmt: skip
    total, factor = pa.transport(field, 9)
    manure = pa.application_rating([spread])
    source = pa.TABLES["constants"]["soil_test_factor"] * 250 + manure
    index = pa.TABLES["constants"]["scale"] * source * factor
    assert (manure, source) == pytest.approx((76.8, 126.8))
    assert (total, factor) == pytest.approx((18, 0.6375))
    assert index == pytest.approx(161.67, abs=0.005)
    assert pa.risk_class(index) == "Very High"
    # as facts, the field takes the milder rating 6 and shows the stricter one beside it
    found = pa.p_index_pa(field)
    assert found.distance_rating == 6
    assert found.stricter_index == pytest.approx(161.67, abs=0.005)


# every case of the two tables, with each rating shown: soil, fertilizer, manure; factor
@pytest.mark.parametrize(
    ("m3p", "fertilizer", "manure", "ratings"),
    [
        (30, (10, 0.6, 1), (87, 0.6, 0.8), (6, 6, 41.76)),  # PA-1
        (120, (30, 0.2, 1), (150, 0.2, 1.0), (24, 6, 30)),  # PA-3
        (300, None, (100, 1.0, 0.8), (60, 0, 80)),  # PA-4
        (150, None, (100, 0.4, 0.8), (30, 0, 32)),  # PA-5 to PA-8
        (90, None, (70, 0.8, 0.8), (18, 0, 44.8)),  # PA-9
    ],
)
def test_pennsylvania_ratings(m3p, fertilizer, manure, ratings):
    method = {share: word for word, share in pa.TABLES["method"].items()}

    def rows(one):
        return [pa.PaApplication(one[0], method[one[1]], one[2])] if one else []

    found = pa.p_index_pa(pa.PaInputs(m3p, rows(fertilizer), rows(manure), 4, "well", "none", 600))
    assert (found.soil_rating, found.fertilizer_rating, found.manure_rating) == pytest.approx(
        ratings
    )


@pytest.mark.parametrize(
    ("erosion", "drainage", "subsurface", "rating", "connection", "factor"),
    [
        (3, "well", 0, 6, 1.0, 0.541667),  # PA-1
        (5, "poorly", 2, 4, 1.1, 0.870833),  # PA-3
        (6, "somewhat poorly", 0, 9, 1.0, 0.875),  # PA-4
        (4, "somewhat poorly", 0, 6, 1.0, 0.666667),  # PA-5
        (4, "somewhat poorly", 0, 9, 1.0, 0.791667),  # PA-6
        (4, "somewhat poorly", 0, 6, 0.85, 0.566667),  # PA-7
        (4, "somewhat poorly", 0, 9, 0.85, 0.672917),  # PA-8
        (2, "well", 2, 4, 1.1, 0.55),  # PA-9
        (5, "poorly", 2, 9, 1.0, 1.0),  # 24 = 8 + 2 + 9 + 5, the divisor
    ],
)
def test_pennsylvania_transport_factor(erosion, drainage, subsurface, rating, connection, factor):
    words = {value: word for word, value in pa.TABLES["subsurface"].items()}
    links = {value: word for word, value in pa.TABLES["connectivity"].items()}
    field = pa.PaInputs(0, [], [], erosion, drainage, words[subsurface], 0, 0, links[connection])
    assert pa.transport(field, rating)[1] == pytest.approx(factor, abs=1e-6)


@pytest.mark.parametrize(
    ("index", "name"),
    [(59.49, "Low"), (59.5, "Medium"), (79.49, "Medium"), (79.5, "High"), (99.49, "High"),
     (99.5, "Very High")],
)  # fmt: skip
def test_pennsylvania_classes_turn_at_half_units(index, name):
    # Saha et al. 2020 (read): reported 0-59, 60-79, 80-99, 100 and above
    assert pa.risk_class(index) == name


# --- New York 2003: what was read; the matrix of 1993; Minnesota -------------------------------


def test_new_york_source_factors_and_period_names():
    # Cornell CSS 412 module 4 (read): 1.25 x Morgan P, 0.75 x manure; the names of the periods
    field = ny.NyInputs(40, [], [], "well or excessively", "rare or never", [], 0, False)
    assert ny.p_index_ny(field).source_score == 50
    assert list(ny.TIMING) == ["May - Aug", "Sept - Oct", "Nov - Jan", "Feb - Apr"]
    spread = ny.NyApplication(100, "Feb - Apr", list(ny.METHOD)[-1])
    with_manure = ny.NyInputs(40, [spread], [], *("well or excessively", "rare or never"), [], 0,
                              False)  # fmt: skip
    assert ny.p_index_ny(with_manure).source_score == 50 + 75


# Lemunyon and Gilbert 1993 (memory; the cuts between 14 and 15 and between 32 and 33 are this
# project's choice)
@pytest.mark.parametrize(
    ("ratings", "index", "name"),
    [
        ((4, 0, 1, 0, 1, 1, 0, 0), 7.75, "Low"),
        ((4, 0, 0, 2, 0, 0, 0, 0), 8.0, "Medium"),
        ((8, 0, 1, 1, 1, 1, 0, 0), 14.75, "Medium"),
        ((8, 0, 0, 2, 0, 2, 0, 0), 15.0, "High"),
        ((8, 8, 0, 8, 0, 0, 0, 0), 32.0, "High"),
        ((8, 8, 0, 8, 0, 1, 0, 0), 32.5, "Very High"),
    ],
)
def test_matrix_of_1993_turns_at_8_15_and_above_32(ratings, index, name):
    found = p_matrix.p_index_lg(dict(zip(p_matrix.LG_WEIGHTS, ratings, strict=True)))
    assert (found.index, found.risk_class) == (index, name)


def test_matrix_of_1993_weights():
    assert p_matrix.LG_WEIGHTS == {
        "soil erosion": 1.5, "irrigation erosion": 1.5, "runoff class": 0.5, "soil P test": 1.0,
        "P fertilizer rate": 0.75, "P fertilizer method": 0.5, "organic P rate": 1.0,
        "organic P method": 1.0,
    }  # fmt: skip
    assert sum(p_matrix.LG_WEIGHTS.values()) == 7.75


# Minnesota table of P loss (read): distance, Bray bands and Olsen bands, erosion; no strip, 100-ft
# strip;
# a pair holds the answers above and at index 1.5
ROWS = [
    (0, "any", (6.01,), ("none", "none"), ("none", "none")),
    (299, 0, (0, 6), ("N", "N"), ("N", "N")),
    (299, 1, (0, 6), ("R", "R"), ("N", "N")),
    (299, 2, (0, 6), ("R", "N"), ("R", "N")),
    (299, 3, (0, 1.99), ("none", "none"), ("R", "R")),
    (299, 3, (2, 6), ("none", "R"), ("none", "R")),
    (301, 0, (0, 6), ("N", "N"), ("N", "N")),
    (301, 1, (0, 6), ("N", "N"), ("N", "N")),
    (301, 2, (0, 6), ("R", "N"), ("N", "N")),
    (301, 3, (0, 3.99), ("planner", "planner"), ("N", "N")),
    (301, 3, (4, 6), ("R", "N"), ("R", "N")),
]
BANDS = {
    "Bray P1": [(0, 21), (22, 75), (76, 150), (151, 400)],
    "Olsen": [(0, 16), (17, 60), (61, 120), (121, 400)],
}


@pytest.mark.parametrize(("feet", "band", "erosions", "bare", "strip"), ROWS)
@pytest.mark.parametrize("extractant", BANDS)
def test_minnesota_table_cell_by_cell(feet, band, erosions, bare, strip, extractant):
    chosen = range(4) if band == "any" else [band]
    for stp in (ppm for one in chosen for ppm in BANDS[extractant][one]):
        for erosion in erosions:
            for has_strip, (above, at) in ((False, bare), (True, strip)):
                asked = (feet, stp, extractant, erosion, has_strip)
                assert p_matrix.mn_rate_basis(*asked, 1.51).basis == above
                assert p_matrix.mn_rate_basis(*asked, None).basis == above
                assert p_matrix.mn_rate_basis(*asked, 1.5).basis == at
