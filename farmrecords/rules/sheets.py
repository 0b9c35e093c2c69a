"""The worksheet behind a rule's figure: named by the rule, or by the fact it limits."""

from collections.abc import Mapping
from typing import Any

# Facts of a year or of a load, and the worksheet that works them out.
BEHIND = {
    "year.n_lb_per_ac": "field_year_nutrients",
    "year.p2o5_lb_per_ac": "field_year_nutrients",
    "year.n_counted_lb_per_ac": "field_year_nutrients",
    "year.p2o5_counted_lb_per_ac": "field_year_nutrients",
    "year.manure_n_lb_per_ac": "field_year_nutrients",
    "year.manure_p2o5_lb_per_ac": "field_year_nutrients",
    "load.rate_gal_per_ac": "load_rate",
    "load.rate_ton_per_ac": "load_rate",
    "load.p2o5_lb_per_ac": "load_nutrients",
    "load.first_year_n_lb_per_ac": "load_nutrients",
    "load.first_year_p2o5_lb_per_ac": "load_nutrients",
}


def worksheet_behind(named: str, keys: Mapping[str, Any]) -> str:
    """The name of the worksheet, or an empty text where the figure is entered, not worked out.

    >>> worksheet_behind("", {"actual": "year.n_lb_per_ac"})
    'field_year_nutrients'
    """
    return named or BEHIND.get(str(keys.get("actual", "")), "")
