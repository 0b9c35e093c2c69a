"""The amount of a load from what was read: a scale, a meter, a count, or the amount itself."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from farmrecords.calculations.rate import counted_loads_milli, is_beyond_capacity
from farmrecords.calculations.units import Amount, AmountError, parse_amount, read_number
from farmrecords.loads import amounts
from farmrecords.loads.draft import EntryProblem, LoadDraft
from farmrecords.loads.problems import problem_words
from farmrecords.loads.surroundings import Surroundings

FALLING = ("scale", "truck_scale")
RISING = ("meter",)
ABSURD_TIMES = 10  # common practice: more than ten full loads in one is a slip of the pen


@dataclass(frozen=True)
class Measured:
    """The amount of a load and what to say about it."""

    amount: Amount
    warnings: tuple[str, ...] = ()


def amount_named(text: str, unit: str, entry: str) -> Amount:
    """An amount above zero; raises EntryProblem under the name `entry`."""
    try:
        amount = parse_amount(text, unit)
    except AmountError as trouble:
        raise EntryProblem({entry: problem_words(trouble)}) from None
    if amount.milli <= 0:
        raise EntryProblem(
            {
                entry: _(
                    "The amount %(amount)s %(unit)s must be more than zero. Enter what was "
                    "spread, or leave the load out."
                )
                % {"amount": text, "unit": unit}
            }
        )
    return amount


def amount_on_board(text: str, kind: str, unit: str, entry: str) -> int:
    """Thousandths of what was on board; nothing entered is nothing on board."""
    if not text.strip():
        return 0
    try:
        amount = parse_amount(text, unit)
    except AmountError as trouble:
        raise EntryProblem({entry: problem_words(trouble)}) from None
    if amount.kind != kind:
        raise EntryProblem({entry: unlike(text, unit, kind)})
    return amount.milli


def unlike(text: str, unit: str, kind: str) -> str:
    """What to say when a share is in another kind of unit than the load."""
    return _(
        "%(text)s %(unit)s does not fit a load in %(kind)s. Enter every share in the unit of the "
        "load."
    ) % {"text": text, "unit": unit, "kind": _("gallons") if kind == "gal" else _("tons or pounds")}


def measured(draft: LoadDraft, around: Surroundings, on: object) -> Measured:
    """The amount of a draft. Raises EntryProblem naming value and remedy."""
    text, unit = _stated(draft, around, on)
    amount = amount_named(text, unit, "amount_text")
    warnings = [problem_words(amount.note)] if amount.note else []
    if absurd := _absurd(draft, amount):
        warnings.append(absurd)
    return Measured(amount, tuple(warnings))


def _stated(draft: LoadDraft, around: Surroundings, on: object) -> tuple[str, str]:
    unit = draft.amount_unit.strip()
    if draft.measured_by in (*FALLING, *RISING) and draft.measure_start and draft.measure_stop:
        return _between_readings(draft, unit), unit
    if draft.amount_text.strip():
        return draft.amount_text.strip(), unit
    if draft.measured_by == "counted" or draft.loads_counted:
        return _counted(draft, around, on)
    return "", unit or "gal"


def _between_readings(draft: LoadDraft, unit: str) -> str:
    try:
        start = read_number(draft.measure_start)
    except AmountError as trouble:
        raise EntryProblem({"measure_start": problem_words(trouble)}) from None
    try:
        stop = read_number(draft.measure_stop)
    except AmountError as trouble:
        raise EntryProblem({"measure_stop": problem_words(trouble)}) from None
    difference = start - stop if draft.measured_by in FALLING else stop - start
    if difference <= 0:
        raise EntryProblem(
            {
                "measure_stop": _(
                    "Between %(start)s at the start and %(stop)s at the end nothing was spread. "
                    "Check whether the readings are swapped."
                )
                % {"start": draft.measure_start, "stop": draft.measure_stop}
            }
        )
    text = _without_zeros(difference)
    if draft.amount_text.strip():
        stated = amount_named(draft.amount_text.strip(), unit, "amount_text")
        if stated.milli != amount_named(text, unit, "amount_text").milli:
            raise EntryProblem(
                {
                    "amount_text": _(
                        "The amount %(amount)s %(unit)s is not what the readings give, "
                        "%(text)s %(unit)s. Keep one of them, or correct the readings."
                    )
                    % {"amount": draft.amount_text, "unit": unit, "text": text}
                }
            )
        return draft.amount_text.strip()
    return text


def _without_zeros(number: Decimal) -> str:
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _counted(draft: LoadDraft, around: Surroundings, on: object) -> tuple[str, str]:
    count = draft.loads_counted
    if count is None or count <= 0:
        raise EntryProblem(
            {
                "loads_counted": _("%(count)s loads were counted. Enter a whole number above 0.")
                % {"count": count if count is not None else _("No")}
            }
        )
    each_text, each_unit = draft.each_load_text.strip(), draft.each_load_unit.strip()
    if not each_text:
        each_text, each_unit = around.load_of(draft.spreader, on)
    if not each_text:
        raise EntryProblem(
            {
                "each_load_text": _(
                    "%(count)d loads were counted, but no calibrated or rated load is known for "
                    "the spreader. Enter the amount of one load, or calibrate the spreader."
                )
                % {"count": count}
            }
        )
    each = amount_named(each_text, each_unit, "each_load_text")
    return amounts.plain(counted_loads_milli(count, each.milli)), each.kind


def _absurd(draft: LoadDraft, amount: Amount) -> str:
    """A doubt about an amount no spreader holds; a doubt is a warning, never a refusal."""
    spreader = draft.spreader
    if spreader is None or not spreader.rated_load_text:
        return ""
    try:
        rated = parse_amount(spreader.rated_load_text, spreader.rated_load_unit)
    except AmountError:
        return ""
    count = max(draft.loads_counted or 1, 1)
    if rated.kind != amount.kind:
        return ""
    if not is_beyond_capacity(amount.milli, rated.milli, count, ABSURD_TIMES):
        return ""
    return _(
        "%(amount)s in %(count)d load(s) is more than %(times)d times what %(spreader)s holds "
        "(%(rated)s). It is kept; check the number and the unit."
    ) % {
        "amount": amounts.shown(amount.milli, amount.kind),
        "count": count,
        "times": ABSURD_TIMES,
        "spreader": spreader,
        "rated": amounts.shown(rated.milli, rated.kind),
    }
