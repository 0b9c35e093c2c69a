"""ZIP files read in memory: every limit is checked while unpacking, nothing is ever extracted.

Member names serve as keys only. Limits: the project's references on trust (T19, T20) and on data
formats (section 2.6). Sizes stated in the archive are not believed; bytes are counted.
"""

from __future__ import annotations

import io
import stat
import zipfile
import zlib

from farmrecords.formats.common import (
    MAX_INFLATED_BYTES,
    MAX_ZIP_MEMBERS,
    MAX_ZIP_RATIO,
    FormatError,
    refuse_large,
    shown,
)

_CHUNK = 64 * 1024
# Below this a high ratio is harmless: a table of blanks packs very well.
_RATIO_FREE_BYTES = 1024 * 1024
_PACKED = (".zip", ".kmz", ".7z", ".gz", ".bz2", ".xz", ".rar", ".tar", ".tgz")
_UNPACK = "Unpack it and choose the file that is needed."


def is_zip(data: bytes) -> bool:
    """True when the bytes begin like a ZIP file."""
    return data[:4] in (b"PK\x03\x04", b"PK\x05\x06")


class Archive:
    """The members of a ZIP file by lower-case path, unpacked one by one within all limits."""

    def __init__(self, data: bytes, *, refuse_packed: bool = True) -> None:
        refuse_large(data)
        # A directory of half a million entries would take long before it could be counted.
        if data.count(b"PK\x01\x02") > MAX_ZIP_MEMBERS + 50:
            raise _too_many_members()
        try:
            self._zip = zipfile.ZipFile(io.BytesIO(data))
            infos = self._zip.infolist()
        except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError, KeyError):
            raise _damaged() from None
        if len(infos) > MAX_ZIP_MEMBERS:
            raise _too_many_members()
        self._inflated = 0
        self._members = self._usable(infos, refuse_packed)

    def _usable(
        self, infos: list[zipfile.ZipInfo], refuse_packed: bool
    ) -> dict[str, zipfile.ZipInfo]:
        members = {}
        for info in infos:
            key = info.filename.replace("\\", "/").lower().strip("/")
            is_link = stat.S_ISLNK(info.external_attr >> 16)
            if not key or info.is_dir() or is_link or key.startswith("__macosx/"):
                continue
            if info.flag_bits & 0x1:
                raise FormatError(f"“{shown(info.filename)}” is encrypted.", _UNPACK)
            if refuse_packed and key.endswith(_PACKED):
                raise FormatError(
                    f"The archive holds another archive, “{shown(info.filename)}”.", _UNPACK
                )
            members[key] = info
        return members

    @property
    def names(self) -> list[str]:
        """Lower-case paths of the members, in the order of the archive."""
        return list(self._members)

    def named(self, *endings: str) -> list[str]:
        """The members whose path ends with one of the endings."""
        return [name for name in self._members if name.endswith(endings)]

    def read(self, name: str) -> bytes:
        """The bytes of a member; raises `FormatError` at the first byte beyond a limit."""
        info = self._members[name]
        if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise FormatError(f"“{shown(name)}” is packed in an unusual way.", _UNPACK)
        parts: list[bytes] = []
        size = 0
        try:
            with self._zip.open(info) as member:
                while chunk := member.read(_CHUNK):
                    size += len(chunk)
                    self._inflated += len(chunk)
                    self._refuse_bomb(name, size, info.compress_size)
                    parts.append(chunk)
        except FormatError:
            raise
        except (zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, ValueError):
            raise _damaged() from None
        return b"".join(parts)

    def _refuse_bomb(self, name: str, size: int, packed: int) -> None:
        if self._inflated > MAX_INFLATED_BYTES:
            raise FormatError(
                f"Unpacked, the archive has more than {MAX_INFLATED_BYTES:,} bytes.",
                "Split it, for example by farm.",
            )
        if size > _RATIO_FREE_BYTES and size > MAX_ZIP_RATIO * max(packed, 1):
            raise FormatError(
                f"“{shown(name)}” grows more than {MAX_ZIP_RATIO}-fold when unpacked.", _UNPACK
            )


def _damaged() -> FormatError:
    return FormatError("The ZIP file is damaged.", "Copy or download it again.")


def _too_many_members() -> FormatError:
    return FormatError(f"The archive has more than {MAX_ZIP_MEMBERS} files.", _UNPACK)
