"""Days and times as people write them -> dates and moments, with every doubt asked."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta, timezone
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from farmrecords.formats.common import Choice, FormatError, Question, Unclear, shown

EARLIEST_YEAR = 1990  # before it a record of spreading is a typing mistake [common practice]
LATEST_YEAR = 2100
_MONTHS = (
    ("jan", "january", "ene", "enero"),
    ("feb", "february", "febrero"),
    ("mar", "march", "marzo"),
    ("apr", "april", "abr", "abril"),
    ("may", "may", "mayo"),
    ("jun", "june", "junio"),
    ("jul", "july", "julio"),
    ("aug", "august", "ago", "agosto"),
    ("sep", "sept", "september", "septiembre", "setiembre", "set"),
    ("oct", "october", "octubre"),
    ("nov", "november", "noviembre"),
    ("dec", "december", "dic", "diciembre"),
)
_MONTH_NUMBER = {name: at for at, names in enumerate(_MONTHS, 1) for name in names}
_ISO_HINT = "Write it as year-month-day, like 2025-03-04."


def zone_of(name: str) -> ZoneInfo:
    """The time zone of an IANA name such as America/Chicago."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise FormatError(
            f"“{shown(name)}” is no time zone.", "Use a name like America/Chicago."
        ) from None


def parse_day(text: str, order: str = "") -> date:
    """The day a text states; `order` is mdy or dmy for days written with slashes.

    Raises `Unclear` when the order matters and is not known, `FormatError` when the day does
    not exist or stands outside 1990 to 2100.
    """
    parts = _day_parts(text)
    if any(part.isalpha() for part in parts):
        year, month, day = _named_month(text, parts)
    elif len(parts[0]) == 4:
        year, month, day = (int(part) for part in parts)
    else:
        year, month, day = _numbered(text, parts, order)
    if not EARLIEST_YEAR <= year <= LATEST_YEAR:
        raise FormatError(f"“{shown(text)}” names the year {year}.", "Check the year.")
    try:
        return date(year, month, day)
    except ValueError:
        raise FormatError(f"The day “{shown(text)}” does not exist.", _ISO_HINT) from None


def _day_parts(text: str) -> list[str]:
    """Three groups of ASCII digits or letters; anything else is no day."""
    spaced = text.strip().lower()
    if len(spaced) > 30:
        raise FormatError(f"“{shown(text)}” is not a day.", _ISO_HINT)
    for mark in "/-.,":
        spaced = spaced.replace(mark, " ")
    parts = [part for part in spaced.split() if part != "de"]
    if len(parts) == 1 and parts[0].isdigit() and len(parts[0]) == 8:
        parts = [parts[0][:4], parts[0][4:6], parts[0][6:]]
    if len(parts) == 1 and parts[0].isdigit() and len(parts[0]) == 5:
        raise FormatError(
            f"“{shown(text)}” is a spreadsheet's day count, not a date.",
            "Format the column as a date and save the file again.",
        )
    good = len(parts) == 3 and all(_is_part(part) for part in parts)
    if not good:
        raise FormatError(f"“{shown(text)}” is not a day.", _ISO_HINT)
    return parts


def _is_part(part: str) -> bool:
    return part.isascii() and (part in _MONTH_NUMBER or (part.isdigit() and len(part) <= 4))


def _named_month(text: str, parts: list[str]) -> tuple[int, int, int]:
    if parts[0] in _MONTH_NUMBER and parts[1].isdigit() and parts[2].isdigit():
        month, day, year = parts
    elif parts[1] in _MONTH_NUMBER and parts[0].isdigit() and parts[2].isdigit():
        day, month, year = parts
        if len(day) == 4:
            day, year = year, day
    else:
        raise FormatError(f"“{shown(text)}” is not a day.", _ISO_HINT)
    return _year(text, year), _MONTH_NUMBER[month], int(day)


def _numbered(text: str, parts: list[str], order: str) -> tuple[int, int, int]:
    first, second = int(parts[0]), int(parts[1])
    if len(parts[0]) > 2 or len(parts[1]) > 2:
        raise FormatError(f"“{shown(text)}” is not a day.", _ISO_HINT)
    year = _year(text, parts[2])
    if order == "mdy":
        return year, first, second
    if order == "dmy":
        return year, second, first
    if first > 12 and second <= 12:
        return year, second, first
    if second > 12 or first == second:
        return year, first, second
    raise Unclear(date_question((text,)))


def _year(text: str, year: str) -> int:
    """A year of four digits, or of two digits meant in this century."""
    if len(year) == 4:
        return int(year)
    if len(year) == 2:
        return 2000 + int(year)
    raise FormatError(f"“{shown(text)}” has no year of four digits.", _ISO_HINT)


def order_of(text: str) -> str:
    """mdy or dmy when a day written with slashes can only be that; otherwise empty."""
    try:
        parts = _day_parts(text)
    except FormatError:
        return ""
    if not all(part.isdigit() for part in parts) or len(parts[0]) > 2:
        return ""
    first, second = int(parts[0]), int(parts[1])
    if first > 12 >= second:
        return "dmy"
    return "mdy" if second > 12 >= first else ""


def date_question(examples: tuple[str, ...]) -> Question:
    """Does the month or the day come first?"""
    parts = _day_parts(examples[0])
    year = _year(examples[0], parts[2])
    names = [_MONTHS[int(part) - 1][1].capitalize() for part in parts[:2]]
    return Question(
        key="date_order",
        asked=f"Which day is “{shown(examples[0])}”?",
        choices=(
            Choice("mdy", f"{names[0]} {int(parts[1])}, {year} (month first)"),
            Choice("dmy", f"{int(parts[0])} {names[1]} {year} (day first)"),
        ),
        examples=examples,
    )


def parse_time(text: str) -> time:
    """A time of day: 14:30, 14:30:05, 2:30 PM, 2 pm, 1430. 24:00 is refused."""
    lower = text.strip().lower().replace(".", "")
    half = ""
    for ending in ("am", "pm", "a m", "p m", "a", "p"):
        if lower.endswith(ending):
            half, lower = ending[0], lower[: -len(ending)].strip()
            break
    pieces = lower.split(":")
    if len(pieces) == 1 and not half and len(lower) in (3, 4):
        pieces = [lower[:-2], lower[-2:]]
    digits = all(p.isascii() and p.isdigit() and 1 <= len(p) <= 2 for p in pieces)
    if not digits or len(pieces) > 3 or (len(pieces) == 1 and not half):
        raise FormatError(f"“{shown(text)}” is not a time of day.", "Write it like 14:30.")
    hour, minute, second = [*map(int, pieces), 0, 0][:3]
    return _clock(text, half, hour, minute, second)


def _clock(text: str, half: str, hour: int, minute: int, second: int) -> time:
    if half:
        if not 1 <= hour <= 12:
            raise FormatError(f"“{shown(text)}”: {hour} has no am or pm.", "Write it like 14:30.")
        hour = hour % 12 + (12 if half == "p" else 0)
    if hour == 24:
        raise FormatError(
            f"“{shown(text)}”: a day ends at 23:59.", "Write 0:00 with the date of the next day."
        )
    try:
        return time(hour, minute, second)
    except ValueError:
        raise FormatError(
            f"The time “{shown(text)}” does not exist.", "Hours go to 23, minutes to 59."
        ) from None


def at_local(day: date, clock: time, zone: ZoneInfo, which: str = "") -> datetime:
    """The moment of a local day and time of day; `which` is first or second of a double hour.

    It carries the fixed offset then valid. Raises `FormatError` for a time skipped when clocks
    go forward and `Unclear` for one that comes twice when they go back.
    """
    early = datetime.combine(day, clock, zone)
    late = early.replace(fold=1)
    if early.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != early.replace(tzinfo=None):
        raise FormatError(
            f"{day} {clock:%H:%M} did not exist in {zone.key}: clocks went forward over it.",
            "Look up the true time; it is most likely an hour later.",
        )
    if early.utcoffset() == late.utcoffset():
        return _fixed(early)
    if which in ("first", "second"):
        return _fixed(late if which == "second" else early)
    raise Unclear(_hour_question(day, clock, zone, early, late))


def _fixed(moment: datetime) -> datetime:
    """The same moment with a plain offset, so that it compares the same everywhere."""
    return moment.replace(tzinfo=timezone(moment.utcoffset() or timedelta()), fold=0)


def _hour_question(
    day: date, clock: time, zone: ZoneInfo, early: datetime, late: datetime
) -> Question:
    return Question(
        key="hour_twice",
        asked=f"{day} {clock:%H:%M} came twice in {zone.key}, as clocks went back. Which one?",
        choices=(
            Choice("first", f"before the change ({early.tzname()})"),
            Choice("second", f"after the change ({late.tzname()})"),
        ),
    )


def parse_moment(
    text: str, zone: ZoneInfo, order: str = "", which: str = ""
) -> tuple[datetime, bool]:
    """A day with or without a time of day; the second value says whether a time was given.

    A text with an offset (2025-03-04T14:30:00-06:00, …Z) is that moment; one without is local
    time in `zone`. Without a time of day the moment is noon of that day.
    """
    cleaned = text.strip()
    if (exact := _iso_with_offset(cleaned)) is not None:
        return exact, True
    day_text, clock_text = _split_day(cleaned)
    day = parse_day(day_text, order)
    if not clock_text:
        return at_local(day, time(12), zone, which), False
    return at_local(day, parse_time(clock_text), zone, which), True


def _split_day(text: str) -> tuple[str, str]:
    """The day and the time of day of a text, either of which may contain spaces."""
    if len(text) > 10 and text[10] in "Tt" and text[4] == "-":
        return text[:10], text[11:].partition(".")[0]
    colon = text.find(":")
    if colon < 0:
        return text, ""
    start = text.rfind(" ", 0, colon)
    return (text[:start].rstrip(" ,"), text[start + 1 :]) if start > 0 else (text, "")


def _iso_with_offset(text: str) -> datetime | None:
    if len(text) < 17 or len(text) > 40 or not text.isascii():
        return None
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return None
    if moment.tzinfo is None:
        return None
    try:
        moment.astimezone(UTC)
    except OverflowError:
        return None
    return moment


def day_not_after(moment: datetime, today: date, zone: ZoneInfo) -> None:
    """Raise `FormatError` when a moment lies more than a day after `today`."""
    if moment.astimezone(zone).date() > today + timedelta(days=1):
        raise FormatError(f"{moment:%Y-%m-%d} is in the future.", "Check the year and the month.")
