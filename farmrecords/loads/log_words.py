"""The doubts of a proposed load, and what becomes of it, in words."""

from django.utils.translation import gettext_lazy as _

DOUBTS = {
    "cut_at_start": _("the log begins inside it"),
    "cut_at_end": _("the log ends inside it"),
    "silence": _("the log is silent for a time inside it"),
    "cell": _("a weigh cell stuck or said nothing"),
    "speed_unknown": _("no speed is known, so it may have been emptied while standing"),
    "rise_inside": _("the weight also rose inside it: rough ground or a refill"),
    "slow": _("the weight fell very slowly"),
    "weighed_moving": _("the scale was not read at a standstill before or after"),
    "no_fill_seen": _("no filling was seen before it"),
    "fill_differs": _("what was filled is not what was on board"),
    "drift": _("the scale drifted since the load before"),
    "levels_differ": _("the readings before and after do not fit the fall between them"),
    "no_position": _("no position is known"),
    "outside": _("part of it lies outside every field"),
    "several_fields": _("it lies on several fields, divided by the weight at the border"),
    "other_field_named": _("the machine names another field"),
}
STATUS = {
    "open": _("to be decided"),
    "refused": _("confirmed, but something is in the way"),
    "confirm": _("confirmed"),
    "drop": _("dropped"),
    "standing": _("emptied while standing: no spreading load"),
    "here": _("here already"),
    "differs": _("here already with other figures"),
    "amend": _("the load here is amended to this"),
    "keep": _("what is here stays"),
    "hand": _("here already, by hand"),
    "back": _("brought back"),
}


def sureness(confidence: float) -> str:
    """How sure a proposal is, in a word."""
    if confidence >= SURE:
        return str(_("sure"))
    return str(_("fair") if confidence >= FAIR else _("doubtful"))


SURE, FAIR = 0.85, 0.6  # the project's own bounds, not measured
