"""Two farms with everybody who might knock, for the tests of who may see and do what.

The day is 22 April 2026. The planner and the inspector hold grants for 2026; what is called
`outside` happened in 2023, before any grant.
"""

from __future__ import annotations

import datetime as dt
import uuid
from typing import Any

from django.test import Client

from farmrecords.findings.models import RuleConfirmation
from farmrecords.findings.rulebooks import note_rulebook, rulebook
from farmrecords.history import clock, write
from farmrecords.history.models import Log
from farmrecords.intake.models import IncomingFile
from farmrecords.loads.models import Fertilizer
from farmrecords.people.models import ClosedPeriod, LateRecord, Membership, Person
from farmrecords.plan.models import Job
from tests import builders

NOW = dt.datetime(2026, 4, 22, 16, tzinfo=dt.UTC)
TODAY = dt.date(2026, 4, 22)
LONG_AGO = dt.date(2023, 5, 10)
GRANT = (dt.date(2026, 1, 1), dt.date(2026, 12, 31))

VIEWERS = (
    "crew",
    "hauler",
    "office",
    "owner",
    "planner",
    "inspector",
    "planner_without_grant",
    "planner_revoked",
    "office_elsewhere",
    "stranger",
    "anonymous",
)


class World:
    """The farm that is asked about, its neighbour, and the people."""

    def __init__(self) -> None:
        self.farm = builders.make_operation("here")
        self.theirs = builders.make_operation("elsewhere")
        self.people: dict[str, Person] = {}
        self.members: dict[str, Membership] = {}
        self._people()
        self._land()
        self._jobs()
        self._loads()
        self._tests()
        self._rules()
        self.file = self._file(self.farm, "office")
        self.their_file = self._file(self.theirs, "office_elsewhere")
        self._late_records()

    def _people(self) -> None:
        for role in ("crew", "hauler", "office", "owner", "planner", "inspector"):
            self._join(role, role)
        self._join("planner_without_grant", "planner")
        self._join("planner_revoked", "planner")
        self.people["stranger"] = builders.make_person("stranger")
        self.people["office_elsewhere"] = builders.make_person("office_elsewhere")
        builders.make_member(self.theirs, "office", self.people["office_elsewhere"])
        for name in ("planner", "inspector", "planner_revoked"):
            grant = builders.make_grant(self.members[name], *GRANT)
            if name == "planner_revoked":
                void(grant)

    def _join(self, name: str, role: str) -> None:
        self.people[name] = builders.make_person(name)
        self.members[name] = builders.make_member(self.farm, role, self.people[name])

    def _land(self) -> None:
        self.field = builders.make_field(self.farm)
        self.far_field = builders.make_field(self.farm)
        self.pit = builders.make_storage(self.farm)
        self.their_field = builders.make_field(self.theirs)
        self.their_pit = builders.make_storage(self.theirs)
        well = {"type": "Point", "coordinates": [-89.4975, 43.001]}
        self.feature = builders.make_feature(self.farm, "well_drinking", well)
        self.their_feature = builders.make_feature(self.theirs, "well_drinking", well)
        self.crop = self._crop(self.field)
        self.their_crop = self._crop(self.their_field)

    def _crop(self, field: Any) -> Any:
        return builders.make_planned_crop(builders.make_plan(field.operation), field, TODAY.year)

    def _jobs(self) -> None:
        for name in ("crew", "hauler"):
            builders.save(
                Job(
                    operation=self.farm,
                    membership=self.members[name],
                    storage=self.pit,
                    first_on=TODAY,
                    last_on=TODAY,
                    field_ids=[str(self.field.pk)],
                )
            )

    def _loads(self) -> None:
        self.crew_today = self.load("crew", TODAY)
        self.crew_14_days = self.load("crew", TODAY - dt.timedelta(days=14))
        self.crew_20_days = self.load("crew", TODAY - dt.timedelta(days=20))
        self.hauler_today = self.load("hauler", TODAY)
        self.of_the_office = self.load("office", TODAY, field=self.far_field)
        self.outside = self.load("office", LONG_AGO, field=self.far_field)
        self.waiting = self.load("office", TODAY, status="waiting")
        self.their_load = builders.make_load(self.their_field, self.their_pit, TODAY)

    def load(self, who: str, day: dt.date, field: Any = None, **values: Any) -> Any:
        """One load of a person of the farm."""
        return builders.make_load(
            field or self.field, self.pit, day, person=self.people[who], **values
        )

    def _tests(self) -> None:
        self.test = builders.make_manure_test(self.pit, dt.date(2026, 3, 1))
        self.test_outside = builders.make_manure_test(self.pit, dt.date(2022, 3, 1))
        self.test_rested_on = builders.make_manure_test(self.pit, dt.date(2025, 3, 1))
        self.load("office", TODAY, field=self.far_field, content_test=self.test_rested_on)
        self.their_test = builders.make_manure_test(self.their_pit, dt.date(2026, 3, 1))

    def _rules(self) -> None:
        self.condition = builders.make_condition(self.farm)
        self.their_condition = builders.make_condition(self.theirs)
        self.nitrogen = builders.make_nitrogen_choice(self.farm)
        self.their_nitrogen = builders.make_nitrogen_choice(self.theirs)
        self.confirmation = builders.save(
            RuleConfirmation(
                operation=self.farm,
                rule_id="VT-W-2",
                rule_fingerprint="0" * 64,
                document="an older text",
                confirmed_on=TODAY,
                confirmed_by="office",
            )
        )
        note_rulebook(self.farm)
        self.noted = rulebook().fingerprint

    def _file(self, operation: Any, who: str) -> IncomingFile:
        return builders.save(
            IncomingFile(
                operation=operation,
                kind="loads",
                name="loads.csv",
                sha256="0" * 64,
                size=10,
                person=self.people[who],
                came_in_at=clock.now(),
                came_in_on=TODAY,
            )
        )

    def _late_records(self) -> None:
        """One record that came after its year was filed, at each farm."""
        for farm, field in ((self.farm, self.field), (self.theirs, self.their_field)):
            days = {"from_on": dt.date(2022, 1, 1), "to_on": dt.date(2022, 12, 31)}
            builders.save(ClosedPeriod(operation=farm, **days))
            work = {"spread_on": dt.date(2022, 5, 1), "crop_year": 2022, "product": "urea"}
            builders.save(Fertilizer(operation=farm, field=field, **work))
        self.late = LateRecord.objects.get(operation=self.farm)
        self.their_late = LateRecord.objects.get(operation=self.theirs)

    def client(self, viewer: str, **options: Any) -> Client:
        """A browser in which the viewer is signed in."""
        client = Client(**options)
        if viewer != "anonymous":
            client.force_login(self.people[viewer])
        return client

    def heads(self) -> list[tuple[int, str]]:
        """How far each farm's log goes."""
        return list(Log.objects.order_by("pk").values_list("head_seq", "head_hash"))

    def load_form(self, **values: Any) -> dict[str, Any]:
        """What the form of a load sends."""
        return {
            "started": "2026-04-22T09:30",
            "amount_text": "6500",
            "amount_unit": "gal",
            "measured_by": "rated",
            "field_1": str(self.field.pk),
            "storage_1": str(self.pit.pk),
            "method": "surface",
            "ground": "dry",
            "origin": "own",
        } | values

    def condition_form(self, **values: Any) -> dict[str, Any]:
        """What the form of a permit condition sends."""
        return {
            "kind": "distance",
            "text": "Keep 150 ft from wells",
            "from_on": "2026-04-01",
            "document": "permit of 2026",
            "value": "150",
            "unit": "ft",
            "feature_kinds": ["well_drinking"],
        } | values

    def nitrogen_form(self, **values: Any) -> dict[str, Any]:
        """What the form of a choice of nitrogen system sends."""
        return {"system": "WI", "from_on": "2026-01-01", "document": "plan of 2026"} | values

    def form_of_a_test(self, **values: Any) -> dict[str, Any]:
        """What the form of a manure test sends."""
        return {
            "storage": str(self.pit.pk),
            "form": "liquid",
            "sampled_on": "2026-04-01",
            "basis": "as_is",
            "value_total_n": "25",
            "unit_total_n": "lb/1000 gal",
        } | values


def void(record: Any) -> None:
    """Take a record back, as an office would."""
    with write.change(by=builders.actor(), channel="web") as change:
        change.void(record, base_rev=record.rev, reason_code="void", reason_text="ended")


def nobody() -> uuid.UUID:
    """An id of nothing."""
    return uuid.uuid4()
