"""What a calculation or a file's reader refused, in the language of the page.

The pure rooms say why in English. Each sentence they may say about a load stands here once as a
pattern; a sentence that none fits is shown as it came.
"""

from __future__ import annotations

import re
from functools import cache

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as _

SENTENCES = (
    _("No amount was given. Type a number such as 6,500 or 8.13."),
    _("%(given)s is below zero. An amount is zero or more: leave the sign out."),
    _(
        "%(given)s can be read in two ways. Use a point for decimals (8.13) and commas only "
        "between thousands (6,500)."
    ),
    _("%(given)s is written with an exponent. Write the number out in full."),
    _("%(given)s is not a number. Type digits only, such as 6,500 or 8.13."),
    _("The amount %(given)s has no unit. Say gallons, tons or pounds."),
    _(
        "%(given)s is no unit of an amount. Use gallons, tons, pounds or another unit of volume "
        "or weight."
    ),
    _("%(given)s is more than %(most)s. Check the number and the unit."),
    _("Rounded to a thousandth of a gallon (%(lost)s)."),
    _("Rounded to a thousandth of a pound (%(lost)s)."),
    _(
        "The scale rose from %(start)s to %(stop)s lb while spreading. A refill is a new load: "
        "split the record there."
    ),
    _(
        "%(when)s did not exist in %(zone)s: clocks went forward over it. Look up the true time; "
        "it is most likely an hour later."
    ),
    _("%(when)s came twice in %(zone)s, as clocks went back. Which one?"),
    _("before the change (%(name)s)"),
    _("after the change (%(name)s)"),
    _(
        "The load is in %(kind)s but the test is per 1,000 gallons. Enter the density of the "
        "manure (pounds per gallon) with the test."
    ),
    _(
        "The load is in %(kind)s but the test is per ton. Enter the density of the manure (pounds "
        "per gallon) with the test."
    ),
    _(
        "%(analyte)s is on a dry basis but the test has no solids or moisture. Enter one of them "
        "from the sheet."
    ),
    _(
        "%(analyte)s has neither a basis nor a moisture. Look on the sheet for 'as-is', 'as "
        "received' or 'dry'."
    ),
    _("%(analyte)s would weigh more than the manure itself. Check the unit."),
    _("%(analyte)s is given twice. Keep one figure."),
    # a track or a boundary that tells no ground
    _("The track tells no ground: the working width of the spreader is not known."),
    _(
        "Position %(number)s of the track (%(place)s) is not a place. Longitude comes first, then "
        "latitude, in degrees."
    ),
    _("The track has %(count)s position(s); a swath needs at least two."),
    _("The track has no stretch with the discharge on. Check the work state and the times."),
    _(
        "A swath width of %(width)s ft is outside 0 to %(widest)s ft. Enter the spacing between "
        "passes, in feet."
    ),
    _("The geometry is empty: there is nothing to measure."),
    _("A coordinate is missing or not a number. Check the corners."),
    _(
        "A corner lies outside the earth (longitude %(west)s to %(east)s, latitude %(south)s to "
        "%(north)s). Give longitude first, then latitude, in degrees."
    ),
    _("The kept file %(name)s is missing; bring it back from a backup."),
    _(
        "The kept file %(name)s no longer has the bytes it was kept with; bring it back from a "
        "backup."
    ),
    # a weight log that gives no loads
    _("A reading of the weight log has no moment. Leave it out."),
    _("The log has %(count)s readings; read it in parts."),
    _("The log spans more than 400 days. Check its dates."),
    _("%(count)s weigh cells were given; one to %(most)s are read."),
    _("A load of %(mass)s cannot be; give the mass of a full load."),
    _("The moment to divide at lies outside the load."),
    _("At that moment nothing was spread yet, or everything was."),
)
PLACE = re.compile(r"%\((\w+)\)s")


def problem_words(trouble: object) -> str:
    """What went wrong, translated where the sentence is known."""
    words = str(trouble)
    for sentence in SENTENCES:
        if found := _pattern(sentence).fullmatch(words):
            return gettext(sentence) % found.groupdict()
    return words


@cache
def _pattern(sentence: str) -> re.Pattern[str]:
    pieces = PLACE.split(sentence)
    built = [
        f"(?P<{piece}>.+?)" if number % 2 else re.escape(piece)
        for number, piece in enumerate(pieces)
    ]
    return re.compile("".join(built), re.S)
