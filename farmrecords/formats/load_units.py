"""What people call the units of a load, and which of the names can mean two things."""

from __future__ import annotations

from decimal import Decimal

from farmrecords.formats.common import Choice, Question

# unit -> what it measures; the unit's own name is the one the calculations use
UNIT_KINDS = {
    "gal": "gal",
    "kgal": "gal",
    "ac_in": "gal",
    "ft3": "gal",
    "yd3": "gal",
    "bu": "gal",
    "L": "gal",
    "m3": "gal",
    "lb": "lb",
    "ton": "lb",
    "kg": "lb",
    "tonne": "lb",
    "load": "",
}

_NAMES = {
    "gal": "gal|gals|gallon|gallons|us gal|us gallons|us gallon|galon|galones",
    "kgal": "kgal|1000 gal|1000 gallons|1,000 gal|1,000 gallons|thousand gallons|thousand gal"
    "|k gal|tgal|mil galones|miles de galones",
    "ac_in": "ac in|ac-in|acre inch|acre inches|acre-inch|acre-inches|acin|ac_in",
    "ft3": "ft3|cu ft|cubic feet|cubic foot|cf|cuft|pies cubicos",
    "yd3": "yd3|cu yd|cubic yards|cubic yard|cy|yards|yardas cubicas",
    "bu": "bu|bushel|bushels|heaped bushels",
    "L": "l|liter|liters|litre|litres|litro|litros",
    "m3": "m3|cubic meter|cubic meters|cubic metre|cubic metres|cbm|metros cubicos",
    "lb": "lb|lbs|pound|pounds|libra|libras|#",
    "ton": "ton|tons|short ton|short tons|us ton|us tons",
    "kg": "kg|kgs|kilogram|kilograms|kilo|kilos|kilogramos",
    "tonne": "tonne|tonnes|metric ton|metric tons|mt|toneladas metricas",
    "load": "load|loads|carga|cargas|viaje|viajes",
}
_UNIT_BY_NAME = {name: unit for unit, names in _NAMES.items() for name in names.split("|")}

# A bare letter or a Spanish ton can be either; “M” is a thousand to some, a million to others.
_DOUBTFUL = {
    "t": ("ton", "tonne"),
    "tonelada": ("ton", "tonne"),
    "toneladas": ("ton", "tonne"),
    "m gal": ("kgal",),
    "mgal": ("kgal",),
}
_UNIT_WORDS = {
    "gal": "gallons",
    "kgal": "1,000 gallons",
    "lb": "pounds",
    "ton": "short tons (2,000 lb)",
    "tonne": "metric tonnes (1,000 kg)",
    "ac_in": "acre-inches",
    "ft3": "cubic feet",
    "yd3": "cubic yards",
    "m3": "cubic metres",
    "L": "litres",
    "kg": "kilograms",
    "bu": "bushels (struck)",
    "load": "whole loads",
}

# Above these a single row is a typing mistake or another unit [common practice: a hose set of
# several days moves a few million gallons].
MOST_PER_ROW = {"gal": Decimal(20_000_000), "lb": Decimal(100_000_000), "": Decimal(10_000)}
# Rough size in gallons or pounds, only for the check above; records use exact factors.
_ROUGH = {
    "gal": "1",
    "kgal": "1000",
    "ac_in": "27154",
    "ft3": "7.48",
    "yd3": "202",
    "bu": "9.3",
    "L": "0.264",
    "m3": "264",
    "lb": "1",
    "ton": "2000",
    "kg": "2.2",
    "tonne": "2205",
    "load": "1",
}


def unit_named(text: str) -> str:
    """The unit a name stands for; empty when it is unknown or can mean two things."""
    return _UNIT_BY_NAME.get(_plain(text), "")


def is_doubtful_unit(text: str) -> bool:
    """True for a name that means one unit to some and another to others."""
    return _plain(text) in _DOUBTFUL


def unit_question(name: str, examples: tuple[str, ...] = ()) -> Question:
    """In which unit are the amounts of this file?"""
    doubtful = _DOUBTFUL.get(_plain(name), ())
    if doubtful:
        asked = f"What does “{name}” mean in this file?"
    elif name:
        asked = f"“{name}” is not a unit known here. In which unit are the amounts?"
    else:
        asked = "The file does not say in which unit the amounts are. Which one is it?"
    units = doubtful if len(doubtful) > 1 else tuple(_UNIT_WORDS)
    choices = tuple(Choice(unit, _UNIT_WORDS[unit]) for unit in units)
    return Question("amount_unit", asked, choices, examples)


def is_absurd(amount: Decimal, unit: str) -> bool:
    """True when one row states more than any crew could move."""
    return amount * Decimal(_ROUGH[unit]) > MOST_PER_ROW[UNIT_KINDS[unit]]


def _plain(text: str) -> str:
    folded = text.casefold().replace("³", "3").replace("^3", "3").replace("ú", "u")
    folded = folded.replace("é", "e").replace("ó", "o")
    return " ".join(folded.replace(".", " ").strip().strip("()[]").split())
