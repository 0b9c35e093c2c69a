"""What a file's confirmation writes about loads: new ones, those brought back, those corrected.

What falls into a filed period waits, as any late load; the history asks that of every row.
"""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext as _

from farmrecords.history import write
from farmrecords.intake.kinds import Written
from farmrecords.loads import facts
from farmrecords.loads.as_imported import revision_before
from farmrecords.loads.building import build
from farmrecords.loads.draft import LoadDraft
from farmrecords.loads.entry import record_loads
from farmrecords.loads.models import Load
from farmrecords.loads.surroundings import Surroundings
from farmrecords.people.access import Seat


def bring(
    seat: Seat,
    change: write.Change,
    file_name: str,
    *,
    new: Iterable[LoadDraft],
    back: list[Load],
    amended: Iterable[tuple[LoadDraft, Load]],
) -> Written:
    """Record, bring back and amend in one change; the words say what looked doubtful."""
    loads = record_loads(seat, new, channel="import", change=change)
    done = Written(created=loads, restored=back)
    done.messages = [words for load in loads for words in load.warnings]  # type: ignore[attr-defined]
    for load in back:
        change.restore(
            load,
            base_rev=load.rev,
            reason_code="imported_again",
            reason_text=_("Brought back by %(file)s") % {"file": file_name},
        )
    change.lock(seat.operation.log_id)
    around = Surroundings(seat.operation)
    for draft, load in amended:
        draft.source_key = load.source_key
        built = build(seat, draft, around, load)
        before = revision_before(load)
        change.amend(
            load,
            base_rev=load.rev,
            values=built.values,
            parts=built.collections,
            reason_code="imported",
            reason_text=_("Corrected by %(file)s") % {"file": file_name},
        )
        done.amended.append((load, before))
    facts.renew([*back, *(load for load, _before in done.amended)])
    return done
