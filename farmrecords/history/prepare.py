"""Making a record ready to be written: numbers and ids of its parts, clean text, validation."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction
from django.utils.translation import gettext as _

from farmrecords.history import codec, replay
from farmrecords.history.recorded import Recorded, RecordedPart, columns, declaration, table

Parts = dict[str, list[Any]]
Row = tuple[Recorded, Parts]
BATCH = 500


def number_parts(obj: Recorded, parts: Parts) -> None:
    """Give every part its number (kept if it has one), its record and its id."""
    known = {collection.name: collection for collection in declaration(obj).collections}
    for name, members in parts.items():
        if name not in known:
            raise ValueError(
                f"{type(obj).__name__} has no parts called {name!r}; it has: {', '.join(known)}."
            )
        taken = [part.number for part in members if part.number]
        if len(taken) != len(set(taken)):
            raise ValueError(f"A number stands twice among the {name}: {taken}.")
        following = max(taken, default=0)
        for part in members:
            if not part.number:
                following += 1
            replay.numbered(known[name], obj, part, part.number or following)


def tidy(obj: models.Model) -> None:
    """Bring the text of a row into the form it is kept in."""
    for column in columns(type(obj)):
        value = getattr(obj, column.attname)
        tidied = codec.clean(column, value)
        if tidied is not value:
            setattr(obj, column.attname, tidied)


def coerce(obj: Recorded, parts: Parts, exclude_links: bool = False) -> None:
    """Tidy and convert every column of a record and its parts; refuse what is no value of it."""
    for row, apart in _rows(obj, parts):
        tidy(row)
        links = {f.name for f in columns(type(row)) if f.remote_field} if exclude_links else set()
        row.clean_fields(exclude=apart | links)


def validate(obj: Recorded, parts: Parts) -> None:
    """Everything Django checks of a record and its parts, and the record's own `clean_parts`."""
    for row, apart in _rows(obj, parts):
        tidy(row)
        row.full_clean(exclude=apart)
    _clean_parts(obj, parts)
    _check_links([(obj, parts)])


def validate_many(rows: Sequence[Row]) -> None:
    """The same for many records, with few questions to the database.

    What the database itself refuses (uniqueness, constraints) is found when the rows are written;
    see `insert_many`.
    """
    for index, (obj, parts) in enumerate(rows):
        with at_row(index):
            coerce(obj, parts, exclude_links=True)
            for row, _apart in _rows(obj, parts):
                row.clean()
            _clean_parts(obj, parts)
    _check_links(rows)


def insert_many(rows: Sequence[Row]) -> None:
    """Write rows and parts; a refusal of the database is told as the record's own error."""
    try:
        with transaction.atomic():
            _insert(rows)
    except IntegrityError:
        for index, (obj, parts) in enumerate(rows):
            with at_row(index):
                for row, apart in _rows(obj, parts):
                    row._state.adding = True
                    row.validate_unique(exclude=apart)
                    row.validate_constraints(exclude=apart)
        raise


class at_row:
    """Let a ValidationError say which of many records it is about (`error.row_index`)."""

    def __init__(self, index: int) -> None:
        self.index = index

    def __enter__(self) -> None:
        return None

    def __exit__(self, _kind: Any, error: Any, _trace: Any) -> None:
        if isinstance(error, ValidationError):
            error.row_index = self.index  # type: ignore[attr-defined]


def _rows(obj: Recorded, parts: Parts) -> Iterable[tuple[Any, set[str]]]:
    yield obj, set()
    parents = {collection.name: collection.parent for collection in declaration(obj).collections}
    for name, members in parts.items():
        for part in members:
            yield part, {parents[name]}


def _clean_parts(obj: Recorded, parts: Parts) -> None:
    check = getattr(obj, "clean_parts", None)
    if check is not None:
        names = [collection.name for collection in declaration(obj).collections]
        check({name: parts.get(name, []) for name in names})


def _insert(rows: Sequence[Row]) -> None:
    by_model: dict[type[models.Model], list[Any]] = defaultdict(list)
    for obj, _parts in rows:
        by_model[type(obj)].append(obj)
    for _obj, parts in rows:
        for members in parts.values():
            for part in members:
                by_model[type(part)].append(part)
    for model, members in by_model.items():
        table(model).bulk_create(members, batch_size=BATCH)


def _check_links(rows: Sequence[Row]) -> None:
    """Every foreign key must find its record of the same operation, stored or in this batch."""
    wanted: dict[tuple[Any, Any], set[Any]] = defaultdict(set)
    batch: dict[type[models.Model], dict[Any, Any]] = defaultdict(dict)
    for obj, parts in rows:
        own_log = declaration(obj).operation_of(obj).log_id
        batch[type(obj)][obj.pk] = own_log
        for row, apart in _rows(obj, parts):
            for field in columns(type(row)):
                if field.remote_field and field.name not in apart:
                    wanted[field, own_log].add(getattr(row, field.attname))
    for (field, own_log), keys in wanted.items():
        here = {key for key, log in batch[field.related_model].items() if log == own_log}
        _check_link(field, keys - {None} - here, own_log)


def _check_link(field: Any, keys: set[Any], own_log: Any) -> None:
    """A record of another operation is refused as if it did not exist."""
    asked, name = list(keys), field.target_field.attname
    same_log = {}
    if issubclass(field.related_model, Recorded):
        same_log = {declaration(field.related_model).log_lookup: own_log}
    for start in range(0, len(asked), BATCH):
        some = asked[start : start + BATCH]
        stored = table(field.related_model).filter(**{f"{name}__in": some}, **same_log)
        missing = set(some) - set(stored.values_list(name, flat=True))
        if missing:
            raise ValidationError(
                {
                    field.name: _("There is no %(kind)s with the number %(key)s.")
                    % {"kind": field.related_model._meta.verbose_name, "key": missing.pop()}
                }
            )


def rewrite_parts(obj: Recorded, stored: Parts, wanted: Parts) -> None:
    """Bring the tables of the given collections from `stored` to `wanted`."""
    for collection in declaration(obj).collections:
        if collection.name not in wanted:
            continue
        before = {part.id: part for part in stored[collection.name]}
        after = {part.id: part for part in wanted[collection.name]}
        rows = table(collection.model)
        rows.filter(pk__in=before.keys() - after.keys()).delete()
        rows.bulk_create([part for key, part in after.items() if key not in before])
        for key in before.keys() & after.keys():
            update_row(after[key], before[key])


def update_row(row: models.Model, before: models.Model) -> None:
    """Write the columns of a row that differ from what is stored."""
    values = {
        column.attname: getattr(row, column.attname)
        for column in columns(type(row))
        if codec.encode(column, getattr(row, column.attname))
        != codec.encode(column, getattr(before, column.attname))
    }
    if isinstance(row, RecordedPart) and not values:
        return
    if isinstance(row, Recorded):
        values |= {"rev": row.rev, "voided": row.voided, "recorded_at": row.recorded_at}
    table(type(row)).filter(pk=row.pk).update(**values)
