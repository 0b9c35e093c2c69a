"""``manage.py demo``: migrate, load three invented farms, print the sign-ins, and serve them.

The demonstration stands on one fixed day. Its passwords are printed here and therefore public: it
is loaded only where the server answers this machine alone, and never beside a real farm's records.
"""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from argparse import ArgumentParser
from pathlib import Path
from types import FrameType
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, call_command
from django.db import connection
from django.test.utils import override_settings

from farmrecords.findings import index
from farmrecords.loads import facts
from farmrecords.loads.models import Load
from farmrecords.people.models import Operation
from fixtures import demo
from fixtures.demo import loading
from fixtures.demo.sign_ins import SLUGS, table

HOST = "127.0.0.1"
AT_ONCE = 400


class Command(BaseCommand):
    help = (
        "Loads three invented farms with a full year of records and serves them on this machine. "
        "Run it again and it serves what is there."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=int, default=8000, help="port on this machine (8000)")
        parser.add_argument("--no-serve", action="store_true", help="load, then stop")
        parser.add_argument(
            "--fresh", action="store_true", help="throw the demonstration away and load it anew"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        port, serves = options["port"], not options["no_serve"]
        if not settings.LOCAL_ONLY:
            raise CommandError(
                "SECRET_KEY is set, so this looks like a server for real use. The passwords of the "
                "demonstration are public: unset SECRET_KEY to run it on this machine alone."
            )
        if serves:
            check_port(port)
        with override_settings(FARMRECORDS_DAY=demo.DAY.isoformat()):
            self._load(options["fresh"])
        self.stdout.write(table())
        if serves:
            self._serve(port)

    def _load(self, fresh: bool) -> None:
        if fresh:
            throw_away()
        call_command("migrate", verbosity=0)
        others = Operation.objects.exclude(slug__in=SLUGS).values_list("name", flat=True)
        if others:
            raise CommandError(
                f"The records of {', '.join(others)} are in this database. The demonstration is "
                "not loaded beside them; set FARMRECORDS_DATA to an empty folder and try again."
            )
        self.stdout.write("Loading the demonstration ...")
        self.stdout.flush()
        loading.load()
        self.stdout.write("Working out what each load covered ...")
        self.stdout.flush()
        work_out()

    def _serve(self, port: int) -> None:
        self.stdout.write(f"\nOpen http://{HOST}:{port}/   (Ctrl-C ends it)\n")
        self.stdout.flush()
        children = [start(command) for command in commands(port)]
        previous = signal.signal(signal.SIGTERM, _as_interrupt)
        try:
            while all(child.poll() is None for child in children):
                time.sleep(0.3)
            raise CommandError("The server or its task worker ended by itself; see above.")
        except KeyboardInterrupt:
            self.stdout.write("Ended.")
        finally:
            signal.signal(signal.SIGTERM, previous)
            end(children)


def check_port(port: int) -> None:
    """Refuse a port that is taken, before the minute of loading."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except (OSError, OverflowError) as error:
            raise CommandError(
                f"Port {port} cannot be used ({error}). Choose another: manage.py demo --port 8001"
            ) from error


def throw_away() -> None:
    """Delete the demonstration's own database file; refuse where real records may lie."""
    if connection.vendor != "sqlite":
        raise CommandError("--fresh works with SQLite only. Empty the other database yourself.")
    path = Path(str(settings.DATABASES["default"]["NAME"]))
    if not path.exists():
        return
    if Operation._meta.db_table in connection.introspection.table_names():
        others = Operation.objects.exclude(slug__in=SLUGS).values_list("name", flat=True)
        if others:
            raise CommandError(f"--fresh would delete the records of {', '.join(others)}.")
    connection.close()
    for name in (path.name, f"{path.name}-wal", f"{path.name}-shm"):
        path.with_name(name).unlink(missing_ok=True)


def work_out() -> None:
    """Compute the facts of loads that have none, and bring the index of findings up to date."""
    waiting = list(Load.objects.filter(facts=None).values_list("pk", flat=True))
    for i in range(0, len(waiting), AT_ONCE):
        facts.renew(Load.objects.filter(pk__in=waiting[i : i + AT_ONCE]))
    for operation in Operation.objects.filter(slug__in=SLUGS):
        index.refresh(operation)


def commands(port: int) -> list[list[str]]:
    """The web server and the task worker, as command lines."""
    server = [
        sys.executable, "-m", "gunicorn", "farmrecords.wsgi:application", "--bind",
        f"{HOST}:{port}", "--workers", "1", "--worker-class", "gthread", "--threads", "2",
        "--log-level", "warning",
    ]  # fmt: skip
    worker = [sys.executable, "manage.py", "db_worker", "--verbosity", "0", "--no-startup-delay"]
    return [server, worker]


def start(command: list[str]) -> subprocess.Popen[bytes]:
    """A child process on the demonstration's day."""
    env = os.environ | {
        "FARMRECORDS_DAY": demo.DAY.isoformat(),
        "DJANGO_SETTINGS_MODULE": "farmrecords.settings",
    }
    return subprocess.Popen(command, cwd=settings.BASE_DIR, env=env, process_group=0)


def end(children: list[subprocess.Popen[bytes]]) -> None:
    """End the children, kindly first."""
    for child in children:
        if child.poll() is None:
            child.terminate()
    for child in children:
        try:
            child.wait(timeout=8)
        except subprocess.TimeoutExpired:
            child.kill()
            child.wait()


def _as_interrupt(_number: int, _frame: FrameType | None) -> None:
    raise KeyboardInterrupt
