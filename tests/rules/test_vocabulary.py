"""No fact stands in the vocabulary that no rule asks for and no record gives."""

from pathlib import Path

import farmrecords
from farmrecords.rules.papers import AREAS, PAPERS
from farmrecords.rules.vocabulary import FEATURE_KINDS, TERMS
from farmrecords.rules.vocabulary_farm import ANIMALS

PACKAGE = Path(farmrecords.__file__).parent
ODD = Path(__file__).parent / "odd"
# What the rules themselves give where a text leaves something open, and what a distance is.
OWN = (
    *("rule.wording", "rule.number", "rule.source"),
    *("feature.distance_ft", "feature.uncertainty_ft", "feature.farthest_ft"),
)


def _text() -> str:
    """Rules, odd rules and code, without the vocabulary itself."""
    files = [*PACKAGE.rglob("*.py"), *PACKAGE.rglob("*.toml"), *ODD.rglob("*.toml")]
    named = (path for path in files if not path.name.startswith(("vocabulary", "papers")))
    return "\n".join(path.read_text(encoding="utf-8") for path in named)


def test_each_fact_is_asked_for_or_given() -> None:
    text = _text()
    idle = [name for name in TERMS if name not in ANIMALS and name not in OWN]
    assert [name for name in idle if f'"{name}"' not in text] == []


def test_each_paper_area_and_feature_is_named_somewhere() -> None:
    text = _text()
    words = (*PAPERS, *AREAS, *FEATURE_KINDS)
    assert [word for word in words if f'"{word}"' not in text] == []
