"""The catalogues of words as the tests read them."""

from __future__ import annotations

import gettext
import re
from pathlib import Path

from django.conf import settings

from farmrecords.management.po import Message, read_po

PLACES = re.compile(r"%\(\w+\)[.\d]*[a-z]|\{\w*\}|%%")
PO_FILES = [Path(path) / "es" / "LC_MESSAGES" / "django.po" for path in settings.LOCALE_PATHS]


def messages(number: int) -> list[Message]:
    """The messages of the pages (0) or of the rules (1), without the header."""
    return [row for row in read_po(PO_FILES[number]) if row.msgid]


def compiled(number: int) -> gettext.GNUTranslations:
    """The catalogue as gettext reads it."""
    with PO_FILES[number].with_suffix(".mo").open("rb") as file:
        return gettext.GNUTranslations(file)


def places(text: str) -> set[str]:
    """The places of a text that are filled in later."""
    return set(PLACES.findall(text))
