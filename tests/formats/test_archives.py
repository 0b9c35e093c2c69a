"""ZIP files: limits counted while unpacking, names never used as paths (trust T19, T20)."""

import io
import stat
import struct
import zipfile

import pytest

from farmrecords.formats.archives import Archive
from farmrecords.formats.common import FormatError
from tests.formats.samples import packed


def test_members_are_read_by_lower_case_path():
    archive = Archive(packed({"Map/DOC.KML": b"x" * 10, "__MACOSX/._doc": b"y", "empty/": b""}))
    assert archive.names == ["map/doc.kml"]
    assert archive.read("map/doc.kml") == b"x" * 10


@pytest.mark.parametrize(
    "name", ["../../x.shp", "/abs.shp", "a\\..\\b.shp", "C:\\x.shp", "．．/x.shp"]
)
def test_a_name_that_climbs_is_only_a_key(name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    archive = Archive(packed({name: b"content"}))
    assert [archive.read(key) for key in archive.names] == [b"content"]
    assert list(tmp_path.rglob("*")) == []


def test_a_link_is_left_out():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        link = zipfile.ZipInfo("link.shp")
        link.external_attr = (stat.S_IFLNK | 0o777) << 16
        archive.writestr(link, "/etc/passwd")
    assert Archive(out.getvalue()).names == []


def test_a_member_without_a_name_is_left_out():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        nameless = zipfile.ZipInfo("x")
        nameless.filename = ""
        archive.writestr(nameless, b"x")
        archive.writestr("named.shp", b"y")
    assert Archive(out.getvalue()).names == ["named.shp"]


def test_a_bomb_is_stopped_at_the_ratio():
    archive = Archive(packed({"zeros.shp": b"\0" * 30_000_000}))
    with pytest.raises(FormatError, match="100-fold"):
        archive.read("zeros.shp")


def test_a_member_below_a_mebibyte_may_pack_well():
    assert len(Archive(packed({"blank.dbf": b" " * 1_000_000})).read("blank.dbf")) == 1_000_000


def test_the_total_is_counted_over_all_members(monkeypatch):
    monkeypatch.setattr("farmrecords.formats.archives.MAX_INFLATED_BYTES", 1_000)
    archive = Archive(packed({"a": b"x" * 600, "b": b"y" * 400, "c": b"z"}))
    assert len(archive.read("a")) + len(archive.read("b")) == 1_000
    with pytest.raises(FormatError, match="more than 1,000 bytes"):
        archive.read("c")


def test_sizes_that_lie_are_not_believed():
    data = packed({"zeros.shp": b"\0" * 30_000_000})
    real = struct.pack("<I", 30_000_000)
    assert data.count(real) == 2
    with pytest.raises(FormatError):
        Archive(data.replace(real, struct.pack("<I", 10))).read("zeros.shp")


def test_two_hundred_members_are_read_and_one_more_is_not():
    assert len(Archive(packed({str(i): b"" for i in range(200)})).names) == 200
    for count in (201, 400):
        with pytest.raises(FormatError, match="more than 200"):
            Archive(packed({str(i): b"" for i in range(count)}))


def test_an_archive_in_an_archive_is_refused():
    with pytest.raises(FormatError, match="another archive"):
        Archive(packed({"inner.zip": packed({"a": b"x"})}))


def test_an_encrypted_member_is_refused():
    data = bytearray(packed({"a.shp": b"x"}))
    data[6] |= 1
    data[data.index(b"PK\x01\x02") + 8] |= 1
    with pytest.raises(FormatError, match="encrypted"):
        Archive(bytes(data))


def test_an_unusual_packing_is_refused():
    with pytest.raises(FormatError, match="unusual"):
        Archive(packed({"a.shp": b"x" * 100}, zipfile.ZIP_LZMA)).read("a.shp")


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04", b"PK\x05\x06" + b"\0" * 18, b"not a zip"])
def test_a_damaged_archive_is_refused_or_empty(data):
    try:
        archive = Archive(data)
    except FormatError:
        return
    assert archive.names == []
