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
AMOUNT_UNITS = [
    ("gal", _("gal")),
    ("kgal", _("1,000 gal")),
    ("ton", _("tons")),
    ("lb", _("lb")),
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
