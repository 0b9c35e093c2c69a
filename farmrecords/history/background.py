"""Work that runs beside the pages: the one place that imports the task library.

A task takes plain values only (ids as text), fetches what it needs itself, and may run twice
without harm. `enqueue` on the result puts it into the queue of the database for the worker.
"""

from django_tasks import task

__all__ = ["task"]
