"""Long work beside the pages: begun, told how far it is, ended; a reload shows the same."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from farmrecords.formats.common import FormatError
from farmrecords.history import clock
from farmrecords.history.errors import FileChanged, HistoryError
from farmrecords.intake.models import IncomingFile, Work
from farmrecords.people.models import Operation

KEPT = 50  # works over are forgotten beyond this number


def begin(
    operation: Operation,
    kind: str,
    title: str,
    enqueue: Callable[[str], Any],
    file: IncomingFile | None = None,
) -> Work:
    """Write the work down and put it into the queue when the change under way is through."""
    work = Work.objects.create(
        operation=operation, kind=kind, title=title[:250], file=file, asked_at=clock.now()
    )
    _forget_old(operation)
    transaction.on_commit(partial(enqueue, str(work.pk)))
    return work


def _forget_old(operation: Operation) -> None:
    over = Work.objects.filter(operation=operation, state__in=("done", "failed"))
    old = list(over.values_list("pk", flat=True)[KEPT:])
    if old:
        Work.objects.filter(pk__in=old).delete()


class Progress:
    """How far one work is; each step is seen at once by whoever looks."""

    def __init__(self, pk: UUID | str) -> None:
        self.pk = pk

    def step(self, done: int, total: int) -> None:
        """So much of so much is done."""
        Work.objects.filter(pk=self.pk).update(done=done, total=total)

    def leads_to(self, file: IncomingFile) -> None:
        """The file the work is about, once there is one."""
        Work.objects.filter(pk=self.pk).update(file=file)


@contextmanager
def under_way(pk: UUID | str) -> Iterator[Progress]:
    """Run the work; a refusal in plain words ends it with these words, anything else is raised."""
    Work.objects.filter(pk=pk).update(state="running")
    try:
        yield Progress(pk)
    except (FormatError, ValidationError, FileChanged, HistoryError) as refused:
        words = " ".join(getattr(refused, "messages", None) or [str(refused)])
        Work.objects.filter(pk=pk).update(state="failed", message=words[:500])
    except Exception:
        told = _("Something went wrong on our side; nothing was changed. Try again.")
        Work.objects.filter(pk=pk).update(state="failed", message=told)
        raise
    else:
        Work.objects.filter(pk=pk).update(state="done")
