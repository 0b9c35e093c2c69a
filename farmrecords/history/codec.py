"""Column values as the log writes them: text or nothing, one form per kind of column.

Empty text in a column that may not be null counts as nothing, so that a column not named in the
log reads back as its empty value.
"""

import re
from collections.abc import Callable
from datetime import date, time
from decimal import Decimal, localcontext
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import models
from django.utils.translation import gettext as _

from farmrecords.history import canon

# A column of a model, whatever its kind.
Column = Any
_UNWRITABLE = re.compile("[\x00\ud800-\udfff]")


def clean(field: Column, value: Any) -> Any:
    """The value as it may be kept: composed text (NFC), no NUL, no half characters."""
    if isinstance(field, models.JSONField) and value is not None:
        value = canon.nfc(value)
        text = canon.json_text(value)
    elif isinstance(value, str):
        value = text = canon.nfc(value)
    else:
        return value
    if _UNWRITABLE.search(text) or "\\u0000" in text:
        raise ValidationError(
            {field.name: _("The text holds a character that cannot be kept (NUL); remove it.")}
        )
    return value


def encode(field: Column, value: Any) -> str | None:
    """The column's value as text, None when it is empty."""
    if value is None or (value == "" and not field.null):
        return None
    return codec_of(field)[0](field, value)


def decode(field: Column, text: str | None) -> Any:
    """The column's value from its text in the log."""
    if text is None:
        if field.null:
            return None
        return "" if isinstance(field, TEXT) else field.get_default()
    return codec_of(field)[1](field, text)


def _decimal_text(field: Any, value: Any) -> str:
    with localcontext() as context:
        context.prec = max(field.max_digits or 0, 28) + 8
        exact = Decimal(value).quantize(Decimal(1).scaleb(-field.decimal_places))
    return format(abs(exact) if exact == 0 else exact, "f")


def _float_text(_field: Column, value: Any) -> str:
    canon.float_text(float(value))  # refuses what is not a number
    text = format(Decimal(repr(float(value))), "f")
    return (
        (text.rstrip("0").rstrip(".") if "." in text else text).replace("-0", "0", 1)
        if float(value) == 0
        else text
    )


def _truth_text(_field: Column, value: Any) -> str:
    return "true" if value else "false"


def _truth(field: Column, text: str) -> bool:
    if text not in ("true", "false"):
        raise canon.NotCanonical(f"{field.name} reads {text!r}; true or false is expected.")
    return text == "true"


def _target_text(field: Any, value: Any) -> str:
    key = value.pk if isinstance(value, models.Model) else value
    return codec_of(field.target_field)[0](field.target_field, key)


def _target(field: Any, text: str) -> Any:
    return codec_of(field.target_field)[1](field.target_field, text)


TEXT = (models.CharField, models.TextField)
Codec = tuple[Callable[[Any, Any], str], Callable[[Any, str], Any]]

# The first class that fits counts, so a datetime stands before a date.
CODECS: list[tuple[type[Any], Codec]] = [
    (models.ForeignKey, (_target_text, _target)),
    (models.DateTimeField, (lambda f, v: canon.moment_text(v), lambda f, t: canon.moment_of(t))),
    (models.DateField, (lambda f, v: v.isoformat(), lambda f, t: date.fromisoformat(t))),
    (models.TimeField, (lambda f, v: v.isoformat(), lambda f, t: time.fromisoformat(t))),
    (models.DecimalField, (_decimal_text, lambda f, t: Decimal(t))),
    (models.BooleanField, (_truth_text, _truth)),
    (models.IntegerField, (lambda f, v: str(int(v)), lambda f, t: int(t))),
    (models.FloatField, (_float_text, lambda f, t: float(t))),
    (models.UUIDField, (lambda f, v: str(v), lambda f, t: UUID(t))),
    (models.JSONField, (lambda f, v: canon.json_text(v), lambda f, t: canon.json_value(t))),
    (models.CharField, (lambda f, v: str(v), lambda f, t: t)),
    (models.TextField, (lambda f, v: str(v), lambda f, t: t)),
]


def codec_of(field: Column) -> Codec:
    """How this kind of column is written and read."""
    for kind, codec in CODECS:
        if isinstance(field, kind):
            return codec
    raise TypeError(
        f"The column {field.name} is a {type(field).__name__}; the log can write none. Use one of: "
        + ", ".join(kind.__name__ for kind, _codec in CODECS)
    )
