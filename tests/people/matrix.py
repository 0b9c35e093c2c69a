"""The addresses of the project with one object each, and who may open them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from tests.people.matrix_records import given
from tests.people.world import VIEWERS, World, nobody

# The table of actions.
SEE = frozenset({"crew", "hauler", "office", "owner", "planner", "inspector"})
WHOLE = SEE - {"crew", "hauler"}
OWN_PEOPLE = frozenset({"office", "owner"})
PLANNING = frozenset({"office", "owner", "planner"})
TO_CONFIRM = "VT-W-2"
NOBODY: frozenset[str] = frozenset()
ELSEWHERE = frozenset({"office_elsewhere"})
MEMBERS_AND_STRANGERS = frozenset(VIEWERS) - {"anonymous"}
YEAR, PERIOD, PAST = 2026, ("2026-01-01", "2026-12-31"), ("2023-01-01", "2023-12-31")

# A load is amended by its driver on its day, otherwise by the farm's office.
AMENDABLE = {
    "crew_today": OWN_PEOPLE | {"crew"},
    "crew_14_days": OWN_PEOPLE,
    "crew_20_days": OWN_PEOPLE,
    "hauler_today": OWN_PEOPLE | {"hauler"},
    "of_the_office": OWN_PEOPLE,
    "waiting": OWN_PEOPLE,
    "outside": OWN_PEOPLE,
}


@dataclass(frozen=True)
class Row:
    """One address with one object, who gets it, and with which status."""

    name: str
    about: str
    args: Callable[[World], list[Any]]
    may: frozenset[str]
    ok: int = 200
    anonymous: int = 302

    def expected(self, viewer: str) -> int:
        if viewer in self.may:
            return self.ok
        return self.anonymous if viewer == "anonymous" else 404


def here(*rest: Any) -> Callable[[World], list[Any]]:
    return lambda world: [world.farm.slug, *rest]


def of(name: str, *rest: Any) -> Callable[[World], list[Any]]:
    return lambda world: [world.farm.slug, getattr(world, name).pk, *rest]


def gone(*rest: Any) -> Callable[[World], list[Any]]:
    return lambda world: [world.farm.slug, nobody(), *rest]


def loads_rows(name: str, may: dict[str, frozenset[str]]) -> Iterator[Row]:
    """The rows of an address of one load, over all kinds of loads."""
    for about in (
        "crew_today", "crew_14_days", "crew_20_days", "hauler_today", "of_the_office", "outside",
        "waiting", "their_load",
    ):  # fmt: skip
        yield Row(name, about, of(about), may.get(about, NOBODY))
    yield Row(name, "nothing", gone(), NOBODY)


ROWS: list[Row] = [
    Row("home", "", lambda _w: [], frozenset({"stranger"})),
    Row("start", "own farm", here(), SEE),
    Row("start", "other farm", lambda w: [w.theirs.slug], frozenset({"office_elsewhere"})),
    Row("start", "no farm", lambda _w: ["no-such-farm"], NOBODY),
    Row("fields", "", here(), SEE),
    Row("field", "of a job", of("field"), SEE, 302),
    Row("field", "of no job", of("far_field"), WHOLE, 302),
    Row("field", "of the other farm", of("their_field"), NOBODY),
    Row("field", "nothing", gone(), NOBODY),
    Row("field_year", "of a job", of("field", YEAR), SEE),
    Row("field_year", "of no job", of("far_field", YEAR), WHOLE),
    Row("field_year", "before the grant", of("far_field", 2023), OWN_PEOPLE),
    Row("field_year", "of the other farm", of("their_field", YEAR), NOBODY),
    Row("field_year", "nothing", gone(YEAR), NOBODY),
    Row("field_facts", "of a job", of("field"), OWN_PEOPLE),
    Row("field_facts", "of no job", of("far_field"), OWN_PEOPLE),
    Row("field_facts", "of the other farm", of("their_field"), NOBODY),
    Row("field_facts", "nothing", gone(), NOBODY),
    *(
        Row(name, about, args, may if about == "own" else NOBODY)
        for name, thing, may in (
            ("feature_facts", "feature", OWN_PEOPLE),
            ("plan_facts", "crop", PLANNING),
        )
        for about, args in (
            ("own", of(thing)),
            ("of the other farm", of(f"their_{thing}")),
            ("nothing", gone()),
        )
    ),
    Row("operation_facts", "", here(), PLANNING),
    Row("operation_facts", "other farm", lambda w: [w.theirs.slug], ELSEWHERE),
    Row("ground", "of a job", of("field"), SEE),
    Row("ground", "of no job", of("far_field"), WHOLE),
    Row("ground", "of the other farm", of("their_field"), NOBODY),
    Row("ground", "nothing", gone(), NOBODY),
    Row("loads", "", here(), SEE),
    Row("enter_load", "", here(), SEE - {"planner", "inspector"}),
    *loads_rows(
        "load",
        {
            "crew_today": SEE - {"hauler"},
            "crew_14_days": SEE - {"hauler"},
            "crew_20_days": WHOLE,
            "hauler_today": SEE - {"crew"},
            "of_the_office": WHOLE,
            "waiting": WHOLE,
            "outside": OWN_PEOPLE,
        },
    ),
    *loads_rows("amend_load", AMENDABLE),
    *loads_rows("load_facts", AMENDABLE),
    *loads_rows(
        "void_load",
        dict.fromkeys(
            (
                "crew_today",
                "crew_14_days",
                "crew_20_days",
                "hauler_today",
                "of_the_office",
                "waiting",
                "outside",
            ),
            OWN_PEOPLE,
        ),
    ),
    *loads_rows("decide_waiting", {"waiting": frozenset({"owner"})}),
    Row("storages", "", here(), SEE - {"hauler"}),
    Row("storage", "own", of("pit"), SEE - {"hauler"}),
    Row("storage", "of the other farm", of("their_pit"), NOBODY),
    Row("storage", "nothing", gone(), NOBODY),
    Row("enter_level", "own", of("pit"), OWN_PEOPLE | {"crew"}),
    Row("enter_level", "of the other farm", of("their_pit"), NOBODY),
    Row("enter_level", "nothing", gone(), NOBODY),
    Row("tests", "", here(), WHOLE),
    Row("enter_manure_test", "", here(), OWN_PEOPLE),
    Row("manure_test", "in the grant", of("test"), WHOLE),
    Row("manure_test", "before the grant", of("test_outside"), OWN_PEOPLE),
    Row("manure_test", "before the grant, used in it", of("test_rested_on"), WHOLE),
    Row("manure_test", "of the other farm", of("their_test"), NOBODY),
    Row("manure_test", "nothing", gone(), NOBODY),
    Row("late_result", "own", of("test"), OWN_PEOPLE),
    Row("late_result", "of the other farm", of("their_test"), NOBODY),
    Row("late_result", "nothing", gone(), NOBODY),
    Row("worksheets", "", here(), WHOLE),
    Row("worksheet", "known", here("load_rate"), WHOLE),
    Row("worksheet", "nothing", here("no-such-sheet"), NOBODY),
    Row("coverage", "", here(), SEE),
    Row("rule", "known", here("US-SB-1"), SEE),
    Row("rule", "nothing", here("no-such-rule"), NOBODY),
    Row("confirm_rule", "of a secondary source", here(TO_CONFIRM), PLANNING),
    Row("confirm_rule", "read in the text itself", here("US-SB-1"), NOBODY),
    Row("void_confirmation", "own", of("confirmation"), PLANNING),
    Row("void_confirmation", "nothing", gone(), NOBODY),
    Row("rules_text", "noted", lambda w: [w.farm.slug, w.noted], WHOLE),
    Row("rules_text", "never noted", here("0" * 64), NOBODY),
    Row("draft_rules", "", here(), PLANNING),
    Row("may_i_spread", "", here(), SEE - {"inspector"}),
    Row("forecast", "", here(), SEE - {"planner", "inspector"}),
    Row("permit", "", here(), WHOLE),
    Row("enter_condition", "", here(), PLANNING),
    *(
        Row(name, about, of(thing), may if thing == "condition" else NOBODY)
        for name, may in (
            ("permit_condition", WHOLE),
            ("amend_condition", OWN_PEOPLE),
            ("void_condition", OWN_PEOPLE),
        )
        for about, thing in (("own", "condition"), ("of the other farm", "their_condition"))
    ),
    Row("permit_condition", "nothing", gone(), NOBODY),
    Row("nitrogen", "", here(), WHOLE),
    Row("enter_nitrogen", "", here(), PLANNING),
    *(
        Row(name, about, of(thing), may if thing == "nitrogen" else NOBODY)
        for name, may in (
            ("nitrogen_choice", WHOLE),
            ("amend_nitrogen", OWN_PEOPLE),
            ("void_nitrogen", OWN_PEOPLE),
        )
        for about, thing in (("own", "nitrogen"), ("of the other farm", "their_nitrogen"))
    ),
    Row("nitrogen_choice", "nothing", gone(), NOBODY),
    *(Row(*row) for row in given()),
    Row("import", "", here(), OWN_PEOPLE),
    Row("incoming_file", "own", of("file"), OWN_PEOPLE),
    Row("incoming_file", "of the other farm", of("their_file"), NOBODY),
    Row("incoming_file", "nothing", gone(), NOBODY),
    Row("work", "nothing", gone(), NOBODY),
    Row("proposed_loads", "own, with none", of("file"), OWN_PEOPLE, 302),
    Row("proposed_loads", "of the other farm", of("their_file"), NOBODY),
    Row("proposed_loads", "nothing", gone(), NOBODY),
    Row("late_records", "", here(), WHOLE),
    Row("late_records", "other farm", lambda w: [w.theirs.slug], frozenset({"office_elsewhere"})),
    Row("report", "", here(), WHOLE),
    *(
        Row(name, about, here(*days), may)
        for name in ("report_period", "report_pdf", "report_json")
        for about, days, may in (
            ("in the grant", PERIOD, WHOLE),
            ("before the grant", PAST, OWN_PEOPLE),
            ("no days", ("spring", "autumn"), NOBODY),
        )
    ),
]
# Addresses without a record behind them, tested on their own below.
OPEN = {"sign_in", "sign_out", "set_language"}
