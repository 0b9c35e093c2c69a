"""Large files are read and taken over beside the pages."""

from __future__ import annotations

from functools import partial

from farmrecords.formats.common import FormatError
from farmrecords.history.background import task
from farmrecords.intake import service, waiting
from farmrecords.intake.kinds import Kind, kind_named
from farmrecords.intake.models import IncomingFile, Work
from farmrecords.intake.work import begin, under_way
from farmrecords.people.access import Seat, seat_for
from farmrecords.people.models import Person

LARGE_BYTES = 1024 * 1024
MANY_ROWS = 300


def is_large(size: int) -> bool:
    """Whether a file is read beside the pages."""
    return size > LARGE_BYTES


def has_many_rows(incoming: IncomingFile) -> bool:
    """Whether taking a file over is done beside the pages."""
    return int(incoming.report.get("new") or 0) > MANY_ROWS


def read_later(seat: Seat, kind: Kind, name: str, data: bytes) -> Work:
    """Lay a large file aside and let it be read beside the pages."""
    laid = waiting.lay_aside(data)
    given = (str(seat.person.pk), seat.operation.slug, kind.name, name, laid)
    return begin(seat.operation, "read_file", name, partial(_ask_to_read, given))


def _ask_to_read(given: tuple[str, str, str, str, str], work_id: str) -> None:
    read_file.enqueue(work_id, *given)


def take_over_later(seat: Seat, incoming: IncomingFile, base_rev: int) -> Work:
    """Let a file with many rows be taken over beside the pages; all of it or nothing."""
    given = (str(seat.person.pk), seat.operation.slug, str(incoming.pk), base_rev)
    return begin(
        seat.operation, "take_over", incoming.name, partial(_ask_to_take_over, given), incoming
    )


def _ask_to_take_over(given: tuple[str, str, str, int], work_id: str) -> None:
    take_over.enqueue(work_id, *given)


@task()
def read_file(
    work_id: str, person_id: str, slug: str, kind_name: str, name: str, laid: str
) -> None:
    """Read a file laid aside, without effect; the page of the file shows what was found."""
    with under_way(work_id) as progress, waiting.taken_up(laid) as data:
        seat = seat_for(Person.objects.get(pk=person_id), slug)
        kind = kind_named(kind_name)
        if kind is None:
            raise FormatError("Files of this kind are not read any more.")
        progress.step(1, 2)
        incoming = service.take_in(seat, kind, name, data)
        progress.leads_to(incoming)
        progress.step(2, 2)


@task()
def take_over(work_id: str, person_id: str, slug: str, incoming_id: str, base_rev: int) -> None:
    """Take a file over in one transaction; run twice, the second run changes nothing."""
    with under_way(work_id):
        seat = seat_for(Person.objects.get(pk=person_id), slug)
        incoming = IncomingFile.objects.get(pk=incoming_id, operation=seat.operation)
        if incoming.state == "read":
            service.confirm(seat, incoming, base_rev)
