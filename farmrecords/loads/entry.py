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
from farmrecords.loads.draft import DEFAULT, DrawDraft, EntryProblem, LoadDraft, PartDraft
from farmrecords.loads.models import Load
from farmrecords.loads.surroundings import Surroundings
from farmrecords.measurements.models import ManureTest
from farmrecords.people.access import Seat, may_amend_load
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
) -> Load:
    """Record a load; `load.warnings` holds what looks doubtful.

    Raises EntryProblem for what cannot be kept as it stands; a breach of law never raises. A load
    of a filed period is kept with the status `waiting`. With `client_op` the same sending again
    gives the same load back.
    """
    return record_loads(seat, [draft], channel=channel, client_op=client_op, claimed_at=claimed_at)[
        0
    ]


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
    around = Surroundings(seat.operation)
    ready: list[tuple[Load, Built]] = []
    for index, draft in enumerate(drafts):
        with _plain_words(index):
            ready.append(_new(seat, draft, around, _id(client_op, index)))
    if not ready:
        return []
    rows = [(load, built.collections) for load, built in ready]
    with _plain_words():
        if change is not None:
            change.create_many(rows)
        else:
            with write.change(
                by=seat.actor, channel=channel, client_op=client_op, claimed_at=claimed_at
            ) as own:
                if len(rows) == 1:
                    own.create(rows[0][0], rows[0][1])
                else:
                    own.create_many(rows)
    loads = [load for load, _built in ready]
    facts.renew(loads)
    for load, built in ready:
        load.warnings = built.warnings + _outside(load)  # type: ignore[attr-defined]
    return loads


def _id(client_op: uuid.UUID | None, index: int) -> uuid.UUID:
    """The id of a new load; it follows from the sender's own number when there is one."""
    return uuid.uuid4() if client_op is None else uuid.uuid5(client_op, f"load/{index}")


def _new(
    seat: Seat, draft: LoadDraft, around: Surroundings, load_id: uuid.UUID
) -> tuple[Load, Built]:
    built = build(seat, draft, around)
    status = "waiting" if around.closed_on(built.values["local_day"]) else "counted"
    load = Load(id=load_id, operation=seat.operation, status=status, **built.values)
    return load, built


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
    around = Surroundings(seat.operation)
    _refuse_filed(load, around)
    with _plain_words():
        draft.source_key = load.source_key
        built = build(seat, draft, around, load)
        values = built.values
        if around.closed_on(values["local_day"]):
            values["status"] = "waiting"
        with write.change(by=seat.actor, channel=channel) as change:
            change.amend(
                load,
                base_rev=base_rev,
                values=values,
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
    _refuse_filed(load, Surroundings(seat.operation))
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
                reason_code="late_accepted",
                reason_text=reason,
            )
        else:
            change.void(load, base_rev=base_rev, reason_code="late_refused", reason_text=reason)
    facts.renew([load])
    return load


def _need_reason(reason_text: str) -> None:
    if not reason_text.strip():
        raise EntryProblem({"reason_text": _("Say why the record is changed; one sentence.")})


def _refuse_filed(load: Load, around: Surroundings) -> None:
    """A counted load of a filed period stands; the owner reopens the period to change it."""
    period = around.closed_on(load.local_day)
    if period is None or load.status == "waiting":
        return
    raise EntryProblem(
        _(
            "The load of %(day)s is in the filed period %(first)s to %(last)s. The owner can "
            "reopen the period with a reason; then the load can be changed."
        )
        % {"day": load.local_day, "first": period.from_on, "last": period.to_on}
    )


@contextmanager
def _plain_words(index: int | None = None) -> Iterator[None]:
    """Let every refusal of an entry come out as an EntryProblem."""
    try:
        yield
    except ValidationError as refused:
        problem = refused if isinstance(refused, EntryProblem) else EntryProblem(refused)
        problem.index = index if index is not None else getattr(refused, "index", None)
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
