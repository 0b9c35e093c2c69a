"""Vermont P Index 6.1 against the twelve columns stored in the published workbook (read)."""

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farmrecords.calculations.p_index_vt import (
    ManureForIndex,
    PIndexError,
    VtInputs,
    aluminium_factor,
    choices,
    p_index_vt,
    risk_class,
    season_runoff_in,
    snowmelt_in,
)
from farmrecords.calculations.p_index_vt_inputs import SOILS, TABLES

MID, LOW, HIGH = "600-1000 ft", "<600 ft", ">1000 ft"
CORN = "corn and other row crops"
SURFACE = "Not incorporated"


def vt(elevation, stp, al, erosion, soil, cover, crop, distances, tile=False, manure=(), fert=()):
    distance, buffer, setback = distances
    return VtInputs(
        region="NW",
        elevation=elevation,
        stp_ppm=stp,
        aluminium_ppm=al,
        erosion_ton_per_ac=erosion,
        series=f"Other ({soil})",
        cover=cover,
        crop=crop,
        distance_ft=distance,
        buffer_ft=buffer,
        setback_ft=setback,
        tile=tile,
        manure=[ManureForIndex(*manure)] if manure else (),
        fertilizer_lb_p2o5_per_ac=fert[0] if fert else 0.0,
        fertilizer_code=fert[1] if fert else "none",
    )


# inputs; STPadj, TP, c, Ps, Dd, Dm, Pm, Df; P1, P2, P3, index, class
PUBLISHED = {
    "VT-F": (
        vt(
            MID, 5, 0, 3, "D, non-clay", "0-20%", CORN, (0, 0, 0),
            manure=(50, "Oct - Dec 15", "Moldboard", "< 1 day"),
            fert=(10, "Injected or subsurface banded"),
        ),
        (5.4285, 816.4923, 0.136541, 0.514390, 0.214363, 0.102520, 0.012815, 0.0),
        (42.1764, 25.3507, 0.0, 67.5271, "High"),
    ),
    "VT-H": (
        vt(
            LOW, 3, 0, 1, "C, non-clay", "0-20%", CORN, (0, 0, 0), tile=True,
            manure=(70, "Oct - Dec 15", SURFACE, SURFACE),
        ),
        (5.4090, 818.7958, 0.136267, 0.168672, 0.072503, 0.616, 0.154, 0.0),
        (25.8138, 55.0802, 16.1788, 97.0728, "High"),
    ),
    "VT-J": (
        vt(
            LOW, 10, 1000, 3.5, "D, non-clay", "0-20%", CORN, (50, 50, 0),
            manure=(90, "April - bare", "Chisel", "Immediate"),
            fert=(30, "Incorporated chisel"),
        ),
        (10.4581, 873.6794, 0.207459, 0.672733, 0.292512, 0.158403, 0.049501, 0.0528),
        (36.7440, 33.9180, 0.0, 70.6620, "High"),
    ),
    "VT-K": (
        vt(
            MID, 0.5, 0, 0.5, "D, non-clay", ">20%", "small grains", (20, 20, 50),
            manure=(80, "May - Sept", "Moldboard", "3 - 4 days"),
        ),
        (2.8950, 777.4099, 0.100819, 0.078130, 0.108706, 0.222464, 0.027808, 0.0),
        (6.9713, 22.3841, 0.0, 29.3555, "Low"),
    ),
    "VT-L": (
        vt(LOW, 0.5, 0, 0.5, "B, non-clay", "0-20%", CORN, (0, 0, 0)),
        (0.5, 765.4350, 0.067050, 0.076926, 0.035675, 0.0, 0.0, 0.0),
        (6.1541, 2.8540, 0.0, 9.0081, "Low"),
    ),
    "VT-M": (
        vt(
            LOW, 0.5, 0, 0.5, "B, non-clay", "0-20%", CORN, (0, 0, 0),
            fert=(50, "Surface April - bare"),
        ),
        (0.5, 765.4350, 0.067050, 0.076926, 0.035675, 0.0, 0.0, 0.352),
        (6.1541, 31.0140, 0.0, 37.1681, "Medium"),
    ),
    "VT-P": (
        vt(LOW, 30, 200, 1, "B, non-clay", "0-20%", CORN, (0, 0, 0)),
        (30.0, 1086.1, 0.483, 0.282386, 0.256987, 0.0, 0.0, 0.0),
        (22.5909, 20.5590, 0.0, 43.1499, "Medium"),
    ),
    "VT-R": (
        vt(
            HIGH, 0.5, 2000, 0.5, "D, clay", ">20%", "pasture", (0, 0, 0),
            manure=(10, "May - Sept", SURFACE, SURFACE),
        ),
        (0.6947, 654.5574, 0.069796, 0.065783, 0.102596, 0.0616, 0.011, 0.0),
        (6.1426, 13.1357, 0.0, 19.2783, "Low"),
    ),
    "VT-U": (
        vt(LOW, 0.5, 0, 0.5, "D, clay", "0-20%", CORN, (0, 0, 0), tile=True),
        (0.5, 653.28, 0.067050, 0.065655, 0.069923, 0.0, 0.0, 0.0),
        (5.2524, 5.5938, 2.1692, 13.0154, "Low"),
    ),
    "VT-V": (
        vt(LOW, 0.5, 0, 0.5, "C, non-clay", "0-20%", CORN, (0, 0, 0), tile=True),
        (0.5, 765.4350, 0.067050, 0.076926, 0.035675, 0.0, 0.0, 0.0),
        (6.1541, 2.8540, 1.8016, 10.8097, "Low"),
    ),
    "VT-X": (
        vt(
            LOW, 0.5, 0, 2, "B, non-clay", ">20%", "vegetable, clean cultivated", (0, 0, 0),
            manure=(30, "Oct - Dec 15", "Disk", "< 1 day"),
        ),
        (0.7054, 766.4621, 0.069946, 0.308118, 0.027912, 0.116688, 0.029172, 0.0),
        (26.9832, 11.5680, 0.0, 38.5512, "Medium"),
    ),
    "VT-AC": (
        vt(HIGH, 0.5, 5000, 5, "D, clay", ">20%", CORN, (0, 0, 0)),
        (0.5, 653.28, 0.067050, 0.656546, 0.107224, 0.0, 0.0, 0.0),
        (52.5237, 8.5779, 0.0, 61.1017, "High"),
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", PUBLISHED)
def test_workbook_column_reproduces(case):
    inputs, intermediates, (sediment, surface, subsurface, index, name) = PUBLISHED[case]
    result = p_index_vt(inputs)
    computed = (
        result.soil.stp_adjusted_ppm,
        result.soil.total_p_ppm,
        result.soil.runoff_drp_mg_per_l,
        result.losses.sediment_p,
        result.losses.dissolved_soil_p,
        result.losses.dissolved_manure_p,
        result.losses.particulate_manure_p,
        result.losses.fertilizer_p,
    )
    assert computed == pytest.approx(intermediates, abs=1e-4)
    assert result.sediment == pytest.approx(sediment, abs=1e-4)
    assert result.surface == pytest.approx(surface, abs=1e-4)
    assert result.subsurface == pytest.approx(subsurface, abs=1e-4)
    assert result.index == pytest.approx(index, abs=1e-4)
    assert result.risk_class == name


@pytest.mark.parametrize(
    ("index", "name"),
    [
        (30.49, "Low"),
        (30.5, "Medium"),
        (60.49, "Medium"),
        (60.5, "High"),
        (100.49, "High"),
        (100.5, "Very High"),
    ],
)
def test_classes_turn_at_half_units(index, name):
    assert risk_class(index) == name


# Workbook 6.1: adjusted growing-season runoff and snowmelt as listed (read)
@pytest.mark.parametrize(
    ("region", "runoff", "melt"),
    [
        ("SW", (1.701253, 1.539408, 1.655575), (0.75, 1.0, 1.8125)),
        ("SE", (1.529153, 1.623888, 1.779654), (0.9375, 1.25, 1.9375)),
        ("NW", (1.536470, 1.490490, 1.753174), (0.8125, 1.125, 1.8125)),
        ("NCent", (1.518491, 1.545304, 1.578989), (0.875, 1.1875, 1.75)),
        ("NE", (1.474933, 1.445012, 1.838268), (0.9375, 1.3125, 2.0625)),
    ],
)
def test_weather_of_a_region_matches_the_adjusted_tables(region, runoff, melt):
    zones = (LOW, MID, HIGH)
    assert [season_runoff_in(region, z) for z in zones] == pytest.approx(runoff, abs=1e-6)
    assert tuple(snowmelt_in(region, z) for z in zones) == melt


@pytest.mark.parametrize(
    ("al", "factor"), [(19.999, 1.0), (20, 1.0), (50, 0.7), (80, 0.4), (80.001, 0.4)]
)
def test_aluminium_factor_has_no_jump(al, factor):
    assert aluminium_factor(al) == pytest.approx(factor, abs=1e-4)


def test_surface_may_to_september_fertilizer_keeps_the_full_aluminium_factor():
    # as coded in the workbook: that code is not in the list of surface codes
    al_rich = vt(
        LOW, 5, 100, 1, "B, non-clay", "0-20%", CORN, (0, 0, 0), fert=(50, "Surface May - Sept")
    )
    april = dataclasses.replace(al_rich, fertilizer_code="Surface April - bare")
    assert p_index_vt(al_rich).losses.fertilizer_p == pytest.approx(50 * 0.44 * 0.02 * 0.4 * 0.5)
    assert p_index_vt(april).losses.fertilizer_p == pytest.approx(50 * 0.44 * 0.02 * 0.7 * 0.8)


BASE = PUBLISHED["VT-F"][0]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"stp_ppm": 0}, "above 0"),
        ({"erosion_ton_per_ac": 0}, "above 0"),
        ({"aluminium_ppm": -1}, "0 or more"),
        ({"stp_ppm": float("nan")}, "nan"),
        ({"buffer_ft": 10}, "does not fit"),
        ({"crop": "pasture"}, "needs surface cover >20%"),
        ({"region": "Ohio"}, "no region"),
        ({"series": "Nowhere"}, "soil series"),
        ({"fertilizer_code": "none"}, "rate 0 goes with"),
        ({"fertilizer_lb_p2o5_per_ac": 0}, "rate 0 goes with"),
        ({"manure": [ManureForIndex(0, "May - Sept", "none", "none")]}, "rate of 0"),
        ({"manure": [ManureForIndex(5, "none", "Disk", "< 1 day")]}, "needs its time"),
        ({"manure": [ManureForIndex(5, "May - Sept", SURFACE, "< 1 day")]}, "contradict"),
        ({"manure": [ManureForIndex(5, "May - Sept", "Disk", SURFACE)]}, "contradict"),
        ({"manure": [ManureForIndex(5, "May - Sept", "Disk", "< 1 day")] * 4}, "three"),
    ],
)
def test_what_the_workbook_calls_an_error_is_refused(change, words):
    with pytest.raises(PIndexError, match=words):
        p_index_vt(dataclasses.replace(BASE, **change))


def test_drawdown_warning_begins_at_20_ppm():
    assert p_index_vt(dataclasses.replace(BASE, stp_ppm=19.99)).notes == ()
    assert "drawdown" in p_index_vt(dataclasses.replace(BASE, stp_ppm=20)).notes[0]


def test_a_distance_above_300_ft_counts_as_300():
    far = dataclasses.replace(BASE, distance_ft=900)
    at_300 = dataclasses.replace(BASE, distance_ft=300)
    assert p_index_vt(far).index == p_index_vt(at_300).index
    assert "300" in p_index_vt(far).notes[0]


def test_soil_series_are_named_once_and_only_six_are_clay():
    listed = [name for names in TABLES["series"].values() for name in names]
    assert len(listed) == len(set(listed)) == 183
    clay = {name for name, (_, is_clay) in SOILS.items() if is_clay and "Other" not in name}
    assert clay == {
        "Covington", "Kingsbury", "Livingston", "Panton", "Vergennes", "Vergennes variant",
    }  # fmt: skip
    assert SOILS["Winooski"][0] == "B"  # the main table drives the calculation
    assert SOILS["Westbury"][0] == "C"


@given(
    rate=st.floats(1, 200),
    more=st.floats(0, 100),
    al=st.floats(0, 500),
    time=st.sampled_from([t for t in choices()["time"] if t != "none"]),
    method=st.sampled_from(["Moldboard", "Chisel", "Disk"]),
)
def test_index_never_falls_when_more_manure_is_put_on(rate, more, al, time, method):
    one = ManureForIndex(rate, time, method, "5 - 7 days")
    two = dataclasses.replace(one, rate_lb_p2o5_per_ac=rate + more)
    inputs = dataclasses.replace(BASE, aluminium_ppm=al, fertilizer_lb_p2o5_per_ac=0.0,
                                 fertilizer_code="none", manure=[one])  # fmt: skip
    heavier = dataclasses.replace(inputs, manure=[two])
    assert p_index_vt(heavier).index >= p_index_vt(inputs).index - 1e-9
