"""Pennsylvania 2, New York 2003, the matrix of 1993 and Minnesota's table.

Expected values are the published cases of each index, or computed beforehand with independent
code from the same definitions; none of them is a published example.
"""

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.calculations import p_index_ny as ny
from farmrecords.calculations import p_index_pa as pa
from farmrecords.calculations import p_matrix
from farmrecords.calculations.p_index_vt_inputs import PIndexError

PLACED, WEEK, SUMMER, WINTER, FROZEN = pa.TABLES["method"]
RIPARIAN, NO_BUFFER, DIRECT = pa.TABLES["connectivity"]
PATTERNED = "patterned, or rapid-permeability soil near a stream"


def manure(rate, method, coefficient):
    return pa.PaApplication(rate, method, coefficient)


PA_1 = pa.PaInputs(30, [manure(10, SUMMER, 1.0)], [manure(87, SUMMER, 0.8)], 3, "well", "none", 150)
PA_CASES = {
    "PA-1": (PA_1, 53.76, 13, 58.24, "Low"),
    "PA-3": (
        pa.PaInputs(
            120, [manure(30, PLACED, 1)], [manure(150, PLACED, 1.0)], 5, "poorly", PATTERNED, 250,
            0, DIRECT,
        ),
        60, 19, 104.50, "Very High",
    ),
    "PA-4": (
        pa.PaInputs(300, [], [manure(100, FROZEN, 0.8)], 6, "somewhat poorly", "none", 80),
        140, 21, 245.0, "Very High",
    ),
    "PA-5": (
        pa.PaInputs(150, [], [manure(100, WEEK, 0.8)], 4, "somewhat poorly", "none", 80, 35),
        62, 16, 82.6667, "High",
    ),
    "PA-6": (
        pa.PaInputs(150, [], [manure(100, WEEK, 0.8)], 4, "somewhat poorly", "none", 80),
        62, 19, 98.1667, "High",
    ),
    "PA-7": (
        pa.PaInputs(
            150, [], [manure(100, WEEK, 0.8)], 4, "somewhat poorly", "none", 80, 50, RIPARIAN
        ),
        62, 16, 70.2667, "Medium",
    ),
    "PA-9": (
        pa.PaInputs(90, [], [manure(70, WINTER, 0.8)], 2, "well", PATTERNED, 220, 0, DIRECT),
        62.8, 12, 69.08, "Medium",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", PA_CASES)
def test_pennsylvania_case(case):
    inputs, source, total, index, name = PA_CASES[case]
    result = pa.p_index_pa(inputs)
    assert result.source_factor == pytest.approx(source)
    assert result.transport_sum == pytest.approx(total)
    assert result.index == pytest.approx(index, abs=5e-5)
    assert result.risk_class == name


def test_pennsylvania_shows_both_readings_of_a_double_relief_and_says_which_it_takes():
    result = pa.p_index_pa(PA_CASES["PA-7"][0])
    assert result.milder_index == result.index == pytest.approx(70.2667, abs=5e-5)  # PA-7
    assert result.stricter_index == pytest.approx(83.4417, abs=5e-5)  # PA-8
    assert "twice" in result.notes[0]
    assert "83.44 and is not taken" in result.notes[0]
    plain = pa.p_index_pa(PA_CASES["PA-6"][0])
    assert (plain.stricter_index, plain.milder_index, plain.notes) == (None, None, ())


@pytest.mark.parametrize("manure", [[], [pa.PaApplication(0, "incorporated within 1 week", 0.8)]])
def test_without_manure_the_stricter_reading_is_taken(manure):
    """A row of 0 lb is no manure and never lowers the index. Soil 30, spread of 62 without it."""
    spread = [pa.PaApplication(80, "incorporated within 1 week")]
    field = dataclasses.replace(PA_CASES["PA-7"][0], manure=manure, fertilizer=spread)
    result = pa.p_index_pa(field)
    assert result.distance_rating == 9
    assert result.index == result.stricter_index == pytest.approx(83.4417, abs=5e-5)  # PA-8
    assert result.milder_index == pytest.approx(70.2667, abs=5e-5)  # PA-7
    assert "70.27 and is not taken" in result.notes[0]


def test_what_a_pennsylvania_class_allows_says_how_well_it_is_known():
    # NRCS agronomy manual 503 (read): low, high, very high; medium stays from memory
    known = {row["name"]: row["evidence"] for row in pa.TABLES["classes"]}
    assert known == {"Low": "read", "Medium": "memory", "High": "read", "Very High": "read"}
    assert pa.p_index_pa(PA_CASES["PA-7"][0]).class_evidence == "memory"


@pytest.mark.parametrize("wrong", [-0.01, float("nan"), float("inf")])
def test_pennsylvania_refuses_what_cannot_be(wrong):
    field = PA_CASES["PA-7"][0]
    for name in ("m3p_ppm", "erosion_ton_per_ac", "distance_ft", "buffer_ft"):
        with pytest.raises(pa.PIndexError):
            pa.p_index_pa(dataclasses.replace(field, **{name: wrong}))
    for call in (
        lambda: pa.risk_class(wrong),
        lambda: pa.needs_part_b(wrong, 150, False, False),
        lambda: pa.needs_part_b(200, wrong, False, False),
        lambda: pa.source_coefficient_of_wep(wrong),
    ):
        with pytest.raises(pa.PIndexError):
            call()


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
def test_pennsylvania_screening(m3p, feet, special, change, needed):
    assert pa.needs_part_b(m3p, feet, special, change) is needed


@pytest.mark.parametrize(
    ("feet", "buffer", "rating"),
    [(501, 0, 0), (500.9, 0, 2), (500, 0, 2), (350, 0, 2), (349, 0, 4), (200, 0, 4), (199, 0, 6),
     (100, 0, 6), (99, 0, 9), (99, 34, 9), (99, 35, 6)],
)  # fmt: skip
def test_pennsylvania_distance_rating(feet, buffer, rating):
    assert pa.distance_rating(feet, buffer) == rating


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"connectivity": DIRECT, "distance_ft": 100}, "direct connection"),
        ({"connectivity": RIPARIAN, "distance_ft": 100, "buffer_ft": 50}, "riparian"),
        ({"connectivity": RIPARIAN, "distance_ft": 99, "buffer_ft": 49}, "riparian"),
        ({"drainage": "soggy"}, "no drainage"),
        ({"m3p_ppm": -1}, "Mehlich-3"),
        ({"erosion_ton_per_ac": float("nan")}, "Erosion"),
        ({"distance_ft": -1}, "distance"),
        ({"manure": [manure(-1, WEEK, 0.8)]}, "rate"),
        ({"manure": [manure(1, WEEK, 1.1)]}, "source coefficient"),
        ({"manure": [manure(1, "thrown", 0.8)]}, "no method"),
    ],
)
def test_pennsylvania_refuses(change, words):
    with pytest.raises(PIndexError, match=words):
        pa.p_index_pa(dataclasses.replace(PA_1, **change))


# NRCS agronomy manual 503: PSC = 0.102 WEP^0.99 of typical WEP by species
@pytest.mark.parametrize(
    ("wep", "psc"),
    [(9.2, 0.918), (6.3, 0.631), (4.9, 0.492), (4.0, 0.402), (3.2, 0.323), (2.3, 0.233),
     (10, 0.9968), (10.04, 1.0), (16.8, 1.0)],
)  # fmt: skip
def test_source_coefficient_of_water_extractable_p(wep, psc):
    assert pa.source_coefficient_of_wep(wep) == pytest.approx(psc, abs=5e-4)


EARLY, LATE, COLD, SPRING = ny.TIMING
INJECTED, TWO_DAYS, FIVE_DAYS, SURFACE, ON_ICE = ny.METHOD
NY_CASES = {
    "NY-1": (
        ny.NyInputs(
            20, [ny.NyApplication(100, SPRING, SURFACE)], [ny.NyApplication(20, EARLY, INJECTED)],
            "somewhat poorly", "rare or never", [("intermittent", 150)], 3, False,
        ),
        (86.6, 0.285714, 0.985714, 85.3629, 0.585714, 50.7229, "High"),
    ),
    "NY-2": (
        ny.NyInputs(
            9, [ny.NyApplication(60, EARLY, TWO_DAYS)], [], "moderately well", "rare or never",
            [("perennial", 310)], 1.2, False,
        ),
        (18.45, 0, 0.3, 5.535, 0.12, 2.214, "Low"),
    ),
    "NY-3": (
        ny.NyInputs(
            44, [ny.NyApplication(80, LATE, FIVE_DAYS), ny.NyApplication(40, COLD, SURFACE)],
            [ny.NyApplication(30, EARLY, INJECTED)], "poorly or very poorly", "occasional",
            [("perennial", 120)], 2.0, True,
        ),
        (104.2, 0.72, 1, 104.2, 1, 104.2, "Very High"),
    ),
    "NY-4": (
        ny.NyInputs(
            60, [], [], "well or excessively", "rare or never", [("intermittent", 24)], 6, True
        ),
        (75.0, 1, 1, 75.0, 1, 75.0, "High"),
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", NY_CASES)
def test_new_york_case(case):
    inputs, (source, near, dissolved, d_index, particulate, p_index, name) = NY_CASES[case]
    result = ny.p_index_ny(inputs)
    assert result.source_score == pytest.approx(source)
    assert result.flow_distance == pytest.approx(near, abs=1e-6)
    assert result.dissolved_transport == pytest.approx(dissolved, abs=1e-6)
    assert result.particulate_transport == pytest.approx(particulate, abs=1e-6)
    assert result.dissolved_index == pytest.approx(d_index, abs=5e-5)
    assert result.particulate_index == pytest.approx(p_index, abs=5e-5)
    assert result.index == max(result.dissolved_index, result.particulate_index)
    assert result.risk_class == name


@pytest.mark.parametrize(
    ("kind", "feet", "term"),
    [("intermittent", 24.9, 1), ("intermittent", 25, 1), ("intermittent", 200, 0),
     ("perennial", 50, 1), ("perennial", 175, 0.5), ("perennial", 300, 0), ("perennial", 301, 0)],
)  # fmt: skip
def test_new_york_flow_distance(kind, feet, term):
    assert ny.flow_distance(kind, feet) == pytest.approx(term)


def test_new_york_directions():
    # Lemunyon and Gilbert 1993 (read): more is worse, worked in is better, summer is better, near
    # is worse
    base = NY_CASES["NY-1"][0]

    def index(**change):
        return ny.p_index_ny(dataclasses.replace(base, **change)).index

    def spread(rate, time, method):
        return {"manure": [ny.NyApplication(rate, time, method)]}

    assert index(**spread(120, SPRING, SURFACE)) > index()
    assert index(**spread(100, SPRING, TWO_DAYS)) < index()
    assert index(**spread(100, EARLY, SURFACE)) < index()
    assert index(watercourses=[("intermittent", 30)]) > index()
    assert index(watercourses=[]) < index()


@pytest.mark.parametrize(
    "change",
    [
        {"drainage": "soggy"},
        {"watercourses": [("brook", 10)]},
        {"watercourses": [("perennial", -1)]},
        {"morgan_p_lb_per_ac": -1},
        {"manure": [ny.NyApplication(-1, EARLY, SURFACE)]},
    ],
)
def test_new_york_refuses(change):
    with pytest.raises(PIndexError):
        ny.p_index_ny(dataclasses.replace(NY_CASES["NY-1"][0], **change))


@pytest.mark.parametrize(
    ("ratings", "index", "name"),
    [
        ((2, 0, 2, 4, 1, 1, 4, 2), 15.25, "High"),  # LG-1
        ((1, 0, 1, 1, 1, 1, 0, 0), 4.25, "Low"),  # LG-2
        ((8, 0, 4, 8, 0, 0, 8, 8), 38.0, "Very High"),  # LG-3
        ((8, 8, 8, 8, 8, 8, 8, 8), 62.0, "Very High"),  # weights total 7.75
        ((4, 0, 0, 2, 0, 0, 0, 0), 8.0, "Medium"),
    ],
)
def test_matrix_of_1993(ratings, index, name):
    result = p_matrix.p_index_lg(dict(zip(p_matrix.LG_WEIGHTS, ratings, strict=True)))
    assert (result.index, result.risk_class) == (index, name)


def test_matrix_of_1993_refuses():
    with pytest.raises(PIndexError, match="one rating"):
        p_matrix.p_index_lg({})
    with pytest.raises(PIndexError, match="rated 3"):
        p_matrix.p_index_lg(dict.fromkeys(p_matrix.LG_WEIGHTS, 3))
    for rate in (p_matrix.erosion_rating, p_matrix.organic_rate_rating):
        with pytest.raises(PIndexError):
            rate(-1)
    assert [p_matrix.fertilizer_rate_rating(v) for v in (1, 90, 91)] == [1, 2, 4]
    assert [p_matrix.organic_rate_rating(v) for v in (31, 60)] == [2, 2]


@pytest.mark.parametrize(
    ("feet", "stp", "test", "erosion", "strip", "index", "basis"),
    [
        (250, 40, "Bray P1", 3, False, None, "R"),
        (250, 40, "Bray P1", 3, True, None, "N"),
        (250, 16, "Olsen", 5.9, False, None, "N"),
        (250, 160, "Bray P1", 1.5, False, None, "none"),
        (250, 160, "Bray P1", 1.5, True, None, "R"),
        (500, 90, "Bray P1", 4, True, None, "N"),
        (900, 10, "Bray P1", 6.1, True, None, "none"),
        (250, 100, "Bray P1", 4, False, 1.5, "N"),
        (250, 100, "Bray P1", 4, False, 1.6, "R"),
        (300, 40, "Bray P1", 3, False, None, "R"),  # exactly 300 ft uses the near rows
        (301, 40, "Bray P1", 3, False, None, "N"),
        (301, 160, "Bray P1", 3.9, False, None, "planner"),
        (301, 160, "Bray P1", 3.9, True, None, "N"),
        (301, 160, "Bray P1", 4, False, None, "R"),
        (301, 160, "Bray P1", 4, False, 1.0, "N"),
        (301, 100, "Bray P1", 4, False, None, "R"),
        (250, 160, "Bray P1", 2, True, None, "none"),
        (250, 160, "Bray P1", 2, True, 1.5, "R"),
        (250, 21.4, "Bray P1", 6, False, None, "N"),  # rounded to whole ppm first
        (250, 21.5, "Bray P1", 6, False, None, "R"),
        (250, 61, "Olsen", 6, False, None, "R"),
    ],
)
def test_minnesota_rate_basis(feet, stp, test, erosion, strip, index, basis):
    assert p_matrix.mn_rate_basis(feet, stp, test, erosion, strip, index).basis == basis


@pytest.mark.parametrize(
    "args", [(-1, 40, "Bray P1", 3), (250, 40, "Mehlich-3", 3), (250, -1, "Olsen", 3),
             (250, 40, "Olsen", float("nan"))]
)  # fmt: skip
def test_minnesota_refuses(args):
    with pytest.raises(PIndexError):
        p_matrix.mn_rate_basis(*args, False)


@given(rate=st.floats(0, 300), more=st.floats(0, 100), method=st.sampled_from(list(ny.METHOD)))
def test_indices_never_fall_when_more_is_spread(rate, more, method):
    base = NY_CASES["NY-1"][0]
    low, high = (
        ny.p_index_ny(dataclasses.replace(base, manure=[ny.NyApplication(r, COLD, method)])).index
        for r in (rate, rate + more)
    )
    assert high >= low
    low, high = (
        pa.p_index_pa(dataclasses.replace(PA_1, manure=[manure(r, WINTER, 0.8)])).index
        for r in (rate, rate + more)
    )
    assert high >= low
