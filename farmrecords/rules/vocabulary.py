"""The declared vocabulary of facts and the controlled list of features.

A name outside it is an error, both in facts and in rule files, so that a misspelt fact
never passes for an unknown one.
"""

from farmrecords.rules.terms import Term, day, number, register, truth
from farmrecords.rules.vocabulary_farm import FARM
from farmrecords.rules.vocabulary_land import LAND

WORDING: dict[str, Term] = {
    "rule.wording": truth(
        "what the rule says at its own bound, which the text read does not settle"
    ),
    "rule.number": number("a number of the rule for this case; the text read gives none"),
    "rule.source": truth("the rule's official text, not yet held against the rule file"),
}

VOCABULARY: dict[str, Term] = {**LAND, **FARM, **WORDING}

FEATURE_KINDS: dict[str, str] = {
    "stream_perennial": "perennial stream",
    "stream_intermittent": "intermittent stream",
    "lake": "lake",
    "pond": "pond",
    "ditch": "ditch",
    "road_ditch": "road ditch",
    "wetland": "wetland",
    "surface_water_other": "other surface water",
    "open_tile_intake": "open tile intake",
    "surface_inlet": "surface inlet",
    "sinkhole": "sinkhole",
    "conduit_groundwater": "direct conduit to groundwater",
    "conduit_other": "other conduit to surface water",
    "spring": "spring",
    "well_agricultural": "agricultural well head",
    "well_drinking": "private drinking-water well",
    "well_public": "public water well",
    "well_irrigation": "irrigation well",
    "abandoned_well": "abandoned well",
    "cistern": "cistern",
    "agricultural_drainage_well": "agricultural drainage well",
    "mine_quarry": "mine or quarry",
    "dwelling": "dwelling",
    "business": "commercial enterprise",
    "religious_institution": "religious institution",
    "school": "educational institution",
    "public_area": "public use area",
    "property_line": "property line",
    "public_road": "public road",
    "grassed_waterway": "grassed waterway",
}

FEATURE_VOCABULARY: dict[str, Term] = {
    "feature.kind": Term("word", "kind of feature", choices=tuple(FEATURE_KINDS)),
    "feature.distance_ft": number("from the nearest edge of the spread ground", "ft"),
    "feature.uncertainty_ft": number("combined doubt of that distance", "ft"),
    "feature.farthest_ft": number("farthest part of the field from it, the track not known", "ft"),
    "feature.down_gradient": truth("the feature lies down-gradient of the ground"),
    "feature.flow_toward": truth("surface flow runs toward the feature"),
    "feature.upslope_of_load": truth("the feature lies upslope of the ground"),
    "feature.bermed": truth("a berm keeps flow out"),
    "feature.buffer_width_ft": number("recorded vegetated buffer", "ft"),
    "feature.buffer_unspread": truth("no manure went on that buffer"),
    "feature.buffer_permanent": truth("the buffer is permanent vegetation"),
    "feature.buffer_runoff_enters": truth("vegetation along the water"),
    "feature.documents": register("recorded papers that cover this feature on the day"),
    "feature.owned_by_titleholder": truth("belongs to the titleholder of the spread land"),
    "feature.high_quality": truth("a water of the highest protection"),
    "feature.area_ac": number("area of the water", "ac"),
    "feature.built_on": day("day it was built or drilled"),
    "feature.wellhead_distance_ft": number("distance the wellhead authority asks", "ft"),
    "feature.runoff_can_reach": truth("runoff can reach it"),
    "feature.in_exceptional_floodplain": truth("in the floodplain of an exceptional-value stream"),
}

VOCABULARY["features.none_stated"] = register(
    "kinds of feature stated to be absent near this ground", *FEATURE_KINDS
)

TERMS: dict[str, Term] = {**VOCABULARY, **FEATURE_VOCABULARY}

SUBJECTS: tuple[str, ...] = ("load", "field_year", "storage", "operation", "report", "transfer")
__all__ = ["FEATURE_KINDS", "FEATURE_VOCABULARY", "SUBJECTS", "TERMS", "VOCABULARY", "Term"]
