"""Files as they came in: written once under the SHA-256 of their bytes, checked when read."""

import hashlib
import os
import tempfile
from pathlib import Path

from django.conf import settings

from farmrecords.history import clock
from farmrecords.history.errors import FileChanged
from farmrecords.history.models import KeptFile


def keep(data: bytes, *, media_type: str, original_name: str) -> KeptFile:
    """Keep these bytes; the same bytes again give the same kept file."""
    sha256 = hashlib.sha256(data).hexdigest()
    path = path_of(sha256)
    if not path.exists():
        _write_once(path, data)
    kept, _new = KeptFile.objects.get_or_create(
        sha256=sha256,
        defaults={
            "size": len(data),
            "media_type": media_type[:100],
            "original_name": original_name[:255],
            "kept_at": clock.now(),
        },
    )
    return kept


def read(kept: KeptFile) -> bytes:
    """The bytes of a kept file, exactly as they came; FileChanged if they are not."""
    path = path_of(kept.sha256)
    try:
        data = path.read_bytes()
    except FileNotFoundError as error:
        raise FileChanged(
            f"The kept file {kept.original_name} ({kept.sha256[:8]}) is missing; bring it back "
            "from a backup."
        ) from error
    if hashlib.sha256(data).hexdigest() != kept.sha256:
        raise FileChanged(
            f"The kept file {kept.original_name} ({kept.sha256[:8]}) no longer has the bytes it "
            "was kept with; bring it back from a backup."
        )
    return data


def path_of(sha256: str) -> Path:
    """Where the bytes of a kept file lie."""
    if len(sha256) != 64 or set(sha256) - set("0123456789abcdef"):
        raise ValueError(f"{sha256!r} is no SHA-256 in lower-case hexadecimal.")
    return Path(settings.MEDIA_ROOT) / "kept" / sha256[:2] / sha256


def _write_once(path: Path, data: bytes) -> None:
    """Write beside, then rename: a power cut leaves the whole file or none."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, beside = tempfile.mkstemp(dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        os.chmod(beside, 0o440)
        os.replace(beside, path)
        for place in (path.parent, path.parent.parent):
            _sync_directory(place)
    except BaseException:
        Path(beside).unlink(missing_ok=True)
        raise


def _sync_directory(place: Path) -> None:
    """Let the name of a new file, and of its directory, survive a power cut as its bytes do."""
    handle = os.open(place, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
