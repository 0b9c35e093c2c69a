"""Conditions that many tables state in the database: of amounts that may be missing, and of texts.

An amount that is not known is empty, never zero; what is stated keeps to its range.
"""

from functools import reduce
from operator import and_

from django.db.models import F, Q


def at_least_zero(*names: str) -> Q:
    """Each column is empty, or zero or more."""
    return reduce(and_, (Q(**{f"{name}__isnull": True}) | Q(**{f"{name}__gte": 0})
                         for name in names))  # fmt: skip


def above_zero(*names: str) -> Q:
    """Each column is empty, or more than zero."""
    return reduce(and_, (Q(**{f"{name}__isnull": True}) | Q(**{f"{name}__gt": 0})
                         for name in names))  # fmt: skip


def at_most(most: int, *names: str) -> Q:
    """Each column is empty, or no more than the limit."""
    return reduce(and_, (Q(**{f"{name}__isnull": True}) | Q(**{f"{name}__lte": most})
                         for name in names))  # fmt: skip


def not_before(later: str, earlier: str) -> Q:
    """Either is empty, or the later is not before the earlier."""
    return (
        Q(**{f"{later}__isnull": True})
        | Q(**{f"{earlier}__isnull": True})
        | Q(**{f"{later}__gte": F(earlier)})
    )


def both_or_neither(text: str, unit: str) -> Q:
    """A text and its unit are both stated, or neither."""
    return Q(**{text: "", unit: ""}) | (~Q(**{text: ""}) & ~Q(**{unit: ""}))
