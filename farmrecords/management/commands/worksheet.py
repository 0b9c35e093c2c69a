"""``manage.py worksheet NAME < inputs.json``: one calculation with all its steps, as JSON."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from farmrecords.calculations.worksheet import (
    WorksheetError,
    list_worksheets,
    to_json,
    worksheet_named,
)


class Command(BaseCommand):
    """List the worksheets, show what one asks for, or run one on JSON from standard input."""

    help = "Run a worksheet on inputs read as JSON and print its result and steps as JSON."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("name", nargs="?", help="name of the worksheet")
        parser.add_argument("--list", action="store_true", help="list every worksheet")
        parser.add_argument("--json", action="store_true", help="with --list: as JSON with schema")
        parser.add_argument("--schema", metavar="NAME", help="show what a worksheet asks for")
        parser.add_argument("--example", metavar="NAME", help="run a worksheet on its own example")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            if options["list"]:
                self._list(options["json"])
            elif options["schema"]:
                self._print(worksheet_named(options["schema"]).to_schema())
            elif options["example"]:
                kind = worksheet_named(options["example"])
                self._print(to_json(kind.run(kind.example)))
            elif options["name"]:
                kind = worksheet_named(options["name"])
                self._print(to_json(kind.run(self._inputs())))
            else:
                raise CommandError("Give the name of a worksheet, or --list to see them.")
        except WorksheetError as refused:
            raise CommandError(str(refused)) from None

    def _inputs(self) -> Any:
        text = sys.stdin.read()
        try:
            return json.loads(text)
        except json.JSONDecodeError as wrong:
            raise CommandError(
                f"The inputs are no JSON (line {wrong.lineno}, column {wrong.colno}: {wrong.msg}). "
                'Give one object, such as {"amount": "6,500"}.'
            ) from None

    def _list(self, as_json: bool) -> None:
        kinds = list_worksheets()
        if as_json:
            self._print([kind.to_schema() for kind in kinds])
            return
        for kind in kinds:
            self.stdout.write(f"{kind.name}: {kind.title}")
            for one in kind.inputs:
                needed = "may be left out" if one.optional else "needed"
                self.stdout.write(f"    asks for {one.name} ({one.unit}), {needed}: {one.meaning}")
            for output in kind.outputs:
                self.stdout.write(f"    gives {output.name} ({output.unit}): {output.meaning}")
            self.stdout.write(f"    source: {kind.source} [{kind.evidence}]")

    def _print(self, shown: Any) -> None:
        self.stdout.write(json.dumps(shown, indent=2, ensure_ascii=False))
