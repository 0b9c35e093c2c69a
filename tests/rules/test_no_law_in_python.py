"""No number of the law stands in the Python of the rules room."""

import ast
from pathlib import Path

import pytest

import farmrecords.rules

ROOM = Path(farmrecords.rules.__file__).parent
# Positions, counts and the calendar: first and last item, an index, months of a year.
PLAIN = {-1, 0, 1, 2, 12}


def numbers(path: Path) -> list[tuple[int, object]]:
    """Numbers in the code, with their lines; docstrings are text and carry none."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [
        (node.lineno, node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, (int, float))
        and not isinstance(node.value, bool)
        and node.value not in PLAIN
    ]


@pytest.mark.parametrize("path", sorted(ROOM.glob("checks/*.py")), ids=lambda path: path.stem)
def test_a_check_holds_no_number_of_the_law(path: Path) -> None:
    assert numbers(path) == []


def test_decimals_in_checks_are_not_written_as_text_either() -> None:
    """``Decimal("100")`` would hide a number from the test above."""
    hidden = []
    for path in sorted(ROOM.glob("checks/*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Decimal":
                hidden += [(path.stem, ast.dump(arg)) for arg in node.args if _is_text(arg)]
    assert hidden == []


def _is_text(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def test_the_rest_of_the_room_holds_only_numbers_of_its_own() -> None:
    """Days of the months, the day of the year's end, how much is remembered."""
    allowed = {"reading.py": {28, 29, 30, 31}, "judge.py": {4096}}
    found = {
        path.name: {value for _, value in numbers(path)}
        for path in sorted(ROOM.glob("*.py"))
        if numbers(path)
    }
    assert {name: values - allowed.get(name, set()) for name, values in found.items()} == {
        name: set() for name in found
    }


def test_a_check_does_not_ask_for_the_date() -> None:
    """The values in force come with the rule; a check never looks at the clock."""
    asking = [
        path.stem
        for path in sorted(ROOM.rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and node.attr in ("today", "now", "utcnow")
    ]
    assert asking == []
