"""Finding the log a command is asked about."""

from django.core.exceptions import FieldError
from django.db.models import Q

from farmrecords.history.models import Log


class NoSuchLog(Exception):
    """No log, or more than one, answers to what was given."""


def logs(given: str | None) -> list[Log]:
    """Every log, or the one named by its operation's short name, its label or its id's start."""
    everything = Log.objects.order_by("label", "id")
    if not given:
        return list(everything)
    found = list(everything.filter(label=given)) or _by_short_name(given)
    if not found and len(given) >= 8:
        found = [log for log in everything if str(log.pk).startswith(given.lower())]
    if len(found) != 1:
        raise NoSuchLog(
            f"{len(found)} histories answer to {given!r}; give the short name of an operation, "
            "its label, or at least the first 8 characters of the history's id. There are: "
            + ", ".join(str(log) for log in everything[:20])
        )
    return found


def _by_short_name(given: str) -> list[Log]:
    """History does not know what an operation is; one that points here may have a short name."""
    try:
        return list(Log.objects.filter(Q(operation__slug=given)))
    except FieldError:
        return []
