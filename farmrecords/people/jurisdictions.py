"""The jurisdictions a stack may name: a name without rules would drop them without a word.

The names are told by the room that holds the rules, which this room does not know.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

_told: list[Callable[[], Collection[str]]] = []


def told_by(names: Callable[[], Collection[str]]) -> None:
    """Say which jurisdictions have rules."""
    _told[:] = [names]


def known_names() -> frozenset[str]:
    """The jurisdictions that have rules."""
    return frozenset(name for names in _told for name in names())


def without_rules(stack: Collection[str]) -> list[str]:
    """The names of a stack that have no rules here, in its order."""
    known = known_names()
    return [name for name in stack if name not in known]


def check_stack(value: Any) -> None:
    """Refuse a stack that is no list of distinct names, or that names one without rules."""
    if not isinstance(value, list) or not all(isinstance(name, str) for name in value):
        raise ValidationError(_("Jurisdictions must be a list of names, for example us, us-vt."))
    for name in value:
        if value.count(name) > 1:
            raise ValidationError(
                _("The jurisdiction “%(name)s” is named twice.") % {"name": name[:40]}
            )
    if _told and (strange := without_rules(value)):
        raise ValidationError(
            _("No rules are known for “%(name)s”. Name one of: %(known)s.")
            % {"name": strange[0][:40], "known": ", ".join(sorted(known_names()))}
        )
