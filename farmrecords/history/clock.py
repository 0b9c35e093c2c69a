"""The one clock of the project: nothing else reads the time.

`now()` is the present moment, `today(tz)` the calendar day in a time zone. Two things can bend it:
the setting FARMRECORDS_DAY, for a demonstration that lives on one fixed day, and `standing_at`, for
tests and for entering a past year as it would have been entered then.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured

_standing: ContextVar[datetime | None] = ContextVar("standing", default=None)

# From 08:00 UTC until 04:00 UTC of the next day, every zone of the contiguous United States has
# the same calendar day, in winter and in summer time.
_DAY_BEGINS = time(8)
_DAY_LASTS = timedelta(hours=20) - timedelta(microseconds=1)


def now() -> datetime:
    """The present moment, aware, in UTC."""
    standing = _standing.get()
    if standing is not None:
        return standing
    moment = datetime.now(UTC)
    day = fixed_day()
    return moment if day is None else _moved_to(day, moment)


def today(tz: str) -> date:
    """The calendar day it is now in the time zone `tz` (a name such as "America/Chicago")."""
    day = fixed_day()
    if _standing.get() is None and day is not None:
        return day
    return now().astimezone(ZoneInfo(tz)).date()


def fixed_day() -> date | None:
    """The day FARMRECORDS_DAY sets, or None in real use."""
    given = getattr(settings, "FARMRECORDS_DAY", None)
    if not given:
        return None
    if isinstance(given, date):
        return given
    try:
        return date.fromisoformat(given)
    except ValueError as error:
        raise ImproperlyConfigured(
            f"FARMRECORDS_DAY is {given!r}; a day such as 2026-04-15, or nothing, is needed."
        ) from error


@contextmanager
def standing_at(moment: datetime) -> Iterator[None]:
    """Let the clock stand at `moment` (aware) until the block ends; blocks may be nested."""
    if moment.tzinfo is None:
        raise ValueError(f"The moment {moment.isoformat()} has no time zone; give one.")
    token = _standing.set(moment.astimezone(UTC))
    try:
        yield
    finally:
        _standing.reset(token)


def _moved_to(day: date, moment: datetime) -> datetime:
    """The same time of day on `day`, held at its last instant while the eastern night lasts."""
    begins = datetime.combine(day, _DAY_BEGINS, UTC)
    gone = (moment - datetime.combine(moment.date(), _DAY_BEGINS, UTC)) % timedelta(days=1)
    return begins + min(gone, _DAY_LASTS)
