"""Evidence of each step travels with its numbers, as its source tells."""

import pytest

from farmrecords.calculations.available_nitrogen import later_evidence, system_named
from farmrecords.calculations.worksheet import WorksheetError, run_worksheet, worksheet_named


def evidence_of(name, **inputs):
    """How well each step is known, by its words."""
    kind = worksheet_named(name)
    return {step.words: step.evidence for step in kind.run({**kind.example, **inputs}).steps}


# Minnesota: beef rows read, other species memory; New York and Nebraska read; Iowa and others
# memory
@pytest.mark.parametrize(
    ("system", "material", "known"),
    [
        ("MN", "beef", "read"), ("MN", "dairy", "memory"), ("MN", "swine", "memory"),
        ("MN", "poultry", "memory"), ("IA", "beef or dairy", "memory"),
        ("WI", "dairy, liquid", "memory"), ("WI", "poultry", "memory"), ("AB", "fresh", "read"),
        ("NY", "poultry", "read"),
        ("NE", "most manures (no layer manure, no composted feedlot)", "read"),
    ],
)  # fmt: skip
def test_shares_of_later_years_say_how_well_they_are_known(system, material, known):
    assert later_evidence(system_named(system), material) == known
    row = {"crop_year": 2025, "units_per_ac": 10, "tested_n": 5, "material": material}
    given = {"system": system, "crop_year": 2026, "form": "solid", "events": [row]}
    sheet = run_worksheet("residual_nitrogen", given)
    assert [step.evidence for step in sheet.steps] == [known, known]
    assert sheet.outputs["evidence"] == known
    assert bool(sheet.notes) is (known == "memory")


def test_iowa_knows_its_phosphate_better_than_its_potash():
    iowa = system_named("IA")  # Iowa PMR 1003: P 80-100 % read, K 90-100 % memory
    table = "phosphate_and_potash"
    assert (iowa.evidence(table, "p2o5"), iowa.evidence(table, "k2o")) == ("read", "memory")


def test_the_exponent_of_the_old_slope_factor_is_from_memory():
    # USDA AH-537 and AH-703: the equation is read, the classes of m are memory
    assert set(evidence_of("usle_ls").values()) == {"memory"}


@pytest.mark.parametrize(
    ("inputs", "exponent", "steepness"),
    [
        ({"ratio": "moderate"}, "read", "read"),
        ({"ratio": "low"}, "memory", "read"),
        ({"ratio": "high"}, "memory", "read"),
        ({"ratio": "moderate", "thawing": True}, "read", "memory"),
    ],
)
def test_the_newer_slope_factor_tells_what_is_from_memory(inputs, exponent, steepness):
    # USDA AH-537 and AH-703: S and beta read; half and twice beta, and thawing soil, memory
    found = evidence_of("rusle_ls", **inputs)
    assert found["Exponent of the length"] == exponent
    assert found["Steepness"] == steepness
    assert found["Slope factor"] == ("read" if {exponent, steepness} == {"read"} else "memory")


def test_a_lying_tank_is_standard_geometry_from_memory():
    # geometry: partial horizontal cylinder, memory
    lying = {"shape": "lying cylinder", "diameter_ft": 8, "length_ft": 20, "level_ft": 4}
    assert set(evidence_of("storage_volume", **lying).values()) == {"memory"}
    assert set(evidence_of("storage_volume").values()) == {"read"}


def test_the_middle_of_a_range_is_derived_and_said():
    # Ontario field crop news, May 2025: canola N 2.0 to 2.2; dry bean 2.50
    given = {"set_id": "ontario", "crop": "canola", "yield_per_ac": 40}
    sheet = run_worksheet("crop_removal", given)
    assert {step.evidence for step in sheet.steps} == {"derived"}
    assert sheet.notes[0].startswith("n: the set states 2 to 2.2 pounds per unit; the middle, 2.1")
    plain = run_worksheet("crop_removal", {**given, "crop": "dry bean"})
    assert {step.evidence for step in plain.steps} == {"read"}
    assert plain.notes == ()


def test_added_ratings_of_pennsylvania_are_from_memory():
    # Saha et al. 2020: several applications, sum the ratings (memory)
    row = {"rate_lb_p2o5_per_ac": 50, "method": "incorporated within 1 week"}
    assert evidence_of("p_index_pa")["Source factor"] == "read"
    assert evidence_of("p_index_pa", manure=[row, row])["Source factor"] == "memory"


@pytest.mark.parametrize(
    ("inputs", "words"),
    [
        ({"practice": "contouring", "rotation": "A"}, "rotation belongs to contour strips"),
        ({"practice": "terraces", "rotation": "A"}, "rotation belongs to contour strips"),
        ({"practice": "contour strips"}, "need the rotation"),
        ({"practice": "contour strips", "rotation": "A", "residue_covered": True}, "Residue"),
    ],
)
def test_a_practice_refuses_an_input_it_does_not_use(inputs, words):
    with pytest.raises(WorksheetError, match=words):
        run_worksheet("practice_factor", {"slope_pct": 4, "length_ft": 300, **inputs})


def test_residue_lengthens_the_slope_between_terraces_too():
    # AH-537 table 13: 300 ft at 3-5 %, a quarter more with residue (memory)
    given = {"practice": "terraces", "slope_pct": 4, "length_ft": 375}
    assert run_worksheet("practice_factor", given).outputs["p"] == 1.0
    assert run_worksheet("practice_factor", {**given, "residue_covered": True}).outputs["p"] == 0.5
