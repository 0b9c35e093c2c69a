"""Controlled lists of the farm room. Kept out of database choices where the law may add to them."""

from django.utils.translation import gettext_lazy as _

# The thirteen animal types of 40 CFR 122.42(e)(4)(i), in the order of the rule.
ANIMAL_KINDS = [
    ("beef_cattle", _("beef cattle")),
    ("broilers", _("broilers")),
    ("layers", _("layers")),
    ("swine_ge55", _("swine, 55 lb or more")),
    ("swine_lt55", _("swine, under 55 lb")),
    ("dairy_mature", _("mature dairy cows")),
    ("dairy_heifers", _("dairy heifers")),
    ("veal", _("veal calves")),
    ("sheep", _("sheep and lambs")),
    ("horses", _("horses")),
    ("ducks", _("ducks")),
    ("turkeys", _("turkeys")),
    ("other", _("other")),
]

# The kinds of feature that the rules speak of, every one; a test holds both lists together.
FEATURE_KINDS = [
    ("stream_perennial", _("perennial stream")),
    ("stream_intermittent", _("intermittent stream")),
    ("lake", _("lake")),
    ("pond", _("pond")),
    ("ditch", _("ditch")),
    ("road_ditch", _("road ditch")),
    ("grassed_waterway", _("grassed waterway")),
    ("wetland", _("wetland")),
    ("spring", _("spring")),
    ("open_tile_intake", _("open tile intake")),
    ("surface_inlet", _("surface inlet")),
    ("sinkhole", _("sinkhole")),
    ("conduit_groundwater", _("direct conduit to groundwater")),
    ("mine_quarry", _("mine or quarry")),
    ("well_agricultural", _("agricultural well head")),
    ("well_drinking", _("drinking-water well")),
    ("well_public", _("public water supply")),
    ("well_irrigation", _("irrigation well")),
    ("abandoned_well", _("abandoned well")),
    ("cistern", _("cistern")),
    ("agricultural_drainage_well", _("agricultural drainage well")),
    ("dwelling", _("dwelling")),
    ("business", _("business")),
    ("school", _("school")),
    ("religious_institution", _("religious institution")),
    ("public_area", _("public use area")),
    ("property_line", _("property line")),
    ("public_road", _("public road")),
    ("surface_water_other", _("other surface water")),
    ("conduit_other", _("other conduit")),
]

CONTROLS = [
    ("owned", _("owned")),
    ("rented", _("rented")),
    ("leased", _("leased")),
    ("other", _("other")),
]
LINE_SOURCES = [
    ("walked", _("walked")),
    ("surveyed", _("surveyed")),
    ("imported", _("imported")),
    ("drawn", _("drawn on a picture")),
]
YES_NO_UNKNOWN = [("yes", _("yes")), ("no", _("no")), ("unknown", _("not known"))]
DRAINAGE_CLASSES = [
    ("excessively drained", _("excessively drained")),
    ("somewhat excessively drained", _("somewhat excessively drained")),
    ("well drained", _("well drained")),
    ("moderately well drained", _("moderately well drained")),
    ("somewhat poorly drained", _("somewhat poorly drained")),
    ("poorly drained", _("poorly drained")),
    ("very poorly drained", _("very poorly drained")),
]
HYDROLOGIC_GROUPS = [(group, group) for group in ("A", "B", "C", "D", "A/D", "B/D", "C/D")]
TILE = [
    ("none", _("none")),
    ("random", _("random")),
    ("patterned", _("patterned")),
    ("unknown", _("not known")),
]
PRACTICE_KINDS = [
    ("vegetated_buffer", _("vegetated buffer")),
    ("approved_alternative", _("approved alternative")),
    ("other", _("other practice")),
]
STORAGE_SHAPES = [
    ("rectangular", _("rectangular, straight walls")),
    ("pond", _("earthen, sloped sides")),
    ("cylinder", _("round tank")),
    ("stage_table", _("surveyed depth table")),
    ("stack", _("solid stack")),
]
MATERIALS = [
    ("manure", _("manure")),
    ("process_wastewater", _("process wastewater")),
    ("litter", _("litter")),
    ("compost", _("compost")),
]
SPECIES = [
    ("dairy", _("dairy")),
    ("beef", _("beef")),
    ("swine", _("swine")),
    ("poultry", _("poultry")),
    ("other", _("other")),
]
SPREADER_KINDS = [
    ("tanker", _("tanker")),
    ("hose", _("dragged hose")),
    ("irrigation", _("irrigation")),
    ("box", _("box spreader")),
    ("side_discharge", _("side-discharge spreader")),
    ("litter", _("litter spreader")),
]
SUBJECTS_OF_NONE = [
    ("features", _("features to keep away from, on or beside the field")),
    ("discharges", _("discharges from the production area")),
    ("fertilizer", _("fertilizer")),
    ("transfers", _("manure handed to others")),
    ("other_farm_manure", _("manure put on the field by another farm")),
    ("mortality", _("dead animals")),
    ("multi_year_p", _("phosphorus left from an application for several years")),
]
