"""Check the history: of every operation, of one, or of an export."""

import json
import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from farmrecords.history import verifier, verify
from farmrecords.history.choose import NoSuchLog, logs
from farmrecords.history.models import Log

WORST_FIRST = (1, 3, 2, 0)


class Command(BaseCommand):
    help = (
        "Check the history. Exit: 0 nothing wrong found, 1 altered, 2 an anchor does not fit, "
        "3 not readable."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--operation", help="short name, label or id (or its beginning)")
        parser.add_argument("--from-export", metavar="FILE", help="check an exported history")
        parser.add_argument(
            "--anchor",
            action="append",
            default=[],
            type=_anchor,
            metavar="SEQ:HASH",
            help="a number and hash noted earlier, such as from the foot of a report",
        )
        parser.add_argument(
            "--state", action="store_true", help="also compare the tables with the history"
        )
        parser.add_argument("--json", action="store_true", help="answer as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["from_export"] and (options["operation"] or options["state"]):
            self._stop("An export is checked by itself; leave out --operation and --state.")
        try:
            found = self._check(options)
        except (verifier.Unreadable, NoSuchLog) as error:
            self._stop(str(error))
        code = min((result.code for _label, result in found), key=WORST_FIRST.index, default=0)
        if options["json"]:
            self.stdout.write(json.dumps([result.as_json() for _label, result in found]))
        else:
            for label, result in found:
                self.stdout.write("\n".join([label, *result.as_text(), ""]))
        if code:
            sys.exit(code)

    def _check(self, options: dict[str, Any]) -> list[tuple[str, Any]]:
        anchors = options["anchor"]
        if options["from_export"]:
            return [(options["from_export"], verify.check_file(options["from_export"], anchors))]
        chosen = logs(options["operation"])
        if anchors and len(chosen) != 1:
            raise NoSuchLog("An anchor belongs to one history; say which with --operation.")
        return [(str(log), self._check_log(log, anchors, options["state"])) for log in chosen]

    def _check_log(self, log: Log, anchors: Any, state: bool) -> Any:
        return verify.check(log, anchors=anchors, state=state)

    def _stop(self, why: str) -> None:
        self.stderr.write(f"Cannot read: {why}")
        sys.exit(3)


def _anchor(given: Any) -> tuple[int, str]:
    return given if isinstance(given, tuple) else verifier.anchor(given)
