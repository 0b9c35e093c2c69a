"""No room but the calculations works out a figure: products and quotients of names with a unit.

The drawing room multiplies feet into points of the picture and is left out for that reason. Readers
of files may import nothing; there a file's own unit is turned into ours with one constant of the
module, named in capitals, and nothing else. Ground, too, is widened, cut and measured only there.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.house.rooms import ROOT, room_of, sources

UNITS = {
    "ac", "acre", "acres", "bu", "cm", "cuft", "ft", "ft2", "ft3", "gal", "gallons", "gpm", "h",
    "ha", "hours", "in", "inches", "kg", "kgal", "km", "lb", "lbs", "metres", "mg", "mile", "miles",
    "milli", "mm", "mph", "pct", "ppm", "pounds", "sqft", "sqm", "ton", "tonne", "tons", "yd3",
}  # fmt: skip
WITHOUT_FORMULAS = ("calculations", "drawing")
SAME_FIGURE = {"float", "int", "Decimal", "Fraction", "abs", "sum", "max", "min", "round", "len"}


def names_in(node: ast.expr) -> Iterator[str]:
    """The names a side of a product stands for: through signs, subscripts and number types."""
    if isinstance(node, ast.Name):
        yield node.id
    elif isinstance(node, ast.Attribute):
        yield node.attr
    elif isinstance(node, ast.Subscript):
        yield from names_in(node.value)
        if isinstance(node.slice, ast.Constant) and isinstance(node.slice.value, str):
            yield node.slice.value
    elif isinstance(node, ast.UnaryOp):
        yield from names_in(node.operand)
    elif isinstance(node, ast.BinOp):
        yield from names_in(node.left)
        yield from names_in(node.right)
    elif isinstance(node, ast.BoolOp):
        for value in node.values:
            yield from names_in(value)
    elif isinstance(node, ast.IfExp):
        yield from names_in(node.body)
        yield from names_in(node.orelse)
    elif isinstance(node, ast.GeneratorExp):
        yield from names_in(node.elt)
    elif isinstance(node, ast.Call):
        called = next(names_in(node.func), "")
        yield called
        if called in SAME_FIGURE:
            for argument in node.args:
                yield from names_in(argument)


def has_unit(name: str) -> bool:
    """Whether a name ends in a unit of the trade."""
    return name.lower().rsplit("_", 1)[-1] in UNITS


def is_change_of_unit(sides: list[ast.expr]) -> bool:
    """Whether exactly one side is a constant in capitals and the other one plain value."""
    capitals = [isinstance(side, ast.Name) and side.id.isupper() for side in sides]
    products = [isinstance(node, ast.BinOp) for side in sides for node in ast.walk(side)]
    return sum(capitals) == 1 and not any(products)


def formulas(source: str, room: str) -> list[tuple[int, str]]:
    """Line and words of each product or quotient with a side that has a unit."""
    tree = ast.parse(source)
    allowed: set[int] = set()
    if room == "formats":
        for statement in tree.body:
            if isinstance(statement, (ast.Assign, ast.AnnAssign)):
                allowed |= {id(node) for node in ast.walk(statement)}
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.BinOp):
            sides = [node.left, node.right]
        elif isinstance(node, ast.AugAssign):
            sides = [node.target, node.value]
        else:
            continue
        is_product = isinstance(node.op, (ast.Mult, ast.Div, ast.FloorDiv))
        is_product &= not (room == "formats" and is_change_of_unit(sides))
        if is_product and id(node) not in allowed:
            names = [name for side in sides for name in names_in(side)]
            if any(has_unit(name) for name in names):
                found.append((node.lineno, ast.unparse(node)))
    return found


def test_no_other_room_works_out_a_figure() -> None:
    found = [
        f"{path.relative_to(ROOT)}:{line}: {words}"
        for path in sources()
        if (room := room_of(Path(path))) not in WITHOUT_FORMULAS
        for line, words in formulas(path.read_text(encoding="utf-8"), room)
    ]
    assert found == []


@pytest.mark.parametrize(
    "written",
    [
        "rate = amount_gal / covered_ac",
        "left = limit * acres",
        "x = load.amount_milli / 1000",
        "x = -rows['amount_lb'] * 2",
        "x = Decimal(part.amount_milli) // count",
        "total_gal *= 2",
        "x = (a + b_lb) * c",
        "x = sum(row.net_lb for row in rows) / n",
        "x = (width_ft or 30) * n",
        "x = area_ac(ground) * share",
        "x = (a_ft if a_ft else 0) * n",
    ],
)
def test_a_formula_is_found(written: str) -> None:
    assert formulas(written, "loads")


@pytest.mark.parametrize(
    "written",
    [
        "x = a_lb + b_lb",
        "x = 2 * count",
        "x = '%s' % amount_gal",
        "x = inches(5) and 3 * n",
        "x = min(2, n) / 3",
        "pages = len(rows) // per_page",
    ],
)
def test_a_sum_or_a_plain_count_is_no_formula(written: str) -> None:
    assert not formulas(written, "loads")


def test_a_reader_may_hold_a_factor_but_not_work_with_it_inside_a_function() -> None:
    assert not formulas("FACTOR = 1 / L_PER_GAL", "formats")
    assert formulas("FACTOR = 1 / L_PER_GAL", "loads")
    assert formulas("def f(depth_cm):\n    return depth_cm / 2.54", "formats")
    assert not formulas("def f(depth_cm):\n    return depth_cm / CM_PER_IN", "formats")
    assert formulas("def f(depth_cm, n):\n    return depth_cm * n / CM_PER_IN", "formats")


GEOMETRY = {
    "buffer", "difference", "distance", "dwithin", "hausdorff_distance", "intersection",
    "symmetric_difference",
}  # fmt: skip


def measured_ground(source: str) -> list[tuple[int, str]]:
    """Line and words of each call that widens, cuts or measures ground."""
    return [
        (node.lineno, ast.unparse(node.func))
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in GEOMETRY
    ]


def test_no_other_room_widens_cuts_or_measures_ground() -> None:
    """The drawing room clips pictures to their paper and is left out for that reason."""
    found = [
        f"{path.relative_to(ROOT)}:{line}: {words}"
        for path in sources()
        if room_of(Path(path)) not in WITHOUT_FORMULAS
        for line, words in measured_ground(path.read_text(encoding="utf-8"))
    ]
    assert found == []


def test_a_call_of_the_geometry_library_is_found() -> None:
    assert measured_ground("zone = shapely.buffer(place, reach)")
    assert measured_ground("left = field.difference(zone)")
    assert not measured_ground("left = cut_out(field, kept)")


def called_names(tree: ast.AST, within: ast.AST | None = None) -> set[str]:
    """The names a module uses, those inside one of its functions left out."""
    inside = {id(node) for node in ast.walk(within)} if within is not None else set()
    found: set[str] = set()
    for node in ast.walk(tree):
        if id(node) in inside:
            continue
        if isinstance(node, ast.Name):
            found.add(node.id)
        elif isinstance(node, ast.Attribute):
            found.add(node.attr)
    return found


def test_every_public_function_of_the_calculations_has_a_caller() -> None:
    """A formula that nothing of the product uses is no part of it: give it a worksheet."""
    trees = {Path(path): ast.parse(path.read_text(encoding="utf-8")) for path in sources()}
    used = {path: called_names(tree) for path, tree in trees.items()}
    without = []
    for path, tree in trees.items():
        if room_of(path) != "calculations":
            continue
        elsewhere = set().union(*(names for other, names in used.items() if other != path))
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                if node.decorator_list or node.name in elsewhere:
                    continue
                if node.name not in called_names(tree, within=node):
                    without.append(f"{path.relative_to(ROOT)}: {node.name}")
    assert without == []
