"""Work the recorded tables out anew from the history and compare them with what is stored."""

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from farmrecords.history import rebuild, verify
from farmrecords.history.choose import NoSuchLog, logs

SHOWN = 50


class Command(BaseCommand):
    help = (
        "Compare the recorded tables with the history, column by column. With --write, rows that "
        "are missing or differ are restored. Exit: 0 equal (or restored), 1 they differ."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--operation", help="short name, label or id (or its beginning)")
        parser.add_argument("--write", action="store_true", help="restore what differs")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            chosen = logs(options["operation"])
        except NoSuchLog as error:
            raise CommandError(str(error)) from error
        left = 0
        for log in chosen:
            if options["write"] and verify.check(log).code:
                raise CommandError(f"{log} does not verify; run verify_log. Nothing was restored.")
            found = rebuild.restore(log) if options["write"] else rebuild.compare(log)
            self._say(str(log), found)
            left += len(rebuild.compare(log) if options["write"] else found)
        if left:
            sys.exit(1)

    def _say(self, label: str, found: list[rebuild.Difference]) -> None:
        self.stdout.write(f"{label}: {len(found)} differences")
        for one in found[:SHOWN]:
            self.stdout.write(
                f"  {one.obj_type} {one.obj_id} {one.path}: history {one.told!r}, "
                f"table {one.stored!r}"
            )
