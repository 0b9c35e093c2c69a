"""Fetch the published files of others that the pages and the PDF use, and record their sums.

Only for updating: the files are committed, so neither running nor testing needs npm. Change a
version in `PACKAGES`, run `manage.py vendor --record`, read the difference, commit both. Without
`--record` each fetched file must match the recorded sum, otherwise nothing is written.
"""

import hashlib
import re
import subprocess
import tarfile
import tempfile
import tomllib
from argparse import ArgumentParser
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError


@dataclass(frozen=True)
class Package:
    """A published package and the files taken from it: path inside -> path under vendor/."""

    name: str
    version: str
    licence: str
    files: dict[str, str]


PACKAGES = [
    Package(
        "bootstrap",
        "5.3.9",
        "MIT",
        {
            "dist/css/bootstrap.min.css": "bootstrap/bootstrap.min.css",
            "LICENSE": "bootstrap/LICENSE",
        },
    ),
    Package(
        "htmx.org",
        "2.0.11",
        "0BSD",
        {"dist/htmx.min.js": "htmx/htmx.min.js", "LICENSE": "htmx/LICENSE"},
    ),
    Package(
        "leaflet",
        "1.9.4",
        "BSD-2-Clause",
        {
            "dist/leaflet.js": "leaflet/leaflet.js",
            "dist/leaflet.css": "leaflet/leaflet.css",
            "dist/images/layers.png": "leaflet/images/layers.png",
            "dist/images/layers-2x.png": "leaflet/images/layers-2x.png",
            "dist/images/marker-icon.png": "leaflet/images/marker-icon.png",
            "dist/images/marker-icon-2x.png": "leaflet/images/marker-icon-2x.png",
            "dist/images/marker-shadow.png": "leaflet/images/marker-shadow.png",
            "LICENSE": "leaflet/LICENSE",
        },
    ),
    Package(
        "@fontsource-variable/source-sans-3",
        "5.3.1",
        "OFL-1.1",
        {
            "files/source-sans-3-latin-wght-normal.woff2": "source-sans-3/latin.woff2",
            "LICENSE": "source-sans-3/LICENSE",
        },
    ),
    Package(
        "dejavu-fonts-ttf",
        "2.37.3",
        "Bitstream Vera terms, changes in the public domain",
        {
            "ttf/DejaVuSans.ttf": "dejavu/DejaVuSans.ttf",
            "ttf/DejaVuSans-Bold.ttf": "dejavu/DejaVuSans-Bold.ttf",
            "ttf/DejaVuSansCondensed.ttf": "dejavu/DejaVuSansCondensed.ttf",
            "ttf/DejaVuSansCondensed-Bold.ttf": "dejavu/DejaVuSansCondensed-Bold.ttf",
            "LICENSE": "dejavu/LICENSE",
        },
    ),
]

SOURCE_MAP = re.compile(rb"\s*(//# sourceMappingURL=\S*|/\*# sourceMappingURL=[^*]*\*/)\s*$")


def without_source_map(name: str, content: bytes) -> bytes:
    """The file without its closing pointer to a source map that is not kept here."""
    if not name.endswith((".js", ".css")):
        return content
    return SOURCE_MAP.sub(b"\n", content)


def sum_of(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def fetch(package: Package, folder: Path) -> dict[str, tuple[bytes, str]]:
    """The wanted files of a package by target path: content as kept, sum as published."""
    asked = f"{package.name}@{package.version}"
    packed = subprocess.run(
        ["npm", "pack", "--silent", asked], cwd=folder, capture_output=True, text=True, check=False
    )
    if packed.returncode:
        raise CommandError(f"npm pack {asked} failed: {packed.stderr.strip() or 'no message'}")
    found = {}
    with tarfile.open(folder / packed.stdout.split()[-1]) as archive:
        for inside, target in package.files.items():
            try:
                member = archive.extractfile(f"package/{inside}")
            except KeyError:
                member = None
            if member is None:
                raise CommandError(f"{asked} holds no {inside}; correct its path in PACKAGES.")
            published = member.read()
            found[target] = (without_source_map(inside, published), sum_of(published))
    return found


def sums_as_toml(rows: list[tuple[Package, dict[str, tuple[bytes, str]]]]) -> str:
    lines = ["# Written by `manage.py vendor --record`. Sums are SHA-256."]
    for package, found in rows:
        lines += [
            "",
            "[[package]]",
            f'name = "{package.name}"',
            f'version = "{package.version}"',
            f'licence = "{package.licence}"',
        ]
        for target, (content, published) in found.items():
            lines += [
                "",
                "[[package.file]]",
                f'path = "{target}"',
                f'kept = "{sum_of(content)}"',
                f'published = "{published}"',
            ]
    return "\n".join(lines) + "\n"


def recorded_sums(vendor: Path) -> dict[str, str]:
    """Path under vendor/ -> sum of the file as published."""
    recorded = tomllib.loads((vendor / "SUMS.toml").read_text())
    return {row["path"]: row["published"] for one in recorded["package"] for row in one["file"]}


class Command(BaseCommand):
    help = "Fetch the vendored files with npm pack and compare them with the recorded sums."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--record", action="store_true", help="write new sums, after a change")

    def handle(self, *args: object, **options: object) -> None:
        vendor = Path(settings.BASE_DIR) / "static" / "vendor"
        with tempfile.TemporaryDirectory() as folder:
            rows = [(package, fetch(package, Path(folder))) for package in PACKAGES]
        if not options["record"]:
            self.compare(rows, recorded_sums(vendor))
        for _package, found in rows:
            for target, (content, _published) in found.items():
                path = vendor / target
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(content)
        (vendor / "SUMS.toml").write_text(sums_as_toml(rows))
        count = sum(len(found) for _package, found in rows)
        self.stdout.write(f"{count} files of {len(rows)} packages stand under {vendor}.")

    def compare(
        self, rows: list[tuple[Package, dict[str, tuple[bytes, str]]]], recorded: dict[str, str]
    ) -> None:
        for package, found in rows:
            for target, (_content, published) in found.items():
                if recorded.get(target) != published:
                    raise CommandError(
                        f"{target} from {package.name}@{package.version} has the sum {published}; "
                        f"recorded is {recorded.get(target, 'nothing')}. Nothing was written. "
                        "If the version was changed on purpose, run again with --record."
                    )
