"""Where the packages fetched for the outside checks lie, and the files they ship."""

import os
import subprocess
from pathlib import Path


def folder() -> Path:
    """The folder the packages were fetched to."""
    return Path(os.environ["FARMRECORDS_OUTSIDE"])


def shipped(package: str, *path: str) -> Path:
    """A file of an unpacked source package, for example ("gpxpy-1.6.2", "test_files")."""
    found = folder().joinpath("sources", package, *path)
    assert found.exists(), f"{found} was not fetched; see .ci/run"
    return found


def run_node(script: Path, *arguments: str) -> str:
    """What a script prints that uses the fetched node packages."""
    done = subprocess.run(
        ["node", str(script), *arguments],
        env={**os.environ, "NODE_PATH": str(folder() / "node_modules")},
        capture_output=True,
        text=True,
        check=False,
        timeout=240,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout
