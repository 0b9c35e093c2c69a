"""A load's shares: on fields and from storages. They add up to the load to the thousandth."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal, InvalidOperation

from django.utils.translation import gettext as _

from farmrecords.calculations.rate import (
    RateError,
    split_by_weight_drop,
    split_exactly,
    swath_ac,
)
from farmrecords.calculations.swath import SwathError, length_on_ft
from farmrecords.calculations.units import Amount, AmountError, parse_amount
from farmrecords.loads import amounts, tracks
from farmrecords.loads.draft import DrawDraft, EntryProblem, LoadDraft, PartDraft
from farmrecords.loads.measuring import amount_named, unlike
from farmrecords.loads.problems import problem_words


def part_amounts(draft: LoadDraft, total: Amount, width_ft: Decimal | None) -> list[int]:
    """Thousandths on each field, in the order of the parts; they add up to the load exactly.

    As given; else by what the scale fell on each; else by the feet driven on each with the
    discharge on; else by acres.
    """
    parts = draft.parts
    if not parts:
        raise EntryProblem({"parts": _("The load names no field. Say where it was spread.")})
    given = [_given(part.amount_text, part.amount_unit, total, "parts") for part in parts]
    if any(amount is not None for amount in given):
        return _with_the_rest(given, total.milli, total, "parts")
    if len(parts) == 1:
        return [total.milli]
    shares = (
        _by_weight(parts, total) or _by_length(parts, total) or _by_area(parts, total, width_ft)
    )
    if shares is None:
        raise EntryProblem(
            {
                "parts": _(
                    "The load was spread on %(n)d fields, but nothing says how much on which. "
                    "Enter the amount or the acres on each field."
                )
                % {"n": len(parts)}
            }
        )
    if 0 in shares:
        raise EntryProblem(
            {
                "parts": _("Field %(field)s would get nothing of the load. Leave it out.")
                % {"field": parts[shares.index(0)].field}
            }
        )
    return shares


def draw_amounts(
    draws: Sequence[DrawDraft], needed: int, total: Amount
) -> list[tuple[DrawDraft, int]]:
    """Thousandths from each storage: together what was spread and left on board, less what was
    on board before. A draw of nothing falls away."""
    given = [_given(draw.amount_text, draw.amount_unit, total, "draws") for draw in draws]
    if needed < 0:
        raise EntryProblem(
            {
                "carried_in_text": _(
                    "More was on board before (%(over)s more) than was spread and left on board. "
                    "Check the three amounts."
                )
                % {"over": amounts.shown(-needed, total.kind)}
            }
        )
    if not draws or (needed == 0 and all(amount is None for amount in given)):
        return []
    return list(zip(draws, _with_the_rest(given, needed, total, "draws"), strict=True))


def area_of(part: PartDraft) -> Decimal | None:
    """The acres of a part as noted, above zero; raises EntryProblem."""
    given = part.area_ac
    if given is None or given == "":
        return None
    try:
        acres = Decimal(str(given).strip().replace(",", ""))
    except InvalidOperation:
        acres = Decimal("NaN")
    if not acres.is_finite() or acres <= 0 or acres >= 100_000:
        raise EntryProblem(
            {
                "parts": _(
                    "%(given)s acres on field %(field)s cannot be. Enter the acres covered as a "
                    "number above 0, or leave them out."
                )
                % {"given": given, "field": part.field}
            }
        )
    return acres.quantize(Decimal("0.001")) or None


def _given(text: str, unit: str, total: Amount, entry: str) -> int | None:
    if not text.strip():
        return None
    amount = amount_named(text.strip(), unit.strip() or total.unit, entry)
    if amount.kind != total.kind:
        raise EntryProblem({entry: unlike(text, unit, total.kind)})
    return amount.milli


def _with_the_rest(given: list[int | None], needed: int, total: Amount, entry: str) -> list[int]:
    """The given shares, with a single missing one as the rest; raises when they do not add up."""
    missing = [i for i, amount in enumerate(given) if amount is None]
    rest = needed - sum(amount or 0 for amount in given)
    if len(missing) == 1 and rest > 0:
        given[missing[0]] = rest
    elif missing:
        raise EntryProblem(
            {
                entry: _(
                    "%(n)d shares have no amount and %(rest)s of the load is left for them. Enter "
                    "the amount of each share."
                )
                % {"n": len(missing), "rest": amounts.shown(rest, total.kind)}
            }
        )
    elif rest != 0:
        raise EntryProblem({entry: _off(rest, needed, total, entry)})
    return [amount or 0 for amount in given]


def _off(rest: int, needed: int, total: Amount, entry: str) -> str:
    words = {"sum": amounts.shown(needed - rest, total.kind), "off": amounts.plain(abs(rest)),
             "unit": total.kind, "needed": amounts.shown(needed, total.kind)}  # fmt: skip
    if entry == "parts":
        return (
            _(
                "The shares on the fields add up to %(sum)s, but the load is %(needed)s "
                "(%(off)s %(unit)s apart). Correct a share or the amount of the load."
            )
            % words
        )
    return (
        _(
            "The amounts taken from the storages add up to %(sum)s, but %(needed)s left them "
            "(%(off)s %(unit)s apart). Correct one of them, or what was on board."
        )
        % words
    )


def _by_weight(parts: Sequence[PartDraft], total: Amount) -> list[int] | None:
    if not all(part.weight_start_text and part.weight_stop_text for part in parts):
        return None
    try:
        readings = [
            tuple(
                parse_amount(text, part.amount_unit or total.unit).milli
                for text in (part.weight_start_text, part.weight_stop_text)
            )
            for part in parts
        ]
        return split_by_weight_drop(total.milli, readings)  # type: ignore[arg-type]
    except (AmountError, RateError) as trouble:
        raise EntryProblem({"parts": problem_words(trouble)}) from None


def _by_length(parts: Sequence[PartDraft], total: Amount) -> list[int] | None:
    """By the feet driven with the discharge on, where each field has its track."""
    if not all(part.track_sha256 for part in parts):
        return None
    try:
        lengths = [length_on_ft(tracks.track_of(part.track_sha256).points) for part in parts]
    except SwathError:
        return None
    return split_exactly(total.milli, lengths)


def _by_area(
    parts: Sequence[PartDraft], total: Amount, width_ft: Decimal | None
) -> list[int] | None:
    """By acres: as noted, else as driven over with the discharge on."""
    areas: list[float] = []
    for part in parts:
        noted = area_of(part)
        area = float(noted) if noted else _driven_ac(part, width_ft)
        if area is None:
            return None
        areas.append(area)
    return split_exactly(total.milli, areas)


def _driven_ac(part: PartDraft, width_ft: Decimal | None) -> float | None:
    if not part.track_sha256 or width_ft is None:
        return None
    try:
        return swath_ac(float(width_ft), length_on_ft(tracks.track_of(part.track_sha256).points))
    except SwathError:
        return None
