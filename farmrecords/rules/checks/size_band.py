"""Size band: head counts by sector against a ladder of numbers, each row on its own.

The legal class is a recorded fact; this check says whether the heads bear it out.
"""

from decimal import Decimal

from farmrecords.rules.checks.base import Check, Key
from farmrecords.rules.conditions import Getter
from farmrecords.rules.facts import UNKNOWN, Facts
from farmrecords.rules.findings import Comparison
from farmrecords.rules.model import RuleOnDay, Verdict
from farmrecords.rules.vocabulary_farm import SECTORS

BANDS = ("large", "medium", "below")


def band_of(standing: RuleOnDay, get: Getter) -> tuple[str | None, str, tuple[str, ...]]:
    """The band by head counts, the sector that decides, and the counts that are missing.

    The values of the rule are named ``<sector>_large`` and ``<sector>_medium``. None where an
    unknown count might lift the band.
    """
    best, decides = "below", ""
    missing = tuple(f"animals.{name}" for name in SECTORS if get(f"animals.{name}") is UNKNOWN)
    for name in SECTORS:
        heads = get(f"animals.{name}")
        if not isinstance(heads, Decimal):
            continue
        band = "below"
        for size in ("medium", "large"):
            least = standing.plain[f"{name}_{size}"].value
            if isinstance(least, Decimal) and heads >= least:
                band = size
        if BANDS.index(band) < BANDS.index(best):
            best, decides = band, name
    if missing and best != "large":
        return None, decides, missing
    return best, decides, missing


def decide(standing: RuleOnDay, facts: Facts) -> Verdict:
    """Met where heads and recorded class agree; a class below the heads is not met.

    Medium and small are defined or designated, so heads alone cannot deny them.
    """
    band, decides, missing = band_of(standing, facts.get)
    held = facts.get("operation.size_class")
    if band is None:
        return Verdict(None, "cannot_tell", {}, (), missing)
    heads = facts.get(f"animals.{decides}") if decides else None
    least = standing.plain[f"{decides}_{band}"].value if decides else None
    words = SECTORS.get(decides, "animals")
    compared = (Comparison(words, heads, "at_least", least, "head"),) if decides else ()
    params = {"actual": heads, "classes": (band,), "limit": least, "reason": words}
    if held is UNKNOWN:
        return Verdict(None, "cannot_tell", params, compared, ("operation.size_class",))
    agrees = (held == "large") == (band == "large")
    return Verdict(agrees, "agrees" if agrees else "differs", params, compared)


CHECK = Check(
    "size_band",
    {"sectors": Key("values")},
    decide,
    {
        "agrees": "{title}: by head counts the farm is in the band {classes}; the class agrees.",
        "differs": "{title}: by head counts ({actual} {reason}) the farm is in the band "
        "{classes}; the class on record says otherwise.",
    },
    reads=("operation.size_class", *(f"animals.{name}" for name in SECTORS)),
)
