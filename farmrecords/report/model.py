"""The annual report as plain data, in the order in which the law asks for it.

No queries and no drawing: `content.build` makes it from the records, the page, the PDF and the
JSON are made from it alone, so they cannot disagree. The paragraphs are those of
40 CFR 122.42(e)(4); words are English, the language of the filing.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from farmrecords.report.field_model import (
    AppliedRow,
    AvailableRow,
    CropRow,
    FertilizerRow,
    FieldItem,
    InputRow,
    LoadRow,
    LoadTotal,
    MaximumRow,
    Narrative,
    Nutrients,
    Reported,
    SoilTestRow,
    Statement,
    TestRow,
)
from farmrecords.report.figures import Address, Figure

__all__ = [
    "ITEMS",
    "AcresInPlan",
    "AcresUsed",
    "AnimalRow",
    "Animals",
    "AnnualReport",
    "AppliedRow",
    "AvailableRow",
    "Certification",
    "Counts",
    "Cover",
    "CropRow",
    "DischargeRow",
    "Discharges",
    "FertilizerRow",
    "FieldItem",
    "FindingRow",
    "FindingsPart",
    "Generated",
    "HistoryHead",
    "InputRow",
    "Item",
    "LoadRow",
    "LoadTotal",
    "MaximumRow",
    "Narrative",
    "Nutrients",
    "PlannerStatement",
    "Reported",
    "RuleFindings",
    "SoilTestRow",
    "Statement",
    "TestRow",
    "TransferRow",
    "Transferred",
]


@dataclass(frozen=True)
class Item:
    """One item of the law: its paragraph and its heading here."""

    paragraph: str
    heading: str


ITEMS = {
    "i": Item("122.42(e)(4)(i)", "Animals, in open confinement and under roof"),
    "ii": Item("122.42(e)(4)(ii)", "Manure, litter and process wastewater generated"),
    "iii": Item("122.42(e)(4)(iii)", "Manure, litter and process wastewater transferred"),
    "iv": Item("122.42(e)(4)(iv)", "Acres covered by the nutrient management plan"),
    "v": Item("122.42(e)(4)(v)", "Acres used for land application"),
    "vi": Item("122.42(e)(4)(vi)", "Discharges from the production area"),
    "vii": Item("122.42(e)(4)(vii)", "Who developed or approved the plan"),
    "viii": Item("122.42(e)(4)(viii)", "Crops, yields, nutrients and amounts, field by field"),
}


@dataclass(frozen=True)
class Cover:
    """Who reports, under which permit, for which days."""

    operation: str
    address: str
    permit_number: str
    is_permitted: bool | None
    size_class: str
    class_basis: str
    approach: str
    jurisdictions: tuple[str, ...]
    first_on: dt.date
    last_on: dt.date
    is_whole_period: bool
    due_on: dt.date | None
    is_narrative: bool | None = False
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class AnimalRow:
    """One of the thirteen types; None where no group of the type is entered."""

    kind: str
    label: str
    open_head: Figure | None
    roof_head: Figure | None
    groups: tuple[str, ...] = ()


@dataclass(frozen=True)
class Animals:
    """Item (i)."""

    basis: str
    rows: tuple[AnimalRow, ...]


@dataclass(frozen=True)
class Generated:
    """Item (ii): two amounts that are never added to each other."""

    liquid: Figure
    solid: Figure
    method: str
    liquid_left: Figure
    solid_left: Figure
    liquid_change: Figure
    solid_change: Figure
    liquid_received: Figure
    solid_received: Figure


@dataclass(frozen=True)
class TransferRow:
    """One hand-over to a receiver."""

    moved_on: dt.date
    receiver: str
    receiver_address: str
    amount: Figure
    analysis_given_on: dt.date | None
    source: str = ""


@dataclass(frozen=True)
class Transferred:
    """Item (iii): two amounts, and each hand-over."""

    liquid: Figure
    solid: Figure
    rows: tuple[TransferRow, ...]
    statement: Statement | None
    words: str


@dataclass(frozen=True)
class AcresInPlan:
    """Item (iv)."""

    acres: Figure
    field_count: int
    plan: str
    basis: str


@dataclass(frozen=True)
class AcresUsed:
    """Item (v): both figures, and which of them is the one reported."""

    reported: str
    field_acres: Figure
    covered_acres: Figure
    field_count: int
    basis: str
    outside_plan: tuple[str, ...] = ()
    not_controlled: tuple[str, ...] = ()

    @property
    def acres(self) -> Figure:
        """The figure that is reported."""
        return self.covered_acres if self.reported == "covered" else self.field_acres


@dataclass(frozen=True)
class DischargeRow:
    """One discharge from the production area.

    `volume_words` is the volume as printed: as it was typed where it is not a plain number.
    """

    happened_on: dt.date
    time: str
    volume: Figure
    volume_words: str
    cause: str
    receiving_water: str


@dataclass(frozen=True)
class Discharges:
    """Item (vi): the events, or the statement of none, or that it cannot be told."""

    rows: tuple[DischargeRow, ...]
    statement: Statement | None
    words: str


@dataclass(frozen=True)
class PlannerStatement:
    """Item (vii). `answer` is yes, no or cannot tell."""

    answer: str
    plan: str
    in_force_from: dt.date | None
    document_dated: dt.date | None
    planner: str
    certificate: str
    words: str


@dataclass(frozen=True)
class Certification:
    """The certification wording as the operation entered it from its permit.

    `lines` are those the signatory fills in by hand; none while something is not entered.
    """

    text: str
    citation: str
    dated: dt.date | None
    lines: tuple[str, ...]
    words: str


@dataclass(frozen=True)
class FindingRow:
    """One finding, or one group of findings that lack the same fact."""

    subject: str
    sentence: str
    compared: tuple[str, ...]
    missing: tuple[str, ...]
    count: int
    records: Address | None = None


@dataclass(frozen=True)
class RuleFindings:
    """What one rule said about the period: how often met, and each finding that was not."""

    rule_id: str
    title: str
    citation: str
    status: str
    standing: str
    met: int
    not_met: tuple[FindingRow, ...]
    cannot_tell: tuple[FindingRow, ...]
    notices: tuple[FindingRow, ...]

    @property
    def not_met_count(self) -> int:
        """How many findings were not met, each load and field year for itself."""
        return sum(row.count for row in self.not_met)


@dataclass(frozen=True)
class Counts:
    """How many findings of each outcome."""

    met: int = 0
    not_met: int = 0
    cannot_tell: int = 0
    notice: int = 0


@dataclass(frozen=True)
class FindingsPart:
    """Findings of the period in three outcomes, and notices."""

    firm: Counts
    to_confirm: Counts
    rules: tuple[RuleFindings, ...]
    words: str = ""


@dataclass(frozen=True)
class HistoryHead:
    """The entry of the history that the report rests on; not part of what is hashed."""

    log: str
    seq: int
    hash: str
    at: dt.datetime | None


@dataclass(frozen=True)
class AnnualReport:
    """The whole report, in reading order."""

    cover: Cover
    animals: Animals
    generated: Generated
    transferred: Transferred
    acres_in_plan: AcresInPlan
    acres_used: AcresUsed
    discharges: Discharges
    planner: PlannerStatement
    tests: tuple[TestRow, ...]
    fields: tuple[FieldItem, ...]
    narrative: Narrative | None
    certification: Certification
    findings: FindingsPart
    history: HistoryHead
