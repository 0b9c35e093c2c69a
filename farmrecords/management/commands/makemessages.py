"""Collect the words of the pages: those of Python and templates, then those of the rules.

manage.py makemessages          both catalogues of Spanish, what was translated is kept
manage.py compilemessages --ignore .venv
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.commands import makemessages

from farmrecords.findings.rule_words import general_texts, rule_texts
from farmrecords.management.po import WRITTEN_ON, read_po, write_po

NOT_READ = [".venv", "static", "tests", "fixtures", ".data"]
COMMENT = (
    "Words of the rules: sentences, meanings of facts, titles. The keys are listed by\n"
    "farmrecords/findings/rule_words.py; an empty text is shown in English.\n"
    "Every term here needs the review of a native speaker who knows the farm [memory]."
)


class Command(makemessages.Command):
    """makemessages for this project: fixed dates, and the texts of the rule files as well."""

    msgmerge_options = [*makemessages.Command.msgmerge_options, "--no-fuzzy-matching"]
    help = "Collects the words of pages and rules for translation."

    def handle(self, *args: Any, **options: Any) -> None:
        options["locale"] = options["locale"] or ["es"]
        options["ignore_patterns"] = [*options["ignore_patterns"], *NOT_READ]
        options["add_location"] = options["add_location"] or "file"
        options["no_obsolete"] = True
        super().handle(*args, **options)
        for language in options["locale"]:
            _fix_header(catalogue(0, language), language)
            _collect_rules(catalogue(1, language), language)


def catalogue(number: int, language: str) -> Path:
    """The .po file of the pages (0) or of the rules (1)."""
    return Path(settings.LOCALE_PATHS[number]) / language / "LC_MESSAGES" / "django.po"


def _fix_header(path: Path, language: str) -> None:
    text = path.read_text(encoding="utf-8")
    fixed = re.sub(
        r'"(POT-Creation|PO-Revision)-Date: .*\\n"', rf'"\1-Date: {WRITTEN_ON}\\n"', text
    )
    path.write_text(fixed, encoding="utf-8")


def _collect_rules(path: Path, language: str) -> None:
    known = {row.msgid: row.texts[0] for row in read_po(path)} if path.exists() else {}
    wanted = dict.fromkeys([*general_texts(), *rule_texts(), *rule_texts(None)])
    write_po(path, COMMENT, language, {key: known.get(key, "") for key in wanted})
