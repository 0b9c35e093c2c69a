"""Small changes to a module's source, each of which a test of the module should notice."""

from __future__ import annotations

import ast
import copy
from collections.abc import Iterator
from dataclasses import dataclass

OPERATORS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Pow: ast.Mult, ast.Mod: ast.Mult,
}  # fmt: skip
COMPARISONS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip


@dataclass(frozen=True)
class Mutant:
    """One change: its line, what it was and became, and the changed tree."""

    line: int
    was: str
    became: str
    tree: ast.Module


def mutants(source: str) -> list[Mutant]:
    """Every single change, in the order of the source.

    Changed are operators, comparisons, and/or, `not`, and numbers. Left alone are messages (f-texts
    and what is raised), annotations, decorators and imports.
    """
    tree = ast.parse(source)
    places = [place for place, node in enumerate(ast.walk(tree)) if _changes(node)]
    skipped = _skipped(tree)
    found = []
    for place in places:
        node = _node(tree, place)
        if id(node) in skipped:
            continue
        for number in range(len(_changes(node))):
            changed = copy.deepcopy(tree)
            target = _node(changed, place)
            was = ast.unparse(target)
            _changes(target)[number]()
            line = getattr(node, "lineno", 0)
            found.append(Mutant(line, was, ast.unparse(target), changed))
    return sorted(found, key=lambda mutant: mutant.line)


def _node(tree: ast.AST, place: int) -> ast.AST:
    for number, node in enumerate(ast.walk(tree)):
        if number == place:
            return node
    raise IndexError(place)


def _skipped(tree: ast.AST) -> set[int]:
    """Nodes inside messages, annotations and decorators."""
    roots: list[ast.AST] = []
    for node in ast.walk(tree):
        if isinstance(node, (ast.JoinedStr, ast.Raise)):
            roots.append(node)
        if isinstance(node, ast.FunctionDef):
            arguments = [*node.args.args, *node.args.kwonlyargs, *node.args.posonlyargs]
            roots += [*node.decorator_list, *(a.annotation for a in arguments if a.annotation)]
            roots += [node.returns] if node.returns else []
        if isinstance(node, ast.ClassDef):
            roots += node.decorator_list
        if isinstance(node, ast.AnnAssign):
            roots.append(node.annotation)
    return {id(inner) for root in roots for inner in ast.walk(root)}


def _changes(node: ast.AST) -> list:
    """What may be done to a node, as functions that do it."""
    return list(_possible(node))


def _possible(node: ast.AST) -> Iterator:
    if isinstance(node, (ast.BinOp, ast.AugAssign)):
        other = OPERATORS.get(type(node.op))
        if other and not _is_text(node):
            yield lambda: setattr(node, "op", other())
    elif isinstance(node, ast.Compare):
        for at, operator in enumerate(node.ops):
            other = COMPARISONS.get(type(operator))
            if other:
                yield lambda at=at, other=other: node.ops.__setitem__(at, other())
    elif isinstance(node, ast.BoolOp):
        other = ast.Or if isinstance(node.op, ast.And) else ast.And
        yield lambda: setattr(node, "op", other())
    elif isinstance(node, ast.Constant) and type(node.value) in (int, float):
        yield lambda: setattr(node, "value", node.value + 1)


def _is_text(node: ast.AST) -> bool:
    sides = [getattr(node, name, None) for name in ("left", "right", "value")]
    return any(
        isinstance(side, ast.JoinedStr)
        or (isinstance(side, ast.Constant) and isinstance(side.value, str))
        for side in sides
    )
