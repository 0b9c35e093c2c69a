"""What a kind of record declares, so that one set of pages serves them all."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db import models
from django.utils.translation import gettext_lazy as _

from farmrecords.history.recorded import Recorded, declaration
from farmrecords.people.access import Seat

Words = Any
Column = str | tuple[Words, Callable[[Any], Any]]


@dataclass(frozen=True)
class TypedAmount:
    """An amount kept as typed: the entries of its text and unit.

    `milli`: the record also keeps it in whole thousandths, as loads do.
    """

    text: str
    unit: str = ""
    fixed_unit: str = ""
    required: bool = False
    milli: bool = False


def _nothing(_seat: Seat) -> dict[str, Any]:
    return {}


def _open(_seat: Seat, _record: Any) -> str:
    return ""


@dataclass(frozen=True)
class Kind:
    """A kind of record: what is asked, how it is called, who sees and who writes it.

    `refusals` says for a constraint of the table at which entry and in which words it is refused;
    `closed` gives the reason why a seat may not change a record, or nothing.
    """

    slug: str
    model: type[Recorded]
    group: str
    many: Words
    one: Words
    lede: Words
    fields: tuple[str, ...]
    columns: tuple[Column, ...]
    see: str
    write: str
    form: Any = None
    labels: Mapping[str, Words] = field(default_factory=dict)
    helps: Mapping[str, Words] = field(default_factory=dict)
    amounts: tuple[TypedAmount, ...] = ()
    above_zero: tuple[str, ...] = ()
    not_coming: tuple[str, ...] = ()
    in_order: tuple[tuple[str, str], ...] = ()
    refusals: Mapping[str, tuple[str, Words]] = field(default_factory=dict)
    offers: Mapping[str, Callable[[Any], Any]] = field(default_factory=dict)
    also: tuple[tuple[Words, Callable[[Any], Any]], ...] = ()
    own: tuple[str, ...] = ()
    order: tuple[str, ...] = ()
    initial: Callable[[Seat], dict[str, Any]] = _nothing
    fill: Callable[[Seat], dict[str, Any]] = _nothing
    closed: Callable[[Seat, Any], str] = _open

    @property
    def day(self) -> str | None:
        """The column of the record's day, if it has one."""
        return declaration(self.model).day

    @property
    def derived(self) -> tuple[str, ...]:
        """Columns that follow from the entries."""
        milli = ("amount_milli", "amount_kind") if any(a.milli for a in self.amounts) else ()
        return (*milli, *self.own)

    @property
    def links(self) -> tuple[str, ...]:
        """The records it points to, to be fetched with it."""
        meta: Any = self.model._meta
        return tuple(f.name for f in meta.concrete_fields if isinstance(f, models.ForeignKey))

    def title_of(self, record: Any) -> str:
        """The record in one line: its first two columns that say something."""
        from farmrecords.book.record_cells import cell

        said = [cell(record, column) for column in self.columns[:3]]
        return ", ".join([words for words in said if words != "—"][:2]) or str(self.one)


# Words where a column has none of its own, or says too little on a page.
LABELS: dict[str, Words] = {
    "length_ft": _("length, ft"),
    "width_ft": _("width, ft"),
    "diameter_ft": _("diameter, ft"),
    "depth_ft": _("depth, ft"),
    "treatment_volume_gal": _("treatment volume, gal"),
    "solids_allowance_gal": _("allowance for solids, gal"),
    "drainage_area_ac": _("ground draining into it, ac"),
    "storage": _("storage"),
    "field": _("field"),
    "spreader": _("spreader"),
    "group": _("group of animals"),
    "plan": _("plan version"),
    "test": _("manure test"),
    "membership": _("person"),
}


def label_of(kind: Kind, name: str) -> str:
    """The words of an entry, with a capital."""
    words = kind.labels.get(name)
    if words is None:
        column: Any = kind.model._meta.get_field(name)
        words = column.verbose_name
        if words == name.replace("_", " "):  # what Django makes of a name is no language's word
            words = LABELS.get(name, words)
    said = str(words)
    return said[:1].upper() + said[1:]
