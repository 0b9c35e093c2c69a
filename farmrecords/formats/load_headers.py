"""Which column of a list of loads holds what, told from its heading (English or Spanish)."""

from __future__ import annotations

import unicodedata

from farmrecords.formats.load_units import is_doubtful_unit, unit_named

# Headings are compared whole, so that “gallons per acre” is never taken for gallons.
_HEADINGS = {
    "date": "date|day|fecha|dia|spread date|date spread|spread on|application date|applied on"
    "|date applied|hauled on|load date|fecha de aplicacion",
    "start_time": "time|start|start time|time started|time start|hora|inicio|hora inicio"
    "|hora de inicio|load time",
    "started_at": "started at|started|date time|datetime|date and time|timestamp|start date time"
    "|fecha y hora",
    "end_time": "end|end time|stop|stop time|finish|time ended|time end|fin|hora fin|hora de fin",
    "ended_at": "ended at|ended|end date time|finished at",
    "field": "field|field name|field number|field no|field id|field #|campo|lote|parcela|potrero",
    "storage": "storage|pit|lagoon|source|manure source|from|from storage|storage name|stack"
    "|almacenamiento|fosa|laguna|origen",
    "spreader": "spreader|tanker|equipment|truck|machine|spreader no|spreader number|tank no"
    "|truck no|esparcidor|esparcidora|equipo|camion",
    "driver": "driver|operator|hauled by|hauler|applied by|person|by|who|chofer|conductor"
    "|operador|quien",
    "method": "method|application method|placement|how applied|metodo|metodo de aplicacion",
    "amount": "amount|quantity|qty|volume|weight|net weight|net|total|total amount|total volume"
    "|amount applied|manure applied|amount spread|cantidad|volumen|peso|peso neto",
    "amount_per_load": "load size|amount per load|size of load|per load|each load"
    "|cantidad por carga",
    "unit": "unit|units|uom|unit of measure|amount unit|unidad|unidades",
    "measured_by": "measured by|how measured|measurement|measured with|medido con|medicion",
    "loads": "loads|number of loads|no of loads|# loads|# of loads|load count|num loads|cargas"
    "|numero de cargas|viajes",
    "incorporated_at": "incorporated at|incorporated|incorporated on|incorporation time"
    "|time incorporated|incorporado|incorporacion",
    "ground": "ground|ground condition|ground conditions|soil condition|soil conditions"
    "|soil state|ground state|suelo|condicion del suelo",
    "note": "note|notes|remark|remarks|comment|comments|nota|notas|observaciones|comentarios",
}
_ROLE_BY_HEADING = {
    heading: role for role, headings in _HEADINGS.items() for heading in headings.split("|")
}
# Words around a unit that still make it the heading of an amount: “total gallons applied”.
_AMOUNT_WORDS = frozenset(
    {"total", "applied", "spread", "hauled", "net", "amount", "volume", "weight", "of", "manure"}
    | {"wet", "actual", "en", "de", "aplicados", "aplicadas"}
)


def role_of(heading: str) -> tuple[str, str]:
    """The role of a column and the unit its heading names; empty text where it tells neither.

    A unit whose name can mean two things is returned as written, for the question about it.
    """
    plain = _plain(heading)
    words, unit = _without_unit(plain)
    if words in _ROLE_BY_HEADING:
        return _ROLE_BY_HEADING[words], unit
    if plain in _ROLE_BY_HEADING:
        return _ROLE_BY_HEADING[plain], ""
    per_load = False
    for ending in ("/load", " per load", "/ load", " por carga"):
        if plain.endswith(ending):
            plain, per_load = plain.removesuffix(ending), True
            break
    role = "amount_per_load" if per_load else "amount"
    named = _unit_among(plain)
    if named and named != "load":
        return role, named
    return ("amount_per_load", "") if per_load and _only_amount_words(plain) else ("", "")


def is_total_word(cell: str) -> bool:
    """True for a cell that marks a row of totals."""
    first = _plain(cell).strip(":").split(" ")[0].rstrip(":")
    return first in {"total", "totals", "subtotal", "sum", "grand", "suma", "totales"}


def _plain(text: str) -> str:
    folded = unicodedata.normalize("NFKD", text[:120].casefold())
    bare = "".join(c for c in folded if not unicodedata.combining(c))
    return " ".join(bare.replace("_", " ").replace(".", " ").replace("³", "3").split()).strip(" :")


def _without_unit(plain: str) -> tuple[str, str]:
    """A heading split into its words and the unit in brackets or after a comma."""
    for opening, closing in (("(", ")"), ("[", "]"), (",", "")):
        at = plain.find(opening)
        if at > 0 and plain.endswith(closing):
            inner = plain[at + 1 : len(plain) - len(closing)].strip()
            per_load = inner.removesuffix("/load")
            if unit_named(per_load) or is_doubtful_unit(per_load):
                words = plain[:at].strip()
                words += " per load" if per_load != inner and "load" not in words else ""
                return words, unit_named(per_load) or inner
    return plain, ""


def _unit_among(plain: str) -> str:
    """The unit a heading consists of, apart from words such as total or applied."""
    words = plain.replace("(", " ").replace(")", " ").split()
    rest = " ".join(word for word in words if word not in _AMOUNT_WORDS)
    return unit_named(rest) or (rest if is_doubtful_unit(rest) else "")


def _only_amount_words(plain: str) -> bool:
    return bool(plain) and all(word in _AMOUNT_WORDS for word in plain.split())
