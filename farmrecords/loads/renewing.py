"""Facts of loads worked out again after boundaries or features changed, with progress shown.

A *change* is a new version from a day on: loads of earlier days rest on the earlier version and
keep their facts. A *correction* amends a version for all its days: their facts are worked out
again. How they read before follows from the log, as of any moment (`facts_past`).
"""

from __future__ import annotations

from functools import partial
from typing import Any

from django.db import transaction
from django.db.models import F, Q
from django.utils.translation import gettext as _

from farmrecords.history.background import is_paused, task
from farmrecords.history.write import Written, on_written
from farmrecords.intake.models import Work
from farmrecords.intake.work import begin, under_way
from farmrecords.loads import facts
from farmrecords.loads.models import Load
from farmrecords.people.models import Operation

BATCH = 100
KIND = "facts"


def behind(operation: Operation) -> Any:
    """Loads whose facts are missing or rest on something that changed."""
    rows = Load.objects.filter(operation=operation, voided=False)
    return rows.filter(Q(facts=None) | ~Q(facts__load_rev=F("rev"))).order_by("local_day", "id")


@task()
def renew_facts(work_id: str, operation_id: str) -> int:
    """Work the facts out again, some loads at a time; running it twice does no harm."""
    done = 0
    with under_way(work_id) as progress:
        waiting = list(behind(Operation.objects.get(pk=operation_id)).values_list("pk", flat=True))
        progress.step(0, len(waiting))
        for start in range(0, len(waiting), BATCH):
            some = Load.objects.filter(pk__in=waiting[start : start + BATCH])
            facts.renew(list(some.select_related("operation")))
            done = min(start + BATCH, len(waiting))
            progress.step(done, len(waiting))
    return done


@on_written
def ask_to_renew(written: list[Written]) -> None:
    """After land, a spreader or a calibration changed, let the facts be worked out again."""
    if is_paused():
        return
    touched: set[Any] = {
        line.obj.operation_id  # type: ignore[union-attr]
        for line in written
        if isinstance(line.obj, facts.RESTS_ON)
    }
    for operation_id in touched:
        transaction.on_commit(partial(_begin, operation_id))


def _begin(operation_id: Any) -> None:
    """One waiting work an operation is enough; none where no load is behind."""
    operation = Operation.objects.get(pk=operation_id)
    waits = Work.objects.filter(operation=operation, kind=KIND, state="waiting").exists()
    if waits or not behind(operation).exists():
        return
    begin(operation, KIND, _("Facts of the loads after a change of the land"),
          partial(_enqueue, str(operation_id)))  # fmt: skip


def _enqueue(operation_id: str, work_id: str) -> None:
    renew_facts.enqueue(work_id, operation_id)
