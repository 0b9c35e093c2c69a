"""The only door to a record: who may see it, and who may do what.

A view names the action it needs and receives a `Seat`: the person, the operation, the role taken.
Records are fetched with `records` and `record`, which show what the seat may see and nothing else;
what is not shown is the same 404 as what does not exist. Rooms further down the way of the manure
register how their records are narrowed for the crew, and which records a period rests on.
"""

from __future__ import annotations

import datetime as dt
import functools
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone

from farmrecords.history import clock
from farmrecords.history.read import history_of
from farmrecords.history.recorded import Recorded
from farmrecords.history.write import Actor
from farmrecords.people.dated import Dated
from farmrecords.people.models import Membership, Operation, Person

# Who may do what (the table of roles). An action missing here is refused to everybody.
RIGHTS: dict[str, frozenset[str]] = {
    "see": frozenset({"crew", "hauler", "office", "owner", "planner", "inspector"}),
    "see_whole_log": frozenset({"office", "owner", "planner", "inspector"}),
    "see_storages": frozenset({"crew", "office", "owner", "planner", "inspector"}),
    "see_measurements": frozenset({"office", "owner", "planner", "inspector"}),
    "see_report": frozenset({"office", "owner", "planner", "inspector"}),
    "enter_load": frozenset({"crew", "hauler", "office", "owner"}),
    "enter_level": frozenset({"crew", "office", "owner"}),
    "enter_measurement": frozenset({"office", "owner"}),
    "amend_load": frozenset({"crew", "hauler", "office", "owner"}),
    "amend": frozenset({"office", "owner"}),
    "void": frozenset({"office", "owner"}),
    "import": frozenset({"office", "owner"}),
    "decide_waiting": frozenset({"owner"}),
    "enter_plan": frozenset({"office", "owner", "planner"}),
    "see_permit": frozenset({"office", "owner", "planner", "inspector"}),
    "enter_permit": frozenset({"office", "owner", "planner"}),
    "ask_ahead": frozenset({"crew", "hauler", "office", "owner", "planner"}),
    "try_draft_rules": frozenset({"office", "owner", "planner"}),
    "confirm_rule": frozenset({"office", "owner", "planner"}),
    "file": frozenset({"owner"}),
    "grant": frozenset({"office", "owner"}),
}
ROLES_STRONGEST_FIRST = ("owner", "office", "planner", "inspector", "hauler", "crew")
BY_PERIOD = frozenset({"planner", "inspector"})
NARROWED = frozenset({"crew", "hauler"})
OWN_LOADS_DAYS = 14

M = TypeVar("M", bound=models.Model)
Period = tuple[dt.date, dt.date]
CrewView = Callable[["Seat"], Q]
Support = Callable[["Seat", dt.date, dt.date], Q]
_crew_views: dict[type[models.Model], CrewView] = {}
_supports: dict[type[models.Model], Support] = {}
_granted: dict[type[models.Model], Support] = {}


@dataclass(frozen=True)
class Seat:
    """One person at one operation in one role, on one day."""

    person: Person
    operation: Operation
    role: str
    membership: Membership
    periods: tuple[Period, ...]
    today: dt.date

    def may(self, action: str) -> bool:
        """Whether the role has the right."""
        return self.role in RIGHTS.get(action, frozenset())

    @property
    def role_words(self) -> str:
        """The role in the language of the page."""
        return str(self.membership.get_role_display())

    @property
    def actor(self) -> Actor:
        """The name the log knows this person by, with the role used."""
        return Actor(id=self.person.pk, role=self.role)

    def sees_day(self, day: dt.date) -> bool:
        """Whether the day is within the grant; always so for the operation's own people."""
        return self.role not in BY_PERIOD or any(a <= day <= b for a, b in self.periods)

    def narrowed_periods(self, first: dt.date, last: dt.date) -> list[Period]:
        """The parts of a period that the seat may see, oldest first."""
        if self.role not in BY_PERIOD:
            return [(first, last)]
        return [(max(a, first), min(b, last)) for a, b in self.periods if a <= last and b >= first]

    def narrowed_period(self, first: dt.date, last: dt.date) -> Period | None:
        """The part of a period that the seat may see, or None.

        Of several parts the latest that has begun; `narrowed_periods` gives all.
        """
        parts = self.narrowed_periods(first, last)
        begun = [part for part in parts if part[0] <= self.today]
        return next(iter(begun[-1:] or parts[:1]), None)


def register_crew_view(model: type[models.Model], view: CrewView) -> None:
    """State which records of a class a crew member or hauler sees; unregistered classes: none."""
    _crew_views[model] = view


def register_support(model: type[models.Model], support: Support) -> None:
    """State which records of a class the records of a period rest on, beyond its own days."""
    _supports[model] = support


def register_granted(model: type[models.Model], granted: Support) -> None:
    """State which records of a class without a day of its own belong to a granted period."""
    _granted[model] = granted


def seats_of(person: Person) -> list[Seat]:
    """Every operation the person may enter today, with the strongest role in each.

    Who holds several grants there, even by several memberships, reads the periods of all.
    """
    found: dict[Any, Seat] = {}
    rows = (
        Membership.objects.filter(person=person, voided=False, operation__voided=False)
        .select_related("operation", "person")
        .prefetch_related("grants")
        .order_by("-from_on", "id")
    )
    for membership in rows:
        seat = _seat(membership)
        if seat is None:
            continue
        known = found.get(membership.operation_id, seat)
        first, other = sorted((known, seat), key=_rank)
        if first.role in BY_PERIOD:
            first = replace(first, periods=_joined([*first.periods, *other.periods]))
        found[membership.operation_id] = first
    return sorted(found.values(), key=lambda seat: seat.operation.name)


def _joined(periods: list[Period]) -> tuple[Period, ...]:
    """Periods in order, those that touch or overlap made one."""
    found: list[Period] = []
    for first, last in sorted(periods):
        if found and (first - found[-1][1]).days <= 1:
            found[-1] = found[-1][0], max(found[-1][1], last)
        else:
            found.append((first, last))
    return tuple(found)


def _rank(seat: Seat) -> int:
    return ROLES_STRONGEST_FIRST.index(seat.role)


def _seat(membership: Membership) -> Seat | None:
    today = clock.today(membership.operation.time_zone)
    if membership.from_on > today or (membership.to_on and membership.to_on < today):
        return None
    periods: tuple[Period, ...] = ()
    if membership.role in BY_PERIOD:
        periods = _joined(
            [
                (grant.period_from_on, grant.period_to_on)
                for grant in membership.grants.all()
                if not grant.voided and (grant.ends_on is None or grant.ends_on >= today)
            ]
        )
        if not periods:
            return None
    return Seat(
        person=membership.person,
        operation=membership.operation,
        role=membership.role,
        membership=membership,
        periods=periods,
        today=today,
    )


def seat_for(person: Person, slug: str) -> Seat:
    """The person's seat at the operation, or the same 404 as for one that does not exist."""
    for seat in seats_of(person):
        if seat.operation.slug == slug:
            return seat
    raise Http404


def seated(action: str) -> Callable[[Callable[..., HttpResponse]], Callable[..., HttpResponse]]:
    """Give a view its seat as second argument, if the role has the right; otherwise 404."""

    def wrap(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        @login_required
        @functools.wraps(view)
        def inner(request: HttpRequest, op: str, *args: Any, **kwargs: Any) -> HttpResponse:
            seat = seat_for(request.user, op)  # type: ignore[arg-type]
            if not seat.may(action):
                raise Http404
            request.seat = seat  # type: ignore[attr-defined]
            # Every time on the page is one of the farm's clock, whoever reads it from wherever.
            with timezone.override(seat.operation.zone):
                return view(request, seat, *args, **kwargs)

        inner.needs = action  # type: ignore[attr-defined]
        return inner

    return wrap


def records(seat: Seat, model: type[M]) -> Any:
    """The records of a class that the seat may see, void ones included."""
    history = model.History  # type: ignore[attr-defined]
    path = history.operation
    of_operation = Q(pk=seat.operation.pk) if path == "" else Q(**{path: seat.operation})
    rows = model._default_manager.filter(of_operation)
    if seat.role in NARROWED:
        view = _crew_views.get(model)
        return rows.filter(view(seat)) if view else rows.none()
    if seat.role in BY_PERIOD:
        return rows.filter(_within_grant(seat, model, history.day))
    return rows


def _within_grant(seat: Seat, model: type[models.Model], day: str | None) -> Q:
    allowed = Q(pk__in=[])
    support = _supports.get(model)
    for first, last in seat.periods:
        if day is not None:
            allowed |= Q(**{f"{day}__gte": first, f"{day}__lte": last})
        elif granted := _granted.get(model):
            allowed |= granted(seat, first, last)
        elif issubclass(model, Dated):
            allowed |= Q(from_on__lte=last) & (Q(to_on__isnull=True) | Q(to_on__gte=first))
        else:
            return Q()
        if support:
            allowed |= support(seat, first, last)
    return allowed


def record(seat: Seat, model: type[M], pk: Any, queryset: Any = None) -> M:
    """One record the seat may see, or 404. `queryset` may add joins to what `records` gave."""
    rows = records(seat, model) if queryset is None else queryset
    try:
        return rows.get(pk=pk)
    except (model.DoesNotExist, ValidationError, ValueError) as error:  # type: ignore[attr-defined]
        raise Http404 from error


def may_correct(seat: Seat, found: Recorded) -> bool:
    """Who may enter a plan or permit fact also corrects it; the planner only what is their own.

    A planner adds a new version to a farm's plan and changes nothing that the farm entered.
    """
    if seat.role != "planner":
        return True
    return history_of(found)[0].actor_id == seat.person.pk


def may_amend_load(seat: Seat, load: Any) -> bool:
    """Crew and haulers amend their own load on its own day; office and owner any open one."""
    if not seat.may("amend_load") or load.voided:
        return False
    if seat.role in NARROWED:
        return load.person_id == seat.person.pk and load.local_day == seat.today
    return True
