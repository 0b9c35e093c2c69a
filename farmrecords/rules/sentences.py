"""The plain sentence of a finding: the rule's own words first, then those of its check."""

from farmrecords.rules.checks import check_named
from farmrecords.rules.model import Rule

# The places a sentence may hold; each check fills its own.
PLACES: frozenset[str] = frozenset(
    {"title", "missing", "exception", "force", "reason", "way", "ways"}
    | {"since", "until", "last", "span", "unit", "records", "due", "filed", "end"}
    | {"amount", "probability", "period", "actual", "limit", "low", "high"}
    | {"classes", "needs", "feature", "distance", "doubt", "asked", "least", "kinds"}
)

COMMON = {
    "excepted": "{title}: this load is excepted here: {exception}.",
    "met": "{title}: met.",
    "not_met": "{title}: not met.",
    "cannot_tell": "{title}: cannot tell; not known: {missing}.",
    "unsettled": "{title}: cannot tell whether this rule asks it here; not known: {missing}.",
    "memory": "{title}: cannot tell; the rule is known from memory only and must be held against "
    "its official text first.",
    "notice": "{title}: worth a look.",
}


def template_for(rule: Rule, key: str, outcome: str) -> tuple[str, str]:
    """The message key (for translation) and the English template of a finding.

    A rule may carry words for a check's key (``nearer``) or for an outcome (``not_met``); the
    words of a key go before those of an outcome.
    """
    for name in (key, outcome):
        if name in rule.words and (name != "not_met" or outcome in ("not_met", "notice")):
            return f"{rule.id}.{name}", rule.words[name]
    templates = check_named(rule.check).templates
    for name in (key, outcome):
        if name in templates:
            return f"{rule.check}.{name}", templates[name]
    name = key if key in COMMON else outcome
    return f"common.{name}", COMMON[name]
