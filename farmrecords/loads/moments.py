"""Local times of an entry -> the moment in UTC and the offset valid at the farm at that moment."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from farmrecords.formats.common import FormatError, Unclear
from farmrecords.formats.moments import at_local
from farmrecords.loads.draft import EntryProblem
from farmrecords.loads.problems import problem_words


@dataclass(frozen=True)
class Moment:
    """A moment in UTC with the offset in minutes that the farm's clocks then had."""

    at: dt.datetime
    offset_min: int

    @property
    def local(self) -> dt.datetime:
        """The time the farm's clocks showed."""
        return self.at.astimezone(dt.timezone(dt.timedelta(minutes=self.offset_min)))


def moment_of(given: dt.datetime, zone: ZoneInfo, choice: str, entry: str) -> Moment:
    """The moment of a time on the farm's clock, or of a time with an offset.

    `choice` is first or second where the time comes twice. Raises EntryProblem under the name
    `entry` for a time that does not exist and for one that comes twice without a choice.
    """
    if given.tzinfo is not None:
        return _with_offset(given, zone)
    try:
        fixed = at_local(given.date(), given.time(), zone, choice)
    except Unclear as unclear:
        words = "; ".join(
            f"{answer.value}: {problem_words(answer.label)}" for answer in unclear.question.choices
        )
        raise EntryProblem(
            {
                entry: _("%(asked)s Choose %(words)s.")
                % {"asked": problem_words(unclear.question.asked), "words": words}
            },
        ) from None
    except FormatError as error:
        raise EntryProblem({entry: problem_words(error)}) from None
    return _with_offset(fixed, zone)


def comes_twice(given: dt.datetime, zone: ZoneInfo) -> bool:
    """Whether a naive time on the farm's clock comes twice, as clocks go back."""
    if given.tzinfo is not None:
        return False
    try:
        at_local(given.date(), given.time(), zone)
    except Unclear:
        return True
    except FormatError:
        return False
    return False


def _with_offset(given: dt.datetime, zone: ZoneInfo) -> Moment:
    offset = given.astimezone(zone).utcoffset() or dt.timedelta()
    return Moment(given.astimezone(dt.UTC), int(offset.total_seconds() // 60))
