"""A file that cannot be taken over as it stands, said with the row that stops it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.utils.translation import gettext as _

from farmrecords.formats.common import shown


class NotTakenOver(ValidationError):
    """A file that cannot be taken over or undone as it stands; says what to do."""


@contextmanager
def row_named(row: int, name: str = "") -> Iterator[None]:
    """Let a refusal of a record say which row of the file it is about."""
    try:
        yield
    except NotTakenOver:
        raise
    except ValidationError as error:
        told = {"row": row, "name": shown(name), "why": words_of(error)}
        raise NotTakenOver(
            _("Row %(row)s (%(name)s): %(why)s Nothing was taken over.") % told
            if name
            else _("Row %(row)s: %(why)s Nothing was taken over.") % told
        ) from error


@contextmanager
def plainly(lines: list[tuple[int, str]]) -> Iterator[None]:
    """Let any refusal of a record stop the file in plain words, never as a fault of the page.

    `lines` are the rows of the dry run, by which one of many records is named.
    """
    try:
        yield
    except NotTakenOver:
        raise
    except ValidationError as error:
        at = getattr(error, "row_index", None)
        if at is not None and at < len(lines):
            row, name = lines[at]
            told = {"row": row, "name": name, "why": words_of(error)}
            words = _("Row %(row)s (%(name)s): %(why)s Nothing was taken over.") % told
        else:
            words = _("%(why)s Nothing was taken over.") % {"why": words_of(error)}
        raise NotTakenOver(words) from error


def words_of(error: ValidationError) -> str:
    """The refusal as one text, each part with the column it is about."""
    told: dict[str, Any] = getattr(error, "message_dict", {NON_FIELD_ERRORS: error.messages})
    return " ".join(
        words if column == NON_FIELD_ERRORS else f"{column.replace('_', ' ')}: {words}"
        for column, some in told.items()
        for words in some
    )
