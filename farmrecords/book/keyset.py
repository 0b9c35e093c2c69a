"""Pages by the last row seen, so that loads arriving while one reads shift nothing."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.db.models import Q, QuerySet
from django.http import Http404, QueryDict

PAGE = 50


@dataclass(frozen=True)
class Pager:
    """The rows of one page with the addresses of its neighbours."""

    rows: list[Any]
    newer_url: str | None
    older_url: str | None

    @property
    def first_words(self) -> str:
        return f"{self.rows[0].local_day:%Y-%m-%d}" if self.rows else ""

    @property
    def last_words(self) -> str:
        return f"{self.rows[-1].local_day:%Y-%m-%d}" if self.rows else ""


def _key(load: Any) -> str:
    return f"{load.local_day.isoformat()}_{load.started_at.isoformat()}_{load.pk}"


def _parsed(text: str) -> tuple[dt.date, dt.datetime, uuid.UUID]:
    try:
        day, at, pk = text.split("_")
        return dt.date.fromisoformat(day), dt.datetime.fromisoformat(at), uuid.UUID(pk)
    except ValueError as error:
        raise Http404 from error


def _beyond(key: tuple[Any, Any, Any], sign: str) -> Q:
    day, at, pk = key
    return (
        Q(**{f"local_day__{sign}": day})
        | Q(local_day=day, **{f"started_at__{sign}": at})
        | Q(local_day=day, started_at=at, **{f"id__{sign}": pk})
    )


def page_of(rows: QuerySet, query: QueryDict, size: int = PAGE) -> Pager:
    """One page of loads, newest first, from `before` or `after` a key in the query."""
    after = query.get("after")
    if after:
        found = list(
            rows.filter(_beyond(_parsed(after), "gt")).order_by("local_day", "started_at", "id")[
                : size + 1
            ]
        )
        more_newer, more_older = len(found) > size, True
        found = found[:size][::-1]
    else:
        before = query.get("before")
        ordered = rows.order_by("-local_day", "-started_at", "-id")
        if before:
            ordered = ordered.filter(_beyond(_parsed(before), "lt"))
        found = list(ordered[: size + 1])
        more_older, more_newer = len(found) > size, bool(before)
        found = found[:size]
    kept = {k: v for k, v in query.items() if k not in ("before", "after") and v}
    return Pager(
        rows=found,
        newer_url="?" + urlencode(kept | {"after": _key(found[0])})
        if found and more_newer
        else None,
        older_url="?" + urlencode(kept | {"before": _key(found[-1])})
        if found and more_older
        else None,
    )
