"""Every kind of record that is entered on the common pages, by the name in its address."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from farmrecords.book.record_kind import Kind
from farmrecords.book.record_kinds_farm import FARM
from farmrecords.book.record_kinds_people import PEOPLE
from farmrecords.book.record_kinds_plan import PLAN
from farmrecords.book.record_kinds_rounds import ROUNDS
from farmrecords.book.record_kinds_work import WORK

KINDS: dict[str, Kind] = {kind.slug: kind for kind in (*WORK, *ROUNDS, *FARM, *PLAN, *PEOPLE)}
GROUPS = {
    "work": _("Done and moved"),
    "rounds": _("Measured and looked at"),
    "farm": _("What the farm has"),
    "plan": _("The plan"),
    "people": _("Who may enter and read"),
}
