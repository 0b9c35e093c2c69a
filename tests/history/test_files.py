"""Kept files: written once, checked on reading."""

import hashlib
import os
from pathlib import Path

import pytest

from farmrecords.history import files
from farmrecords.history.errors import FileChanged
from farmrecords.history.models import KeptFile

TRACK = b"<gpx>a track</gpx>"


@pytest.fixture(autouse=True)
def _own_place(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def keep(data=TRACK, name="track.gpx"):
    return files.keep(data, media_type="application/gpx+xml", original_name=name)


def test_bytes_and_then_their_directory_reach_the_disk(db, tmp_path, monkeypatch):
    kept_names, seen = [], []
    real = os.fsync

    def noted(handle):
        place = Path(os.readlink(f"/proc/self/fd/{handle}"))
        seen.append("directory" if place.is_dir() else "file")
        kept_names.append(sorted(p.name for p in (tmp_path / "kept").rglob("*") if p.is_file()))
        real(handle)

    monkeypatch.setattr(os, "fsync", noted)
    kept = keep()
    assert seen == ["file", "directory", "directory"]
    assert kept.sha256 not in kept_names[0]
    assert kept_names[1] == [kept.sha256]


def test_a_file_is_found_by_the_hash_of_its_bytes(db, tmp_path):
    kept = keep()
    sha256 = hashlib.sha256(TRACK).hexdigest()
    assert (kept.sha256, kept.size) == (sha256, len(TRACK))
    assert (tmp_path / "kept" / sha256[:2] / sha256).read_bytes() == TRACK
    assert files.read(kept) == TRACK


def test_the_same_bytes_are_kept_once(db, tmp_path):
    assert keep().pk == keep(name="../../etc/passwd").pk
    assert KeptFile.objects.count() == 1
    assert len([path for path in tmp_path.rglob("*") if path.is_file()]) == 1


def test_changed_bytes_are_not_served(db):
    kept = keep()
    path = files.path_of(kept.sha256)
    path.chmod(0o600)
    path.write_bytes(TRACK + b" ")
    with pytest.raises(FileChanged, match="no longer"):
        files.read(kept)


def test_a_missing_file_is_told(db):
    kept = keep()
    files.path_of(kept.sha256).unlink()
    with pytest.raises(FileChanged, match="missing"):
        files.read(kept)


@pytest.mark.parametrize("name", ["", "../" * 21 + "x", "A" * 64])
def test_what_is_no_hash_leads_nowhere(name):
    with pytest.raises(ValueError, match="no SHA-256"):
        files.path_of(name)
