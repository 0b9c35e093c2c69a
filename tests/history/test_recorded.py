"""Recorded classes: what they declare, and that nothing passes by the history."""

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.db import models, transaction

from farmrecords.history import kinds, recorded
from farmrecords.history.errors import NotThroughHistory
from farmrecords.loads.models import Load, LoadPart
from farmrecords.people.models import Operation
from tests import builders
from tests.history.farms import change


def test_every_recorded_class_of_the_project_is_sound():
    from django.apps import apps

    assert recorded.faults(apps.get_app_config("farmrecords").get_models()) == []


def test_every_recorded_class_is_registered_by_a_name_of_its_own():
    from django.apps import apps

    found = {
        model for model in apps.get_app_config("farmrecords").get_models()
        if issubclass(model, recorded.Recorded)
    }  # fmt: skip
    assert set(recorded.registry().values()) == found
    assert recorded.registry()["load"] is Load


def test_a_class_says_where_it_belongs():
    said = recorded.declaration(Load)
    assert (said.log_lookup, said.day) == ("operation__log", "local_day")
    assert recorded.declaration(Operation).log_lookup == "log"
    assert [one.name for one in said.collections] == ["parts", "draws"]
    assert said.collections[0].model is LoadPart


def test_every_table_of_the_project_has_its_kind():
    assert [name for name, kind in kinds.kinds().items() if not kind] == []


@pytest.mark.parametrize(
    "inner",
    [{}, {"name": "x"}, {"name": "x", "operation": "operation"}],
    ids=["nothing", "no operation", "no day"],
)
def test_a_class_without_its_declaration_is_an_error_when_it_is_made(inner):
    body = {"__module__": __name__, "Meta": type("Meta", (), {"app_label": "trial"})}
    if inner:
        body["History"] = type("History", (), inner)
    with pytest.raises(ImproperlyConfigured, match="History"):
        type("Stray", (recorded.Recorded,), body)


def test_a_name_taken_by_another_class_is_an_error():
    said = {"name": "load", "operation": "operation", "day": None}
    body = {
        "__module__": __name__,
        "Meta": type("Meta", (), {"app_label": "trial"}),
        "History": type("History", (), said),
    }
    with pytest.raises(ImproperlyConfigured, match="both called 'load'"):
        type("OtherLoad", (recorded.Recorded,), body)


def saves(load):
    return [
        load.save,
        load.delete,
        lambda: load.parts.get().save(),
        lambda: load.parts.get().delete(),
        lambda: load.parts.all().delete(),
        lambda: Load.objects.update(method="injected"),
        lambda: Load.objects.filter(pk=load.pk).delete(),
        lambda: Load.objects.bulk_create([load]),
        lambda: Load.objects.bulk_update([load], ["method"]),
        lambda: Load.objects.create(method="injected"),
        lambda: load.operation.loads.create(method="injected"),
        lambda: Load.objects.get_or_create(id="00000000-0000-4000-8000-000000000009"),
        lambda: Load.objects.update_or_create(id=load.pk, defaults={"method": "injected"}),
        lambda: load.operation.loads.update(method="injected"),
    ]


@pytest.mark.parametrize("number", range(14))
def test_no_way_of_the_orm_passes_by_the_history(farm, number):
    load = farm.recorded()
    with pytest.raises(NotThroughHistory, match=r"write\.change"):
        saves(load)[number]()
    assert Load.objects.filter(pk=load.pk).values_list("method", "rev").get() == ("surface", 1)


def related(farm, load):
    """What the lists of related objects offer for writing, each against a list of records."""
    other = farm.recorded(spreader=None)
    twin, _parts = farm.load()
    spreader = load.spreader
    part = other.parts.get()
    loads = spreader.loads
    return {
        "add": lambda: loads.add(other),
        "add one by one": lambda: loads.add(other, bulk=False),
        "remove": lambda: loads.remove(load),
        "remove one by one": lambda: loads.remove(load, bulk=False),
        "clear": lambda: loads.clear(),
        "clear one by one": lambda: loads.clear(bulk=False),
        "set": lambda: loads.set([other]),
        "set to none": lambda: loads.set([], clear=True),
        "create": lambda: loads.create(method="injected"),
        "get or create": lambda: loads.get_or_create(method="injected"),
        "update or create": lambda: loads.update_or_create(
            id=load.pk, defaults={"method": "injected"}
        ),
        "update": lambda: loads.update(method="injected"),
        "delete": lambda: loads.all().delete(),
        "bulk create": lambda: loads.bulk_create([twin]),
        "bulk update": lambda: loads.bulk_update([load], ["method"]),
        "add a part": lambda: load.parts.add(part),
        "set parts": lambda: load.parts.set([part]),
        "base manager": lambda: Load._base_manager.update(method="injected"),
        "base manager of parts": lambda: LoadPart._base_manager.all().delete(),
    }


WAYS = (
    "add", "add one by one", "remove", "remove one by one", "clear", "clear one by one", "set",
    "set to none", "create", "get or create", "update or create", "update", "delete",
    "bulk create", "bulk update", "add a part", "set parts", "base manager",
    "base manager of parts",
)  # fmt: skip


@pytest.mark.parametrize("way", WAYS)
def test_no_list_of_related_objects_passes_by_the_history(farm, way):
    load = farm.recorded(spreader=builders.make_spreader(farm.operation))
    ways = related(farm, load)
    assert set(ways) == set(WAYS)
    before = list(Load.objects.order_by("pk").values()), list(LoadPart.objects.values())
    with pytest.raises(NotThroughHistory, match=r"write\.change"), transaction.atomic():
        ways[way]()
    assert (list(Load.objects.order_by("pk").values()), list(LoadPart.objects.values())) == before


def test_a_class_that_loses_the_guarded_base_manager_is_a_fault(monkeypatch):
    monkeypatch.setattr(Load._meta, "base_manager_name", "plain")
    monkeypatch.setitem(Load._meta.__dict__, "base_manager", models.Manager())
    assert any("base_manager_name" in said for said in recorded.faults([Load]))


def test_a_parent_cannot_be_deleted_from_under_its_records(farm):
    farm.recorded()
    with pytest.raises(models.ProtectedError):
        models.QuerySet(type(farm.fields[0])).filter(pk=farm.fields[0].pk).delete()
    with pytest.raises(models.ProtectedError):
        farm.log.delete()


def test_the_id_of_a_part_follows_from_its_record_and_number(farm):
    load, parts = farm.load()
    twin, twin_parts = farm.load(id=load.pk)
    with change() as under_way:
        under_way.create(load, parts)
    from farmrecords.history import prepare

    prepare.number_parts(twin, twin_parts)
    assert twin_parts["parts"][0].id == load.parts.get().id
