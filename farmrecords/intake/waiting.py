"""Large files on their way to the worker: laid aside until they are read, never kept before.

A file becomes a kept file when it could be read. Until then it lies apart under a name of its
own and goes when it was read, whatever came of it; what a broken worker left goes after a while.
"""

from __future__ import annotations

import os
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.utils.translation import gettext as _

from farmrecords.formats.common import FormatError
from farmrecords.history import clock

KEPT_S = 2 * 24 * 60 * 60


def lay_aside(data: bytes) -> str:
    """Lay the bytes aside for the worker; returns the name to take them up by."""
    folder = _folder()
    folder.mkdir(parents=True, exist_ok=True)
    _forget_old(folder)
    name = uuid.uuid4().hex
    with (folder / name).open("xb") as out:
        out.write(data)
        out.flush()
        os.fsync(out.fileno())
    return name


@contextmanager
def taken_up(name: str) -> Iterator[bytes]:
    """The bytes laid aside under the name; they are gone when the block ends, however it ends.

    Raises FormatError when nothing lies there.
    """
    path = _folder() / uuid.UUID(name).hex
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise FormatError(
            _("The file is not here any more."), _("Bring it in again; nothing was kept of it.")
        ) from None
    try:
        yield data
    finally:
        path.unlink(missing_ok=True)


def _folder() -> Path:
    return Path(settings.MEDIA_ROOT) / "waiting"


def _forget_old(folder: Path) -> None:
    before = clock.now().timestamp() - KEPT_S
    for path in folder.iterdir():
        if path.is_file() and path.stat().st_mtime < before:
            path.unlink(missing_ok=True)
