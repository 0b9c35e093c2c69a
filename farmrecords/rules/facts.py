"""What is known about one load, field-year, storage, operation or report.

A fact that nobody knows is ``UNKNOWN``; so is every name that was not given. The one
exception is a register (recorded documents, statements of none): what was not entered
there is not held, and the absent register is empty.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from datetime import date, datetime
from decimal import Decimal
from difflib import get_close_matches
from functools import cache
from typing import Any, Final

from farmrecords.rules.vocabulary import FEATURE_KINDS, FEATURE_VOCABULARY, VOCABULARY, Term


class _Unknown:
    """The value of what nobody knows; it is neither true nor false nor equal to a value."""

    _only: "_Unknown | None" = None

    def __new__(cls) -> "_Unknown":
        if cls._only is None:
            cls._only = super().__new__(cls)
        return cls._only

    def __repr__(self) -> str:
        return "UNKNOWN"

    def __bool__(self) -> bool:
        raise TypeError("UNKNOWN is neither true nor false; ask `value is UNKNOWN` first.")

    def __copy__(self) -> "_Unknown":
        return self

    def __deepcopy__(self, memo: object) -> "_Unknown":
        return self

    def __reduce__(self) -> str:
        return "UNKNOWN"


UNKNOWN: Final = _Unknown()

TYPE_WORDS = {
    "truth": "true or false",
    "number": "a number",
    "word": "a word",
    "day": "a day",
    "moment": "a moment with its offset",
    "words": "a list of words",
}

Known = bool | Decimal | str | date | datetime | tuple[str, ...]
Value = Known | _Unknown


class FactError(ValueError):
    """A fact with a name, type or word that the vocabulary does not have.

    >>> Facts({"ground.forzen": True})
    Traceback (most recent call last):
    ...
    farmrecords.rules.facts.FactError: There is no fact 'ground.forzen'. Closest: 'ground.frozen'.
    """


def _closest(name: str, names: Sequence[str]) -> str:
    near = get_close_matches(name, names, n=1)
    return f" Closest: '{near[0]}'." if near else ""


def _as_number(value: Any) -> Decimal | None:
    """The number as an exact decimal; a float by its shortest text; None if it is no number."""
    if isinstance(value, bool):
        return None
    if isinstance(value, Decimal):
        return value if value.is_finite() else None
    if isinstance(value, int):
        return Decimal(value)
    if isinstance(value, float):
        number = Decimal(repr(value))
        return number if number.is_finite() else None
    return None


def _as_words(value: Any, term: Term, name: str) -> tuple[str, ...] | None:
    if isinstance(value, str) or not isinstance(value, (list, tuple, set, frozenset)):
        return None
    words = tuple(sorted(value)) if isinstance(value, (set, frozenset)) else tuple(value)
    for word in words:
        if not isinstance(word, str):
            return None
        if term.choices and word not in term.choices:
            raise FactError(_not_a_choice(name, word, term))
    return words


def _not_a_choice(name: str, word: object, term: Term) -> str:
    return (
        f"The fact '{name}' cannot be {word!r}; it is one of "
        f"{', '.join(term.choices)}.{_closest(str(word), term.choices)}"
    )


def _is_day_or_moment(value: Any, term: Term) -> bool:
    if isinstance(value, datetime):
        return term.kind == "moment" and value.tzinfo is not None
    return term.kind == "day" and isinstance(value, date)


def checked_value(name: str, value: Any, term: Term) -> Value:
    """The value in the type its term asks for, or a FactError that names it.

    >>> checked_value("ground.snow_in", 0.5, VOCABULARY["ground.snow_in"])
    Decimal('0.5')
    """
    if value is UNKNOWN or value is None:
        return UNKNOWN
    result: Value | None = None
    if term.kind == "number":
        result = _as_number(value)
    elif term.kind == "words":
        result = _as_words(value, term, name)
    elif term.kind == "truth" and isinstance(value, bool):
        result = value
    elif term.kind == "word" and isinstance(value, str):
        if term.choices and value not in term.choices:
            raise FactError(_not_a_choice(name, value, term))
        result = value
    elif _is_day_or_moment(value, term):
        result = value
    if result is None:
        raise FactError(f"The fact '{name}' must be {TYPE_WORDS[term.kind]}, not {value!r}.")
    return result


@dataclass(frozen=True)
class Feature:
    """One thing on the land that rules keep a distance from, as seen from one load's ground.

    ``distance_ft`` runs from the nearest edge of the spread ground; ``uncertainty_ft`` is the
    combined doubt of track and feature. ``buffer_width_ft`` is a *recorded* vegetated buffer
    (0 when none is recorded); ``documents`` are recorded papers that cover this feature.

    >>> Feature(kind="stream_perennial", distance_ft=82.0).distance_ft
    Decimal('82.0')
    """

    kind: str
    name: str = ""
    distance_ft: Any = UNKNOWN
    uncertainty_ft: Any = Decimal(0)
    farthest_ft: Any = UNKNOWN
    down_gradient: Any = UNKNOWN
    flow_toward: Any = UNKNOWN
    upslope_of_load: Any = UNKNOWN
    bermed: Any = UNKNOWN
    buffer_width_ft: Any = Decimal(0)
    buffer_unspread: Any = UNKNOWN
    buffer_permanent: Any = UNKNOWN
    buffer_runoff_enters: Any = UNKNOWN
    documents: Any = ()
    owned_by_titleholder: Any = UNKNOWN
    high_quality: Any = UNKNOWN
    area_ac: Any = UNKNOWN
    built_on: Any = UNKNOWN
    wellhead_distance_ft: Any = UNKNOWN
    runoff_can_reach: Any = UNKNOWN
    in_exceptional_floodplain: Any = UNKNOWN

    def __post_init__(self) -> None:
        if self.kind not in FEATURE_KINDS:
            raise FactError(
                f"There is no kind of feature {self.kind!r}."
                f"{_closest(self.kind, tuple(FEATURE_KINDS))}"
            )
        for name, full, term in _feature_terms():
            value = getattr(self, name)
            if value is not UNKNOWN:
                object.__setattr__(self, name, checked_value(full, value, term))

    def get(self, name: str) -> Value:
        """The feature's fact by its dotted name, for example ``feature.buffer_width_ft``."""
        value: Value = getattr(self, name.removeprefix("feature."))
        return value

    def without(self, name: str) -> "Feature":
        """The same feature with one of its facts unknown."""
        changed: dict[str, Any] = {name.removeprefix("feature."): UNKNOWN}
        return replace(self, **changed)


@cache
def _feature_terms() -> tuple[tuple[str, str, Term], ...]:
    """The facts of a feature: its own name, its full name, its term."""
    names = [item.name for item in fields(Feature) if item.name not in ("kind", "name")]
    return tuple((name, f"feature.{name}", FEATURE_VOCABULARY[f"feature.{name}"]) for name in names)


@dataclass(frozen=True, init=False)
class Facts(Mapping[str, Value]):
    """An unchangeable set of facts, with the features near the spread ground.

    >>> facts = Facts({"ground.frozen": True})
    >>> facts["ground.frozen"], facts["ground.snow_in"]
    (True, UNKNOWN)
    """

    values_by_name: Mapping[str, Value]
    features: tuple[Feature, ...] = field(default=())

    def __init__(
        self, values: Mapping[str, Any] | None = None, features: Sequence[Feature] = ()
    ) -> None:
        checked: dict[str, Value] = {}
        for name, value in (values or {}).items():
            term = VOCABULARY.get(name)
            if term is None:
                raise FactError(f"There is no fact {name!r}.{_closest(name, tuple(VOCABULARY))}")
            checked[name] = checked_value(name, value, term)
        object.__setattr__(self, "values_by_name", checked)
        object.__setattr__(self, "features", tuple(features))

    def __getitem__(self, name: str) -> Value:
        return self.get(name)

    def get(self, name: str, default: Any = None) -> Value:
        """The fact, or UNKNOWN; a misspelt name is an error here as well."""
        found = self.values_by_name.get(name)
        if found is not None:
            return found
        term = VOCABULARY.get(name)
        if term is None:
            raise FactError(f"There is no fact {name!r}.{_closest(name, tuple(VOCABULARY))}")
        return () if term.register else UNKNOWN

    def __iter__(self) -> Iterator[str]:
        return iter(self.values_by_name)

    def __len__(self) -> int:
        return len(self.values_by_name)

    def __hash__(self) -> int:
        return hash((frozenset(self.values_by_name.items()), self.features))

    def changed(self, **given: Any) -> "Facts":
        """The same facts with some replaced; names carry two underscores for the dot.

        >>> Facts({"ground.frozen": True}).changed(ground__frozen=False)["ground.frozen"]
        False
        """
        named = {name.replace("__", ".", 1): value for name, value in given.items()}
        return Facts({**self.values_by_name, **named}, self.features)

    def derived(self, name: str, value: Value) -> "Facts":
        """The same facts with one more that was worked out from them; it is not checked again."""
        other = object.__new__(Facts)
        object.__setattr__(other, "values_by_name", {**self.values_by_name, name: value})
        object.__setattr__(other, "features", self.features)
        return other

    def without(self, name: str) -> "Facts":
        """The same facts with one of them unknown."""
        return Facts({**self.values_by_name, name: UNKNOWN}, self.features)

    def with_features(self, features: Sequence[Feature]) -> "Facts":
        """The same facts with other features."""
        return Facts(self.values_by_name, features)
