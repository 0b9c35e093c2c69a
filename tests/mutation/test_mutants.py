"""The mutator changes what it should, one place at a time, and leaves messages alone."""

import ast

from tests.mutation.mutants import mutants

SOURCE = """
def rate(amount: float, acres: float = 2) -> float:
    if acres <= 0 or amount < 0:
        raise ValueError(f"{acres + 1} cannot be")
    return amount / acres
"""


def test_each_operator_comparison_and_number_is_changed_once() -> None:
    changes = [(one.was, one.became) for one in mutants(SOURCE)]
    assert ("amount / acres", "amount * acres") in changes
    assert ("acres <= 0", "acres < 0") in changes
    assert ("amount < 0", "amount <= 0") in changes
    assert ("2", "3") in changes
    assert changes.count(("0", "1")) == 2
    assert ("acres <= 0 or amount < 0", "acres <= 0 and amount < 0") in changes
    assert len(changes) == 7


def test_a_mutant_differs_in_one_place_and_messages_stay() -> None:
    for mutant in mutants(SOURCE):
        assert ast.unparse(mutant.tree) != ast.unparse(ast.parse(SOURCE))
        assert "{acres + 1} cannot be" in ast.unparse(mutant.tree)
