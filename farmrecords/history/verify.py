"""Checking a log where it lies: the checks of `verifier.py`, and those that need the tables.

Rooms that know more register here: `on_actor` for who was permitted when, `on_filed` for the hash
of what was filed.
"""

from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from typing import Any

from django.db.models import Max, Min

from farmrecords.history import export, rebuild, verifier
from farmrecords.history.models import Entry, Log

ActorCheck = Callable[[Log, str, str, datetime, datetime], str]
FiledCheck = Callable[[Entry], tuple[str, str] | None]
Anchors = Iterable[tuple[int, str]]

_actor_checks: list[ActorCheck] = []
_filed_checks: list[FiledCheck] = []


def on_actor(func: ActorCheck) -> ActorCheck:
    """Let `func(log, actor, role, first_at, last_at)` say what is doubtful, or nothing ("")."""
    _actor_checks.append(func)
    return func


def on_filed(func: FiledCheck) -> FiledCheck:
    """Let `func(entry)` of a `file` entry give (expected, actual) hashes that differ, or None."""
    _filed_checks.append(func)
    return func


def check(log: Log, *, anchors: Anchors = (), state: bool = False) -> Any:
    """Check one log; with `state` also whether the tables say what the log says."""
    log = Log.objects.get(pk=log.pk)
    result = verifier.check(lambda: _entries(log), anchors, (log.head_seq, log.head_hash))
    if result.log != str(log.pk):
        result.wrong(0, "log", log.pk, result.log)
    if not result.problems:
        result.warnings += _doubtful_actors(log)
        _check_filed(log, result)
        if state:
            _check_state(log, result)
    return result


def check_file(path: str, anchors: Anchors = ()) -> Any:
    """Check an export."""
    return verifier.check(lambda: verifier.entries_of_file(path), anchors)


def _entries(log: Log) -> Iterator[Any]:
    for header, hash_, salt, text in export.rows(log):
        yield verifier.Entry(header, hash_, salt, text)


def _doubtful_actors(log: Log) -> Iterator[str]:
    if not _actor_checks:
        yield "whether each person held the role then was not checked."
        return
    entries = Entry.objects.filter(log=log).order_by("actor", "role").values_list("actor", "role")
    for actor, role, first, last in entries.annotate(Min("at"), Max("at")):
        for func in _actor_checks:
            said = func(log, actor, role, first, last)
            if said:
                yield said


def _check_filed(log: Log, result: Any) -> None:
    for entry in Entry.objects.filter(log=log, act="file").order_by("seq").select_related("body"):
        for func in _filed_checks:
            differ = func(entry)
            if differ is not None:
                result.wrong(entry.seq, "filed report", *differ)


def _check_state(log: Log, result: Any) -> None:
    for one in rebuild.compare(log):
        result.wrong(one.seq, f"{one.obj_type} {one.obj_id} {one.path}", one.told, one.stored)
