"""Which mutants do not count towards the mutation score, and that nothing else is left out."""

from __future__ import annotations

import ast

import pytest
from tools.mutants.rule import left_out

FUNCTION = '''
def function(width: float, height=0.0) -> float:
    """Say what it does."""
    w = np.asarray(width, dtype=np.float64)
    n = np.asarray(width, dtype=np.int64)
    require_range("a model", "width", w, 0.0, 2.0, "m")
    if w < 0:
        raise InvalidInput("must not be negative", where="width")
    if w > 1:
        raise InvalidInput(f"must lie below {1 + 1}", where="width") from None
    name = "must not be negative"
    return np.empty(3, dtype=np.float64) + w + n
'''


def verdict(old, new):
    assert FUNCTION.count(old) == 1
    before, after = (ast.parse(source).body[0] for source in (FUNCTION, FUNCTION.replace(old, new)))
    return left_out(before, after)


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ('"must not be negative", w', '"XXmust not be negativeXX", w', "message"),
        ('"must not be negative", w', "None, w", "message"),
        ("1 + 1", "1 - 1", "message"),
        ('"a model"', '"A MODEL"', "message"),
        ('"width", w,', '"WIDTH", w,', "message"),
        ('2.0, "m"', "2.0, None", "message"),
        ("(3, dtype=np.float64)", "(3)", "dtype"),
        ("(3, dtype=np.float64)", "(3, dtype=None)", "dtype"),
        ("(width, dtype=np.float64)", "(width)", "dtype"),
        ("(width, dtype=np.float64)", "(width, dtype=None)", "dtype"),
        ("Say what it does.", "XX", "docstring"),
        ("width: float", "width: int", "annotation"),
        ("-> float", "-> int", "annotation"),
    ],
)  # fmt: skip
def test_messages_float64_docstrings_and_annotations_are_left_out(old, new, why):
    assert verdict(old, new) == why


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("w < 0", "w <= 0"),
        ("height=0.0", "height=1.0"),
        ('negative", where="width"', 'negative", where="XXwidthXX"'),
        ('negative", where="width"', 'negative", where=None'),
        ('negative", where="width"', 'negative"'),
        ('"must not be negative", w', "w"),
        ('0.0, 2.0, "m"', '1.0, 2.0, "m"'),
        ('0.0, 2.0, "m"', '0.0, 3.0, "m"'),
        ('"width", w,', '"width", None,'),
        ("(width, dtype=np.int64)", "(width)"),
        ("(width, dtype=np.int64)", "(width, dtype=None)"),
        ("(width, dtype=np.float64)", "(None, dtype=np.float64)"),
        ("(3, dtype=np.float64)", "(4, dtype=np.float64)"),
        ("(3, dtype=np.float64)", "(dtype=np.float64)"),
        ('name = "must not be negative"', 'name = "MUST NOT BE NEGATIVE"'),
        ("+ w + n", "- w + n"),
        ("return np", "return 2 * np"),
    ],
)
def test_everything_else_counts(old, new):
    assert verdict(old, new) is None


def test_two_changes_at_once_count():
    assert verdict('"a model", "width", w, 0.0', '"A MODEL", "width", w, 1.0') is None
