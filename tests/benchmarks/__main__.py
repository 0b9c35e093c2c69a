"""``python -m tests.benchmarks --short`` (10,000 loads) or ``--full`` (100,000 loads).

Ratios, not seconds: each figure is held against the same arithmetic in the same run. Exit status 1
when a ratio is above what it may be.
"""

from __future__ import annotations

import argparse

from tests.benchmarks.loads_in_bulk import measure

COUNTS = {"short": 10_000, "full": 100_000}


def main() -> int:
    """Measure and print; 1 when something is slower than it may be."""
    asked = argparse.ArgumentParser(description=__doc__)
    form = asked.add_mutually_exclusive_group()
    form.add_argument("--short", dest="form", action="store_const", const="short")
    form.add_argument("--full", dest="form", action="store_const", const="full")
    given = asked.parse_args()
    count = COUNTS[given.form or "short"]
    print(f"{count:,} loads")  # noqa: T201
    found = measure(count)
    for one in found:
        bound = f"at most {one.most:g}" if one.counts else "no bound"
        said = "" if one.is_kept else "  TOO MUCH"
        print(f"    {one.name}: {one.ratio:.2f} ({bound}){said}")  # noqa: T201
    return int(not all(one.is_kept for one in found))


if __name__ == "__main__":
    raise SystemExit(main())
