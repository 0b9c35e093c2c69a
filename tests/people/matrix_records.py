"""The common pages of records: each kind, page and role, as rows of the matrix."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from tests.people.world import World, nobody

OWN_PEOPLE = frozenset({"office", "owner"})
PLANNING = OWN_PEOPLE | {"planner"}
WHOLE = PLANNING | {"inspector"}
NOBODY: frozenset[str] = frozenset()

# Kind -> who sees its register, who writes it.
WHO = {
    **dict.fromkeys(
        (
            "transfers", "fertilizer", "harvests", "statements", "soil-tests", "inspections",
            "deficiencies", "discharges", "calibrations", "fields", "field-facts", "features",
            "storages", "spreaders", "animals", "animal-counts",
        ),
        (WHOLE, OWN_PEOPLE),
    ),
    "plans": (WHOLE, PLANNING),
    "crops": (WHOLE, PLANNING),
    "people": (OWN_PEOPLE, OWN_PEOPLE),
    "grants": (OWN_PEOPLE, OWN_PEOPLE),
}  # fmt: skip
Given = tuple[str, str, Callable[[World], list[Any]], frozenset[str]]


def _at(kind: str, thing: str = "") -> Callable[[World], list[Any]]:
    def args(world: World) -> list[Any]:
        if thing == "nothing":
            return [world.farm.slug, kind, nobody()]
        return [world.farm.slug, kind, *([_pk(world, thing)] if thing else [])]

    return args


def _pk(world: World, thing: str) -> Any:
    if thing.startswith("member_"):
        return world.members[thing.removeprefix("member_")].pk
    if thing == "grant":
        return world.members["inspector"].grants.get().pk
    return getattr(world, thing).pk


# Kind, its record at the farm, the same at the neighbour; the planner reads what the grant covers.
THINGS = (
    ("fields", "field", "their_field"),
    ("storages", "pit", "their_pit"),
    ("people", "member_crew", ""),
    ("grants", "grant", ""),
)


def given() -> Iterator[Given]:
    """Every row: name of the address, about what, its arguments, who may."""
    yield "records", "", lambda world: [world.farm.slug], WHOLE
    for name in ("register", "enter_record"):
        yield name, "no kind", _at("no-such-kind"), NOBODY
    for kind, (see, write) in WHO.items():
        yield "register", kind, _at(kind), see
        yield "enter_record", kind, _at(kind), write
        for name in ("record_page", "amend_record", "void_record"):
            yield name, f"{kind}, nothing", _at(kind, "nothing"), NOBODY
    for kind, own, theirs in THINGS:
        see, write = WHO[kind]
        for name in ("record_page", "amend_record", "void_record"):
            yield name, f"{kind}, own", _at(kind, own), see if name == "record_page" else write
            if theirs:
                yield name, f"{kind} of the other farm", _at(kind, theirs), NOBODY
    for name in ("amend_record", "void_record"):
        # Nobody changes the own access, and an owner's is changed by owners alone.
        yield name, "access of an owner", _at("people", "member_owner"), NOBODY
        yield name, "access of the office", _at("people", "member_office"), frozenset({"owner"})
    yield "operation_facts", "", lambda world: [world.farm.slug], PLANNING
    for name in ("feature_facts", "plan_facts"):
        yield name, "nothing", lambda world: [world.farm.slug, nobody()], NOBODY
