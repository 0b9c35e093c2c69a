"""Numbers as people and spreadsheets write them -> exact decimals, never a guess."""

from __future__ import annotations

import math
from decimal import Decimal

from farmrecords.formats.common import Choice, FormatError, Question, Unclear, shown

MAX_NUMBER_CHARACTERS = 40
_ASCII_DIGITS = frozenset("0123456789")
_FLOAT_SIGNS = frozenset("0123456789.+-eE")
# No-break, narrow no-break, thin and figure space group thousands in many languages.
_SPACES = str.maketrans(dict.fromkeys("\u00a0\u202f\u2009\u2007", " "))
_MINUS = str.maketrans({"\u2212": "-"})
_GROUPERS = (" ", "'", "\u2019")


def parse_decimal(text: str, decimal_comma: bool | None = None) -> Decimal:
    """The number a text states, exactly as written.

    `decimal_comma` says whether the comma is the decimal sign (“4.500,5”) or groups thousands
    (“4,500.5”); None reads what is clear either way and raises `Unclear` for “4,500” and
    “4.500”. Raises `FormatError` for anything that is not a plain number.
    """
    cleaned = text.translate(_SPACES).translate(_MINUS).strip()
    _refuse_strange(text, cleaned)
    sign = "-" if cleaned.startswith("-") else ""
    body = cleaned[1:].lstrip() if cleaned[:1] in "+-" else cleaned
    if decimal_comma is None:
        decimal_comma = _comma_style(text, body)
    decimal_sign, grouper = (",", ".") if decimal_comma else (".", ",")
    whole, mark, fraction = body.partition(decimal_sign)
    digits = _ungrouped(whole, grouper)
    if digits is None or not _all_digits(fraction) or (not digits and not fraction):
        raise _not_a_number(text, decimal_comma)
    if mark and not fraction and not digits:
        raise _not_a_number(text, decimal_comma)
    return Decimal(f"{sign}{digits or '0'}.{fraction or '0'}" if fraction else f"{sign}{digits}")


def style_of(text: str) -> bool | None:
    """True when a number certainly has a decimal comma, False a decimal point, else None."""
    body = text.translate(_SPACES).strip().lstrip("+-")
    comma, point = body.rfind(","), body.rfind(".")
    if comma >= 0 and point >= 0:
        return comma > point
    if comma >= 0:
        return _style_of_single(body, ",")
    if point >= 0 and (style := _style_of_single(body, ".")) is not None:
        return not style
    return None


def _style_of_single(body: str, mark: str) -> bool | None:
    """Is `mark`, the only kind of mark in the number, its decimal sign?"""
    if body.count(mark) > 1:
        return False
    whole, _, fraction = body.partition(mark)
    grouped = len(fraction) == 3 and 1 <= len(whole) <= 3 and not whole.startswith("0")
    return None if grouped else True


def _comma_style(text: str, body: str) -> bool:
    style = style_of(body)
    if style is not None:
        return style
    if "," in body or "." in body:
        raise Unclear(decimal_question((text,)))
    return False


def decimal_question(examples: tuple[str, ...]) -> Question:
    """Is the comma the decimal sign or the thousands separator?"""
    example = examples[0].strip()
    flat = "".join(c for c in example if c in _ASCII_DIGITS or c in ",.")
    cut = max(flat.rfind(","), flat.rfind("."))
    plain = flat[:cut].replace(",", "").replace(".", "")
    thousands, decimal = plain + flat[cut + 1 :], f"{plain}.{flat[cut + 1 :]}"
    comma_decimal = flat[cut : cut + 1] == ","
    as_point = Choice("point", f"{thousands if comma_decimal else decimal} (point is decimal)")
    as_comma = Choice("comma", f"{decimal if comma_decimal else thousands} (comma is decimal)")
    return Question(
        key="decimal_comma",
        asked=f"What does “{shown(example)}” mean in this file?",
        choices=(as_point, as_comma),
        examples=examples,
        suggested="point" if comma_decimal else "",
    )


def _refuse_strange(text: str, cleaned: str) -> None:
    """Raise for the spellings a spreadsheet or a program may offer as a number and is not."""
    lower = cleaned.lower().lstrip("+-")
    if not cleaned:
        raise FormatError("No number is given.", "Enter a number.")
    if len(text) > MAX_NUMBER_CHARACTERS:
        raise FormatError(f"“{shown(text)}” is too long for a number.", "Check the column.")
    if lower in {"nan", "inf", "infinity", "#num!", "#value!", "#div/0!", "#ref!", "#n/a", "n/a"}:
        raise FormatError(f"“{shown(text)}” is not a number.", "Enter the figure itself.")
    if lower.startswith(("0x", "0b", "0o")):
        raise FormatError(f"“{shown(text)}” is a computer's notation.", "Write it in digits 0-9.")
    if any(c.isnumeric() and c not in _ASCII_DIGITS for c in cleaned):
        raise FormatError(
            f"“{shown(text)}” has signs that are not the digits 0-9.", "Write it in digits 0-9."
        )
    mantissa, mark, exponent = lower.partition("e")
    if mark and _all_digits(exponent.lstrip("+-")) and exponent and mantissa[:1] in _ASCII_DIGITS:
        raise FormatError(
            f"“{shown(text)}” is in scientific notation; digits may be lost.",
            "Format the column as a plain number and save the file again.",
        )
    if cleaned.startswith("(") and cleaned.endswith(")"):
        raise FormatError(
            f"“{shown(text)}” is in brackets, which bookkeepers use for a negative number.",
            "Write it plainly, with a minus sign if it is negative.",
        )


def _ungrouped(whole: str, grouper: str) -> str | None:
    """The digits of the whole part without thousands separators; None when they are wrong."""
    used = [g for g in (grouper, *_GROUPERS) if g in whole]
    if not used:
        return whole if _all_digits(whole) else None
    if len(used) > 1:
        return None
    first, *rest = whole.split(used[0])
    right = 1 <= len(first) <= 3 and all(len(group) == 3 for group in rest)
    digits = first + "".join(rest)
    return digits if right and _all_digits(digits) else None


def _all_digits(text: str) -> bool:
    return all(c in _ASCII_DIGITS for c in text)


def _not_a_number(text: str, decimal_comma: bool) -> FormatError:
    example = "4.500,5" if decimal_comma else "4,500.5"
    return FormatError(
        f"“{shown(text)}” is not a number.", f"Write it like {example} or without separators."
    )


def plain_float(text: str) -> float | None:
    """A finite number as machines write it, in plain ASCII, else None.

    float() alone would take “nan”, “1_0” and digits of every script.
    """
    if not text or len(text) > MAX_NUMBER_CHARACTERS or not _FLOAT_SIGNS.issuperset(text):
        return None
    try:
        number = float(text)
    except ValueError:
        return None
    return number if math.isfinite(number) else None
