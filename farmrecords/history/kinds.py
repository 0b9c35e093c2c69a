"""What kind of table each table is, so that a test can list every one by name.

*Recorded* tables are written only through the history and can be rebuilt from it. *Chain* tables
are the history itself. *Derived* tables can be thrown away and computed again. *Account* tables
hold what concerns a person's sign-in and no operation's records.
"""

from typing import Any

from django.apps import apps
from django.db import models


class Chain(models.Model):
    """Base of the history's own tables."""

    class Meta:
        abstract = True


class Derived(models.Model):
    """Base of tables that can be thrown away and computed again; never in the log."""

    class Meta:
        abstract = True


class Account(models.Model):
    """Base of sign-in tables: persons, devices, throttles."""

    class Meta:
        abstract = True


def kind(model: type[models.Model]) -> str:
    """ "recorded", "part", "chain", "derived", "account", or "" when the class declares none."""
    from farmrecords.history.recorded import Recorded, RecordedPart

    owner: Any = model._meta.auto_created
    model = owner or model  # a many-to-many table goes with its owner
    bases: list[tuple[type[models.Model], str]] = [
        (Recorded, "recorded"), (RecordedPart, "part"), (Chain, "chain"), (Derived, "derived"),
        (Account, "account"),
    ]  # fmt: skip
    return next((name for base, name in bases if issubclass(model, base)), "")


def kinds(app_label: str = "farmrecords") -> dict[str, str]:
    """Every table of the project's app: model name -> kind."""
    found = apps.get_app_config(app_label).get_models(include_auto_created=True)
    return {model.__name__: kind(model) for model in found}
