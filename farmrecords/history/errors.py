"""What can go wrong when a record is written or read back, in words a person can act on."""

from typing import Any


class HistoryError(Exception):
    """Any refusal by the history."""


class NotThroughHistory(HistoryError):
    """A recorded row was about to be changed without its entry in the log."""


class StaleRevision(HistoryError):
    """Somebody else changed the record after the form was opened.

    `current` is the record as it stands, `yours` the record as this change would have left it,
    `opened` the revision the form was opened at (None when its text was redacted). `rows` lists
    (label, opened, yours, current) for every column in which they differ.
    """

    def __init__(self, current: Any, yours: Any, opened: Any, rows: list[tuple[str, ...]]) -> None:
        self.current, self.yours, self.opened, self.rows = current, yours, opened, rows
        super().__init__(
            f"This {current._meta.verbose_name} was changed by somebody else after you opened it "
            f"(it is now at revision {current.rev}). Compare both versions and decide again."
        )


class NothingChanged(HistoryError):
    """An amendment that changes nothing, a void of something void, a restore of something kept."""


class ReasonMissing(HistoryError):
    """An amendment, a void or a restore without its reason."""


class RepeatedDifferently(HistoryError):
    """The same client_op came again with other content."""


class FileChanged(HistoryError):
    """A kept file is missing or no longer has the bytes it was kept with."""
