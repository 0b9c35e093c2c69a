"""A requirement whose content the texts read do not give: always cannot tell."""

from farmrecords.rules.checks.base import Check
from farmrecords.rules.facts import Facts
from farmrecords.rules.model import RuleOnDay, Verdict


def decide(standing: RuleOnDay, facts: Facts) -> Verdict:
    """Cannot tell, naming the rule's own words as what is missing."""
    return Verdict(None, "undetermined", {}, (), ("rule.wording",))


CHECK = Check(
    "undetermined",
    {},
    decide,
    {"undetermined": "{title}: cannot tell; the text that decides this has not been read."},
)
