"""Recording, amending and voiding loads: the one way for page, phone, import and command."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

from django.core.exceptions import PermissionDenied, ValidationError
from django.utils.translation import gettext as _

from farmrecords.history import write
from farmrecords.loads import facts
from farmrecords.loads.building import Built, build
from farmrecords.loads.draft import DEFAULT, DrawDraft, EntryProblem, LoadDraft, PartDraft, hash_of
from farmrecords.loads.models import Load
from farmrecords.loads.surroundings import Surroundings
from farmrecords.measurements.models import ManureTest
from farmrecords.people.access import Seat, may_amend_load
from farmrecords.people.filed import ACCEPTED, REFUSED
from farmrecords.people.models import Operation

__all__ = [
    "DEFAULT",
    "ContentProposal",
    "DrawDraft",
    "EntryProblem",
    "LoadDraft",
    "PartDraft",
    "amend_load",
    "apply_content_tests",
    "decide_waiting",
    "propose_content_tests",
    "record_load",
    "record_loads",
    "void_load",
]


def record_load(
    seat: Seat,
    draft: LoadDraft,
    *,
    channel: str,
    client_op: uuid.UUID | None = None,
    claimed_at: dt.datetime | None = None,
    change: write.Change | None = None,
) -> Load:
    """Record a load; `load.warnings` holds what looks doubtful. `change` joins one under way.

    Raises EntryProblem for what cannot be kept as it stands; a breach of law never raises. A load
    of a filed period is kept with the status `waiting`. With `client_op` the same sending again
    gives the same load back.
    """
    (load,) = record_loads(
        seat, [draft], channel=channel, client_op=client_op, claimed_at=claimed_at, change=change
    )
    return load


def record_loads(
    seat: Seat,
    drafts: Iterable[LoadDraft],
    *,
    channel: str,
    client_op: uuid.UUID | None = None,
    claimed_at: dt.datetime | None = None,
    change: write.Change | None = None,
) -> list[Load]:
    """Record many loads at once, all or none; see record_load. `change` joins one under way.

    An EntryProblem of one draft carries its position from 0 as `problem.index`.
    """
    if not seat.may("enter_load"):
        raise PermissionDenied
    drafts = list(drafts)
    if not drafts:
        return []
    if change is not None:
        return _measured(_record(seat, drafts, change))
    with write.change(
        by=seat.actor,
        channel=channel,
        client_op=client_op,
        claimed_at=claimed_at,
        payload="" if client_op is None else hash_of(drafts),
    ) as own:
        loads = _record(seat, drafts, own)
    return _measured(loads)


def _record(seat: Seat, drafts: list[LoadDraft], change: write.Change) -> list[Load]:
    """Build under the lock of the log, so that tests and filed periods stay as they are read."""
    if change.client_op is not None and change.sent_before(seat.operation.log_id):
        return _sent_before(change.client_op, len(drafts))
    change.lock(seat.operation.log_id)
    around = Surroundings(seat.operation)
    ready: list[tuple[Load, Built]] = []
    for index, draft in enumerate(drafts):
        with _plain_words(index):
            built = build(seat, draft, around)
            load_id = _id(change.client_op, index)
            load = Load(id=load_id, operation=seat.operation, **built.values)
            load.warnings = built.warnings  # type: ignore[attr-defined]
            ready.append((load, built))
    rows = [(load, built.collections) for load, built in ready]
    with _plain_words():
        if len(rows) == 1:
            change.create(rows[0][0], rows[0][1])
        else:
            change.create_many(rows)
    return [load for load, _built in ready]


def _measured(loads: list[Load]) -> list[Load]:
    """Work out the dear facts of new loads, and warn of what they show."""
    facts.renew(loads)
    for load in loads:
        load.warnings += _outside(load)  # type: ignore[attr-defined]
    return loads


def _id(client_op: uuid.UUID | None, index: int) -> uuid.UUID:
    """The id of a new load; it follows from the sender's own number when there is one."""
    return uuid.uuid4() if client_op is None else uuid.uuid5(client_op, f"load/{index}")


def _sent_before(client_op: uuid.UUID, count: int) -> list[Load]:
    """The loads that the first sending recorded, as they stand now."""
    ids = [_id(client_op, index) for index in range(count)]
    found = Load.objects.in_bulk(ids)
    loads = [found[load_id] for load_id in ids]
    for load in loads:
        load.warnings = []  # type: ignore[attr-defined]
    return loads


def _outside(load: Load) -> list[str]:
    """A warning for each part whose track leaves its field."""
    found = []
    for told in facts.facts_of(load).parts:
        if told["outside_ac"] and round(told["outside_ac"], 2) > 0:
            found.append(
                _(
                    "%(acres).2f ac of the track lie outside the field's boundary of that day. "
                    "The load is kept; check the field."
                )
                % {"acres": told["outside_ac"]}
            )
    return found


def amend_load(
    seat: Seat,
    load: Load,
    draft: LoadDraft,
    *,
    base_rev: int,
    reason_code: str,
    reason_text: str,
    channel: str = "web",
) -> Load:
    """Replace what a load says, with a reason; both versions stay in the history.

    Raises EntryProblem, write.StaleRevision (with both versions) or PermissionDenied.
    """
    if load.operation_id != seat.operation.pk or not may_amend_load(seat, load):
        raise PermissionDenied
    _need_reason(reason_text)
    draft.source_key = load.source_key
    with _plain_words(), write.change(by=seat.actor, channel=channel) as change:
        change.lock(seat.operation.log_id)
        built = build(seat, draft, Surroundings(seat.operation), load)
        change.amend(
            load,
            base_rev=base_rev,
            values=built.values,
            parts=built.collections,
            reason_code=reason_code,
            reason_text=reason_text,
        )
    facts.renew([load])
    load.warnings = built.warnings + _outside(load)  # type: ignore[attr-defined]
    return load


def void_load(
    seat: Seat, load: Load, *, base_rev: int, reason_text: str, channel: str = "web"
) -> Load:
    """Take a load out of the count, with a reason; it stays visible."""
    if load.operation_id != seat.operation.pk or not seat.may("void"):
        raise PermissionDenied
    _need_reason(reason_text)
    with _plain_words(), write.change(by=seat.actor, channel=channel) as change:
        change.void(load, base_rev=base_rev, reason_code="void", reason_text=reason_text)
    facts.renew([load])
    return load


def decide_waiting(seat: Seat, load: Load, accept: bool, reason: str, *, base_rev: int) -> Load:
    """The signatory's decision on a load that came late for a filed period, with a reason.

    `base_rev` is the revision that was read; write.StaleRevision when there is a newer one.
    """
    if load.operation_id != seat.operation.pk or not seat.may("decide_waiting"):
        raise PermissionDenied
    if load.status != "waiting" or load.voided:
        raise EntryProblem(_("This load does not wait for a decision any more."))
    _need_reason(reason)
    with _plain_words(), write.change(by=seat.actor, channel="web") as change:
        if accept:
            change.amend(
                load,
                base_rev=base_rev,
                values={"status": "counted"},
                reason_code=ACCEPTED,
                reason_text=reason,
            )
        else:
            change.void(load, base_rev=base_rev, reason_code=REFUSED, reason_text=reason)
    facts.renew([load])
    return load


def _need_reason(reason_text: str) -> None:
    if not reason_text.strip():
        raise EntryProblem({"reason_text": _("Say why the record is changed; one sentence.")})


@contextmanager
def _plain_words(index: int | None = None) -> Iterator[None]:
    """Let every refusal of an entry come out as an EntryProblem."""
    try:
        yield
    except ValidationError as refused:
        problem = refused if isinstance(refused, EntryProblem) else EntryProblem(refused)
        problem.index = (
            index
            if index is not None
            else getattr(refused, "index", getattr(refused, "row_index", None))
        )
        raise problem from refused.__cause__
    except write.NothingChanged as nothing:
        words = _("Nothing was changed, so there is nothing to amend.")
        raise EntryProblem(words) from nothing


@dataclass(frozen=True)
class ContentProposal:
    """A load whose default test of what was in it would now be another one."""

    load: Load
    now: ManureTest | None
    proposed: ManureTest


def propose_content_tests(operation: Operation, test: ManureTest) -> list[ContentProposal]:
    """Loads that stood on the stated default, which the late result `test` now is.

    A link that somebody chose against the default stays out of the list.
    """
    around = Surroundings(operation)
    loads = (
        Load.objects.filter(operation=operation, voided=False, draws__storage=test.storage)
        .exclude(content_test=test)
        .select_related("content_test")
        .prefetch_related("draws__storage")
        .distinct()
    )
    found = []
    for load in loads.order_by("local_day", "started_at", "id"):
        storage = max(load.draws.all(), key=lambda draw: draw.amount_milli).storage
        before = around.content_test(storage, load.local_day, without=test)
        now = around.content_test(storage, load.local_day)
        stood = load.content_test_id in (None, before.pk if before else None)
        if now is not None and now.pk == test.pk and stood:
            found.append(ContentProposal(load, load.content_test, test))
    return found


def apply_content_tests(
    seat: Seat, loads: Sequence[Load], test: ManureTest, reason_text: str
) -> int:
    """Amend the loads to the test, each with the reason; loads of filed periods are left alone.

    Returns how many were amended; all or none.
    """
    if not seat.may("amend"):
        raise PermissionDenied
    _need_reason(reason_text)
    around = Surroundings(seat.operation)
    open_ones = [
        load
        for load in loads
        if load.operation_id == seat.operation.pk
        and (load.status == "waiting" or not around.closed_on(load.local_day))
    ]
    with _plain_words(), write.change(by=seat.actor, channel="web") as change:
        for load in open_ones:
            change.amend(
                load,
                base_rev=load.rev,
                values={"content_test": test},
                reason_code="late_result",
                reason_text=reason_text,
            )
    return len(open_ones)
