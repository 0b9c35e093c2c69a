"""The throttle of signing in: failures counted by account and by source, within a quarter hour.

An account is held after ten failures from wherever they come, a source after fifty on whatever
accounts (aims of security). A source from which the person has signed in before keeps a
count of its own, so that nobody elsewhere can shut the person out.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

from axes.attempts import get_cool_off_threshold
from axes.handlers.database import AxesDatabaseHandler
from axes.helpers import get_client_username
from axes.models import AccessAttempt, AccessLog
from django.conf import settings
from django.db.models import QuerySet, Sum
from django.http import HttpRequest

KNOWN_FOR = dt.timedelta(days=30)


class Throttle(AxesDatabaseHandler):
    """Counts failures; `AXES_FAILURE_LIMIT` of them hold an account."""

    def get_failures(self, request: Any, credentials: dict[str, Any] | None = None) -> int:
        """The failures that count against this attempt, on the scale of an account's limit."""
        recent = AccessAttempt.objects.filter(attempt_time__gte=get_cool_off_threshold(request))
        of_source = recent.filter(ip_address=request.axes_ip_address)
        username = get_client_username(request, credentials)
        of_account = of_source if _is_known(username, request) else recent
        by_account = _sum(of_account.filter(username=username))
        by_source = _sum(of_source) * settings.AXES_FAILURE_LIMIT // settings.FAILURES_PER_SOURCE
        return max(by_account, by_source)


def _sum(attempts: QuerySet[AccessAttempt]) -> int:
    total = attempts.aggregate(found=Sum("failures_since_start"))["found"]
    return int(total or 0)


def _is_known(username: str | None, request: Any) -> bool:
    since = get_cool_off_threshold(request) - KNOWN_FOR
    return AccessLog.objects.filter(
        username=username, ip_address=request.axes_ip_address, attempt_time__gte=since
    ).exists()


def source_of(request: HttpRequest) -> str | None:
    """The address the request came from; behind a proxy, the one the proxy itself wrote down."""
    if settings.BEHIND_PROXY:
        told = request.META.get("HTTP_X_FORWARDED_FOR", "").rsplit(",", 1)[-1].strip()
        if told:
            return str(told)
    return request.META.get("REMOTE_ADDR")
