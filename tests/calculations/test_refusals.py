"""What is no amount is refused by each plain function of numbers, never worked with."""

import importlib
import inspect
import math
import pkgutil
import typing

import pytest

import farmrecords.calculations as room

# a change of unit keeps its sign and its NaN; a figure without a ratio has no telltale factor
EXEMPT = {"metres", "rain_in", "temperature_f", "wind_mph", "telltale_factor"}


def functions_of_numbers():
    """Every public function whose inputs are all plain numbers (a choice of yes or no besides)."""
    found = []
    for module in pkgutil.iter_modules(room.__path__):
        held = importlib.import_module(f"{room.__name__}.{module.name}")
        for name, function in inspect.getmembers(held, inspect.isfunction):
            if name.startswith("_") or function.__module__ != held.__name__ or name in EXEMPT:
                continue
            hints = typing.get_type_hints(function)
            inputs = inspect.signature(function).parameters
            numbers = [one for one in inputs if hints.get(one) is float]
            named = all(one.kind is not one.VAR_POSITIONAL for one in inputs.values())
            if numbers and named and all(hints.get(one) in (float, bool) for one in inputs):
                found.append(function)
    return found


FUNCTIONS = functions_of_numbers()


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda one: f"{one.__module__}.{one.__name__}")
@pytest.mark.parametrize("wrong", [math.nan, math.inf, -1.0])
def test_what_is_no_amount_is_refused_with_words_of_our_own(function, wrong):
    hints = typing.get_type_hints(function)
    inputs = inspect.signature(function).parameters
    usual = {name: False if hints[name] is bool else 1.0 for name in inputs}
    for name in inputs:
        if hints[name] is float:
            with pytest.raises(ValueError, match=r"\w+ \w+ .*[.:;]") as refused:
                function(**{**usual, name: wrong})
            assert "convert float" not in str(refused.value)
            assert "math domain" not in str(refused.value)


def test_the_functions_are_found():
    assert {one.__name__ for one in FUNCTIONS} >= {
        "rain_gal", "sheet_rate_ton_per_ac", "soil_loss_ton_per_ac", "distance_rating",
    }  # fmt: skip
