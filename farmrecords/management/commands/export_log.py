"""Write the history of one operation to a file, with the program that checks it beside it."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from farmrecords.history import export
from farmrecords.history.choose import NoSuchLog, logs


class Command(BaseCommand):
    help = "Write the history of one operation as JSON lines, with verifier.py beside it."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("operation", help="short name, label or id (or its beginning)")
        parser.add_argument("file", help="the file to write, such as history.jsonl")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            log = logs(options["operation"])[0]
        except NoSuchLog as error:
            raise CommandError(str(error)) from error
        target = Path(options["file"])
        with target.open("xb") as out:
            out.writelines(export.lines(log, log.head_seq))
        (target.parent / "verifier.py").write_bytes(export.verifier_source())
        self.stdout.write(f"{log.head_seq + 1} entries. Head {log.head_seq}:{log.head_hash}")
