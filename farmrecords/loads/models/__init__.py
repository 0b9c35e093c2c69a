"""What was done: loads with their parts and draws, and the other work on the fields."""

from farmrecords.loads.models.facts import LoadFacts
from farmrecords.loads.models.load import Load, LoadDraw, LoadPart
from farmrecords.loads.models.work import (
    Fertilizer,
    Harvest,
    Invoice,
    Planting,
    Stop,
    Tillage,
    Transfer,
)

__all__ = [
    "Fertilizer",
    "Harvest",
    "Invoice",
    "Load",
    "LoadDraw",
    "LoadFacts",
    "LoadPart",
    "Planting",
    "Stop",
    "Tillage",
    "Transfer",
]
