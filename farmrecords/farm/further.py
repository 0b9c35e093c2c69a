"""Further facts of a record: seldom needed ones, by the names the rules use.

They are kept as plain JSON under the vocabulary's own names without their first word, e.g.
``{"bedrock": "silurian", "bedrock_depth_ft": "2.5"}`` on a field. Numbers are kept as text.
"""

from __future__ import annotations

import datetime as dt
from decimal import Decimal, InvalidOperation
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from farmrecords.rules.facts import FactError, checked_value
from farmrecords.rules.terms import Term
from farmrecords.rules.vocabulary import FEATURE_VOCABULARY, VOCABULARY


def further_facts(kind: str, further: dict[str, Any]) -> dict[str, Any]:
    """The stored facts under their full names, in the types the rules take."""
    terms = FEATURE_VOCABULARY if kind == "feature" else VOCABULARY
    return {
        f"{kind}.{name}": _typed(value, terms[f"{kind}.{name}"]) for name, value in further.items()
    }


def _typed(value: Any, term: Term) -> Any:
    if isinstance(value, str) and term.kind == "number":
        return Decimal(value)
    if isinstance(value, str) and term.kind == "day":
        return dt.date.fromisoformat(value)
    if isinstance(value, str) and term.kind == "moment":
        return dt.datetime.fromisoformat(value)
    return value


def check_further(kind: str, value: Any) -> None:
    """Refuse further facts that the vocabulary does not have for the kind of record."""
    if not isinstance(value, dict):
        raise ValidationError(_("Further facts must be names with values."))
    terms = FEATURE_VOCABULARY if kind == "feature" else VOCABULARY
    for name, given in value.items():
        full = f"{kind}.{name}"
        if full not in terms:
            raise ValidationError(_("“%(name)s” is no fact that a rule asks for.") % {"name": name})
        try:
            checked_value(full, _typed(given, terms[full]), terms[full])
        except (FactError, InvalidOperation, ValueError) as error:
            raise ValidationError(
                _("“%(value)s” does not fit %(name)s (%(meaning)s).")
                % {"value": given, "name": name, "meaning": terms[full].meaning}
            ) from error


def check_field_facts(value: Any) -> None:
    """Refuse further facts of a field that the vocabulary does not have."""
    check_further("field", value)


def check_feature_facts(value: Any) -> None:
    """Refuse further facts of a feature that the vocabulary does not have."""
    check_further("feature", value)


def check_load_facts(value: Any) -> None:
    """Refuse further facts of a load that the vocabulary does not have."""
    check_further("load", value)


def check_plan_facts(value: Any) -> None:
    """Refuse further facts of a planned crop that the vocabulary does not have."""
    check_further("plan", value)
