"""Controlled lists of the loads room."""

from django.utils.translation import gettext_lazy as _

METHODS = [
    ("injected", _("injected")),
    ("incorporated", _("incorporated")),
    ("surface", _("on the surface")),
    ("irrigated", _("irrigated")),
]
MEASURED_BY = [
    ("scale", _("scale, start and stop")),
    ("counted", _("counted loads")),
    ("meter", _("flow meter")),
    ("pump_hours", _("pump hours")),
    ("truck_scale", _("truck-scale ticket")),
    ("storage_drop", _("drop of the storage")),
    ("rated", _("rated load")),
]
GROUND = [
    ("dry", _("dry")),
    ("wet", _("wet")),
    ("saturated", _("saturated")),
    ("frozen", _("frozen")),
    ("snow", _("snow-covered")),
    ("unknown", _("not noted")),
]
ORIGINS = [
    ("own", _("own storage")),
    ("received", _("received from another farm")),
    ("other_farm", _("put on the field by another farm")),
]
# Units an amount may be kept in as it was typed; pages offer the first four, files bring the rest.
VOLUME_UNITS = ("gal", "kgal", "ac_in", "ac_ft", "ft3", "yd3", "bu", "L", "m3", "imp_gal")
MASS_UNITS = ("ton", "lb", "kg", "tonne")
OFFERED_UNITS = [
    ("gal", _("gal")),
    ("kgal", _("1,000 gal")),
    ("ton", _("tons")),
    ("lb", _("lb")),
]
AMOUNT_UNITS = [
    *OFFERED_UNITS,
    ("ac_in", _("acre-inches")),
    ("ac_ft", _("acre-feet")),
    ("ft3", _("cubic feet")),
    ("yd3", _("cubic yards")),
    ("bu", _("bushels")),
    ("L", _("litres")),
    ("m3", _("cubic metres")),
    ("imp_gal", _("imperial gallons")),
    ("kg", _("kg")),
    ("tonne", _("metric tons")),
]
AMOUNT_KINDS = [("gal", _("gallons")), ("lb", _("pounds"))]
STOP_REASONS = [
    ("rain", _("rain")),
    ("wind", _("wind")),
    ("ground", _("ground too wet")),
    ("machine", _("machine")),
    ("neighbour", _("neighbour")),
    ("limit", _("field is full")),
    ("other", _("other")),
]
STATUSES = [
    ("counted", _("counted")),
    ("waiting", _("waiting: its period is filed")),
]
