"""Changes modules of the calculations one place at a time and counts what their tests notice.

``python -m tests.mutation`` runs every module of the list; ``python -m tests.mutation rate`` one.
Each mutant runs in a child process that loads the changed module in place of the real one and runs
the module's own tests and doctests; the source on disk is never touched. Above ``--most`` mutants a
sample is drawn, the same at each run. Below ``--least`` per cent the exit status is 1.
"""

from __future__ import annotations

import argparse
import contextlib
import importlib
import importlib.util
import io
import os
import random
import signal
import sys
import time
import types
from pathlib import Path

import hypothesis
import pytest

from tests.mutation.mutants import Mutant, mutants

ROOT = Path(__file__).resolve().parents[2]
ROOM = "farmrecords.calculations"
TESTS: dict[str, tuple[str, ...]] = {
    "rate": ("test_rate", "test_rate_edges"),
    "maximum": ("test_maximum", "test_rate_terms"),
    "rate_terms": ("test_rate_terms",),
    "calibration": ("test_calibration",),
    "soil_loss": ("test_soil_loss",),
    "storage_volume": ("test_storage_volume", "test_capacity"),
    "manure_test": ("test_manure_test",),
    "p_index_vt_events": ("test_p_index_vt_events",),
}
LONGEST_S = 60  # a mutant that hangs is noticed


def main() -> int:
    """Run the modules asked for and print counts, score and survivors."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("modules", nargs="*", default=list(TESTS))
    asked.add_argument("--most", type=int, default=100, help="most mutants of one module")
    asked.add_argument("--least", type=float, default=80.0, help="least score in per cent")
    given = asked.parse_args()
    for name in ("numpy", "scipy.optimize", "shapely", "pyproj", "hypothesis.strategies"):
        if importlib.util.find_spec(name.split(".")[0]):
            importlib.import_module(name)
    scores = [run(module, given.most) for module in given.modules]
    return int(min(scores) < given.least)


def run(module: str, most: int) -> float:
    """Score of one module in per cent."""
    began = time.monotonic()
    path = ROOT / "farmrecords" / "calculations" / f"{module}.py"
    every = mutants(path.read_text(encoding="utf-8"))
    chosen = every
    if len(every) > most:
        chosen = random.Random(7).sample(every, most)
    if noticed(module, path, None):
        raise SystemExit(f"The tests of {module} fail without any change. Mend them first.")
    alive = [mutant for mutant in chosen if not noticed(module, path, mutant)]
    killed = len(chosen) - len(alive)
    score = 100 * killed / len(chosen)
    spent = time.monotonic() - began
    said = f"{module}: {killed} of {len(chosen)} noticed ({len(every)} possible), {score:.1f} %"
    print(f"{said}, {spent:.0f} s")  # noqa: T201
    for mutant in sorted(alive, key=lambda one: one.line):
        print(f"    line {mutant.line}: {mutant.was}  ->  {mutant.became}")  # noqa: T201
    sys.stdout.flush()
    return score


def noticed(module: str, path: Path, mutant: Mutant | None) -> bool:
    """Whether the module's tests fail once the mutant stands in its place."""
    child = os.fork()
    if child == 0:
        signal.alarm(LONGEST_S)
        os._exit(_tests_fail(module, path, mutant))
    _, status = os.waitpid(child, 0)
    return status != 0


def _tests_fail(module: str, path: Path, mutant: Mutant | None) -> int:
    os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"  # only pytest itself: quick to start
    hypothesis.settings.register_profile(
        "mutation", max_examples=20, derandomize=True, deadline=None, database=None
    )
    hypothesis.settings.load_profile("mutation")
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        if mutant is not None:
            try:
                _load(module, path, mutant)
            except Exception:  # the change does not even load
                return 1
        arguments = [
            "-x", "-q", "-c", os.devnull, f"--rootdir={ROOT}", "--import-mode=importlib",
            "--noconftest", "--doctest-modules", "--assert=plain", "-p", "no:cacheprovider",
            str(path), *(str(ROOT / "tests/calculations" / f"{name}.py") for name in TESTS[module]),
        ]  # fmt: skip
        return int(pytest.main(arguments))


def _load(module: str, path: Path, mutant: Mutant) -> None:
    """Put the changed module where imports will find it."""
    name = f"{ROOM}.{module}"
    package = importlib.import_module(ROOM)
    changed = types.ModuleType(name)
    changed.__file__, changed.__package__ = str(path), ROOM
    changed.__spec__ = importlib.util.spec_from_file_location(name, path)
    sys.modules[name] = changed
    exec(compile(mutant.tree, str(path), "exec"), changed.__dict__)
    setattr(package, module, changed)


if __name__ == "__main__":
    raise SystemExit(main())
