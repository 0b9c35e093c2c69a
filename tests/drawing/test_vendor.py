"""The committed files of others are the ones that were published and recorded."""

import hashlib
import tomllib
from pathlib import Path

import pytest

from farmrecords.management.commands import vendor

VENDOR = Path(__file__).resolve().parents[2] / "static" / "vendor"
RECORDED = tomllib.loads((VENDOR / "SUMS.toml").read_text())["package"]
FILES = [row for package in RECORDED for row in package["file"]]


@pytest.mark.parametrize("row", FILES, ids=[row["path"] for row in FILES])
def test_each_kept_file_has_its_recorded_sum(row: dict[str, str]) -> None:
    content = (VENDOR / row["path"]).read_bytes()
    assert hashlib.sha256(content).hexdigest() == row["kept"]


def test_no_file_stands_there_unrecorded() -> None:
    there = {str(p.relative_to(VENDOR)) for p in VENDOR.rglob("*") if p.is_file()}
    assert there == {row["path"] for row in FILES} | {"SUMS.toml"}


def test_versions_and_files_asked_for_are_the_recorded_ones() -> None:
    asked = {(p.name, p.version, p.licence, frozenset(p.files.values())) for p in vendor.PACKAGES}
    recorded = {
        (p["name"], p["version"], p["licence"], frozenset(row["path"] for row in p["file"]))
        for p in RECORDED
    }
    assert asked == recorded


def test_every_package_keeps_its_licence() -> None:
    for package in RECORDED:
        assert any(row["path"].endswith("/LICENSE") for row in package["file"]), package["name"]


def test_published_sums_are_the_known_ones() -> None:
    """First 16 digits noted from the registry's files in November 2026, by another hand."""
    published = {row["path"]: row["published"][:16] for row in FILES}
    assert published["bootstrap/bootstrap.min.css"] == "9caac977a0af0c22"
    assert published["htmx/htmx.min.js"] == "d6fdc75f204e6bde"
    assert published["leaflet/leaflet.js"] == "db49d009c841f5ca"
    assert published["leaflet/leaflet.css"] == "a783710282418482"
    assert published["dejavu/DejaVuSans.ttf"] == "7da195a74c55bef9"
    assert published["dejavu/DejaVuSans-Bold.ttf"] == "e6476c1b80502924"


def test_only_the_closing_source_map_comment_is_cut() -> None:
    cut = vendor.without_source_map
    assert cut("a.js", b"let a=1\n//# sourceMappingURL=a.js.map") == b"let a=1\n"
    assert cut("a.css", b"a{}\n/*# sourceMappingURL=a.css.map */\n") == b"a{}\n"
    assert cut("a.css", b"a{}\n") == b"a{}\n"
    assert cut("a.ttf", b"//# sourceMappingURL=x") == b"//# sourceMappingURL=x"


def test_a_changed_file_is_refused_by_name() -> None:
    package = vendor.Package("tea", "1.0.0", "MIT", {"LICENSE": "tea/LICENSE"})
    rows = [(package, {"tea/LICENSE": (b"new", vendor.sum_of(b"new"))})]
    with pytest.raises(vendor.CommandError, match=r"tea/LICENSE from tea@1\.0\.0"):
        vendor.Command().compare(rows, {"tea/LICENSE": vendor.sum_of(b"old")})
