"""What ``import laydown`` offers is a promise."""

import inspect

import pytest

import laydown

NAMES = [
    "Conflict",
    "ConvergenceError",
    "InvalidInput",
    "LaydownError",
    "NotFound",
    "OutOfRange",
    "StoreUnavailable",
    "__version__",
    "explain_number",
    "init_shop",
    "open_shop",
    "own_inks",
    "plan_json",
    "plan_order",
    "read_order",
    "read_season",
    "rule_facts",
    "schema",
    "ticket",
    "trade_rules",
    "warm_up",
    "what_if",
]


def test_exactly_these_names_are_public():
    assert sorted(laydown.__all__) == NAMES
    assert dir(laydown) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_every_public_name_exists_and_functions_say_what_they_do(name):
    found = getattr(laydown, name)

    assert found is not None
    if callable(found):
        assert inspect.getdoc(found)


def test_an_unknown_name_is_an_attribute_error():
    with pytest.raises(AttributeError, match="plan_ordr"):
        laydown.plan_ordr  # noqa: B018 - asking for it is the test


def test_the_version_is_the_one_that_is_installed():
    from importlib.metadata import version

    assert version("laydown") == laydown.__version__
