"""Work that runs beside the pages: the one place that imports the task library.

A task takes plain values only (ids as text), fetches what it needs itself, and may run twice
without harm. `enqueue` on the result puts it into the queue of the database for the worker.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from django_tasks import task

__all__ = ["is_paused", "paused", "task"]

_paused: ContextVar[bool] = ContextVar("paused", default=False)


@contextmanager
def paused() -> Iterator[None]:
    """Ask for no work while the block lasts: for bulk loading, which does it once at its end."""
    token = _paused.set(True)
    try:
        yield
    finally:
        _paused.reset(token)


def is_paused() -> bool:
    """Whether bulk loading asked for no work."""
    return _paused.get()
