"""Recorded papers that rules know by name, and areas a field may lie in.

A paper counts only where it is on record for the ground and the day; the name says which
rule looks for it.
"""

PAPERS: dict[str, str] = {
    "agency_approval": "approval of the agency, given beforehand",
    "alternative_technology": "approved alternative technology for dead animals",
    "compliant_stacking": "stacking that complies in place of storage",
    "county_winter_permit": "county's winter spreading permit",
    "county_winter_plan": "county's winter spreading plan",
    "director_consent": "written consent of the director",
    "emergency_approval": "emergency approved by the department",
    "emergency_exemption": "emergency exemption",
    "emergency_notice": "emergency of which the agency was told first",
    "emergency_record": "record of a winter emergency",
    "equal_reduction": "demonstration of an equal or better reduction",
    "equipment_statement": "statement that equipment cannot go to a lower rate",
    "fertility_recommendation": "fertility recommendation for phosphorus",
    "seasonal_exemption": "seasonal exemption from the winter ban",
    "secretary_leave": "the Secretary's leave for a nearer stack",
    "winter_allowance": "allowance for winter spreading",
    "winter_extension_order": "order that extends the winter ban",
    "written_agreement": "written agreement of the resident",
    "written_waiver": "written waiver of the neighbour",
    "recorded_waiver": "waiver recorded with the county",
    "recharge_certification": "certification of recharge protection",
    "variance_papers": "variance papers kept on site",
}

AREAS: dict[str, str] = {
    "western_lake_erie": "Western Lake Erie basin, Ohio",
    "grand_lake_st_marys": "Grand Lake St. Marys basin, Ohio",
    "distressed": "a watershed in distress, Ohio",
}
