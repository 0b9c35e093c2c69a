"""The base classes of everything that is recorded: written once, amended or voided, never lost.

A recorded class declares where it belongs in an inner class::

    class Load(Recorded):
        class History:
            name = "load"            # the kind of record in the log, never changed later
            operation = "operation"  # dotted path to an object that has `.log`; "self" for itself
            day = "local_day"        # the column or property that says its day, or None
            parts = ("parts", "draws")  # reverse names of its child collections

    class Part(RecordedPart):
        load = models.ForeignKey(Load, on_delete=models.PROTECT, related_name="parts")
        class History:
            parent = "load"

Optional in the first: `create_act`, the event a new record is logged as ("grant", "plan_version");
`waits = False` for a class whose day is no day of what was done, so that it never comes late.
"""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, NoReturn

from django.apps import apps
from django.core import checks
from django.core.exceptions import ImproperlyConfigured
from django.db import models
from django.db.models.signals import class_prepared
from django.utils.translation import gettext_lazy as _

from farmrecords.history import codec
from farmrecords.history.errors import NotThroughHistory

_BY_NAME: dict[str, type["Recorded"]] = {}
_ROW_COLUMNS = ("id", "rev", "voided", "recorded_at")


def _refused(what: str) -> NoReturn:
    raise NotThroughHistory(
        f"{what} would pass by the history. Write it with `write.change(...)`: create, "
        "create_many, amend, void or restore (farmrecords/history/write.py)."
    )


class RecordedQuerySet(models.QuerySet[Any]):
    """Reads everything, writes nothing."""

    def update(self, **values: Any) -> int:
        _refused(f"QuerySet.update() on {self.model.__name__}")

    def delete(self) -> tuple[int, dict[str, int]]:
        _refused(f"QuerySet.delete() on {self.model.__name__}")

    def _raw_delete(self, using: Any) -> int:
        _refused(f"Deleting rows of {self.model.__name__}")

    def bulk_create(self, *args: Any, **kwargs: Any) -> list[Any]:
        _refused(f"QuerySet.bulk_create() on {self.model.__name__}")

    def bulk_update(self, *args: Any, **kwargs: Any) -> int:
        _refused(f"QuerySet.bulk_update() on {self.model.__name__}")

    def create(self, **values: Any) -> Any:
        _refused(f"QuerySet.create() on {self.model.__name__}")

    def _update(self, values: Any, *args: Any) -> int:
        _refused(f"Updating rows of {self.model.__name__}")

    def _insert(self, *args: Any, **kwargs: Any) -> Any:
        _refused(f"Inserting rows of {self.model.__name__}")


RecordedManager = models.Manager.from_queryset(RecordedQuerySet, class_name="RecordedManager")


class _Guarded(models.Model):
    objects = RecordedManager()

    class Meta:
        abstract = True
        base_manager_name = "objects"  # the lists of related objects write through this one

    def save(self, *args: Any, **kwargs: Any) -> None:
        _refused(f"{type(self).__name__}.save()")

    def save_base(self, *args: Any, **kwargs: Any) -> None:
        _refused(f"{type(self).__name__}.save_base()")

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        _refused(f"{type(self).__name__}.delete()")


class Recorded(_Guarded):
    """A record: its own id, its revision, whether it counts, and when it was first recorded."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    rev = models.PositiveIntegerField(_("revision"), default=1, editable=False)
    voided = models.BooleanField(_("void"), default=False, editable=False)
    recorded_at = models.DateTimeField(_("recorded at"), editable=False, null=True)

    class Meta(_Guarded.Meta):
        abstract = True


class RecordedPart(_Guarded):
    """A numbered part of a record; it changes only with the record it belongs to."""

    id = models.UUIDField(primary_key=True, editable=False)
    number = models.PositiveSmallIntegerField(_("number"), editable=False)

    class Meta(_Guarded.Meta):
        abstract = True


@dataclass(frozen=True)
class Collection:
    """One child collection of a recorded class."""

    name: str
    model: type[RecordedPart]
    parent: str

    def part_id(self, root_id: uuid.UUID, number: int) -> uuid.UUID:
        """The id a part always has: it follows from its record, collection and number."""
        return uuid.uuid5(root_id, f"{self.name}/{number}")


@dataclass(frozen=True)
class Declaration:
    """What a recorded class says about itself."""

    model: type[Recorded]
    name: str
    operation: str
    day: str | None
    part_names: tuple[str, ...]
    create_act: str
    waits: bool

    @property
    def collections(self) -> tuple[Collection, ...]:
        """The child collections, in the declared order."""
        return tuple(_collection(self.model, name) for name in self.part_names)

    def operation_of(self, obj: Recorded) -> Any:
        """The object with the log this record belongs to."""
        found: Any = obj
        for step in steps(self.operation):
            found = getattr(found, step)
        return found

    @property
    def log_lookup(self) -> str:
        """The query path from this class to its log."""
        return "__".join((*steps(self.operation), "log"))


def steps(path: str) -> list[str]:
    """The attribute names of a dotted path; none for "self"."""
    return [] if path in ("", "self") else path.replace("__", ".").split(".")


def columns(model: type[models.Model]) -> list[Any]:
    """The columns of a recorded class or part that the log's bodies carry."""
    parent = getattr(getattr(model, "History", None), "parent", None)
    apart = ("id", "number", parent) if issubclass(model, RecordedPart) else _ROW_COLUMNS
    return [
        field
        for field in model._meta.concrete_fields
        if field.name not in apart and not getattr(field, "generated", False)
    ]


def declaration(of: Any) -> Declaration:
    """The declaration of a recorded class, an object of it, or a name of the log."""
    model = _BY_NAME.get(of) if isinstance(of, str) else of if isinstance(of, type) else type(of)
    if model is None:
        raise KeyError(f"No recorded class is called {of!r} in the log.")
    declared: Declaration = model._declared  # type: ignore[attr-defined]
    return declared


def table(model: Any) -> Any:
    """The rows of a class as the history itself reads and writes them, past all guards."""
    return models.QuerySet(model)


def registry() -> dict[str, type[Recorded]]:
    """Every recorded class that has a table here, by its name in the log."""
    return {
        name: model for name, model in sorted(_BY_NAME.items())
        if model._meta.app_label in apps.app_configs
    }  # fmt: skip


def _collection(model: type[Recorded], name: str) -> Collection:
    relation: Any = getattr(model, name, None)
    if not hasattr(relation, "rel"):
        raise ImproperlyConfigured(
            f"{model.__name__}.History.parts names {name!r}; no foreign key of a part has it as "
            "its related_name."
        )
    part = relation.rel.related_model
    return Collection(name, part, relation.rel.field.name)


def _prepare(sender: type[models.Model], **_kwargs: Any) -> None:
    if issubclass(sender, Recorded):
        _declare(sender)
    elif issubclass(sender, RecordedPart) and not _named(sender, "parent"):
        _undeclared(sender, 'parent = "<foreign key to its record>"')


def _declare(model: type[Recorded]) -> None:
    if not (_named(model, "name") and _named(model, "operation")):
        _undeclared(model, 'name = "..." and operation = "..."')
    said = model.History  # type: ignore[attr-defined]
    if not hasattr(said, "day"):
        _undeclared(model, "day = the name of its day, or None")
    other = _BY_NAME.get(said.name)
    if other is not None and other._meta.label != model._meta.label:
        raise ImproperlyConfigured(
            f"{model.__name__} and {other.__name__} are both called {said.name!r} in the log."
        )
    model._declared = Declaration(  # type: ignore[attr-defined]
        model, said.name, said.operation, said.day, tuple(getattr(said, "parts", ())),
        getattr(said, "create_act", "create"), bool(said.day) and getattr(said, "waits", True),
    )  # fmt: skip
    _BY_NAME[said.name] = model


def _named(model: type[models.Model], what: str) -> bool:
    return isinstance(getattr(getattr(model, "History", None), what, None), str)


def _undeclared(model: type[models.Model], what: str) -> NoReturn:
    raise ImproperlyConfigured(
        f"{model.__module__}.{model.__name__} is recorded and must say where it belongs: "
        f"an inner `class History:` with {what}. See farmrecords/history/recorded.py."
    )


class_prepared.connect(_prepare, dispatch_uid="history.recorded")


def faults(models_: Iterable[type[models.Model]]) -> list[str]:
    """What is wrong with recorded classes, for the system check: one sentence each."""
    found: list[str] = []
    for model in models_:
        if not issubclass(model, Recorded | RecordedPart):
            continue
        found += _faults_of(model)
    return found


@checks.register()
def check_recorded(**_kwargs: Any) -> list[checks.CheckMessage]:
    """The system check: every recorded class can be written to the log and read back."""
    return [checks.Error(said, id="farmrecords.E001") for said in faults(apps.get_models())]


def _faults_of(model: type[models.Model]) -> Iterable[str]:
    if not isinstance(model._default_manager.all(), RecordedQuerySet):
        yield f"{model.__name__}: its manager must come from RecordedQuerySet."
    if not isinstance(model._base_manager.all(), RecordedQuerySet):
        yield f'{model.__name__}: its Meta must keep base_manager_name = "objects".'
    if model._meta.many_to_many:
        yield f"{model.__name__}: a many-to-many table is not in the log; use parts."
    for field in columns(model):
        try:
            codec.codec_of(field)
        except TypeError as error:
            yield f"{model.__name__}: {error}"
    for field in model._meta.concrete_fields:
        remote = field.remote_field
        if remote is not None and remote.on_delete is not models.PROTECT:
            yield f"{model.__name__}.{field.name}: must be on_delete=PROTECT."
    if issubclass(model, Recorded):
        for collection in declaration(model).collections:
            if getattr(collection.model, "History", None) is None:
                yield f"{model.__name__}.{collection.name}: not a RecordedPart."
