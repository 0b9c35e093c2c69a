"""What the farm has: fields, features, practices, storages, animals, spreaders."""

from farmrecords.farm.models.land import (
    Feature,
    Field,
    FieldOrigin,
    FieldStack,
    FieldVersion,
    Practice,
)
from farmrecords.farm.models.statements import StatementOfNone
from farmrecords.farm.models.yard import AnimalCount, AnimalGroup, Spreader, Storage

__all__ = [
    "AnimalCount",
    "AnimalGroup",
    "Feature",
    "Field",
    "FieldOrigin",
    "FieldStack",
    "FieldVersion",
    "Practice",
    "Spreader",
    "StatementOfNone",
    "Storage",
]
