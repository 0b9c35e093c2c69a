"""The written situations of this folder, read once."""

from functools import cache
from pathlib import Path

from farmrecords.rules.cases import Case, case_files, read_cases
from farmrecords.rules.rulebook import Rulebook, read_rulebook

HERE = Path(__file__).parent
CASES = HERE / "cases"
BROKEN = HERE / "broken"


@cache
def rulebook() -> Rulebook:
    """The packaged rulebook."""
    return read_rulebook()


@cache
def cases() -> tuple[Case, ...]:
    """Every written situation, with its path below ``cases/``."""
    return tuple(
        case
        for path in case_files(CASES)
        for case in read_cases(path, path.relative_to(CASES).as_posix())
    )


@cache
def by_file() -> dict[str, list[Case]]:
    """The situations of each file."""
    found: dict[str, list[Case]] = {}
    for case in cases():
        found.setdefault(case.path.split(" case ")[0], []).append(case)
    return found
