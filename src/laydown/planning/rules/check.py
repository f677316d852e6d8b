"""Do the shop's rules make sense: known facts, tests that fit them, values of the right kind."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

from laydown.domain.rule import Condition, Rule
from laydown.errors import InvalidInput
from laydown.planning.facts import FACTS, Fact

TESTS = {
    "number": ("is", "is not", "at least", "at most", "above", "below"),
    "yes or no": ("is", "is not"),
    "text": ("is", "is not", "any of", "none of"),
    "set": ("contains", "lacks"),
}


def check_rules(rules: Iterable[Rule]) -> None:
    """Raise InvalidInput for the first rule that cannot be applied, naming file, rule and what is allowed."""
    known = {fact.name: fact for fact in FACTS}
    for rule in rules:
        for condition in (*rule.when, *rule.must):
            _check_condition(rule, condition, known)


def _check_condition(rule: Rule, condition: Condition, known: dict[str, Fact]) -> None:
    where = rule.where or f"rule {rule.name!r}"
    fact = known.get(condition.fact)
    if fact is None:
        near = difflib.get_close_matches(condition.fact, known, n=3, cutoff=0.4)
        hint = f"; did you mean {' or '.join(map(repr, near))}?" if near else ""
        raise InvalidInput(
            f"the rule {rule.name!r} asks for the unknown fact {condition.fact!r}{hint} "
            "('laydown rules --facts' lists all)",
            where=where,
        )
    allowed = TESTS[fact.kind]
    if condition.test not in allowed:
        raise InvalidInput(
            f"the rule {rule.name!r}: {fact.name!r} is a {fact.kind} fact, so {condition.test!r} does not fit it; "
            f"allowed are {', '.join(allowed)}",
            where=where,
        )
    value = condition.value
    fits = {
        "number": isinstance(value, int | float) and not isinstance(value, bool),
        "yes or no": isinstance(value, bool),
        "text": isinstance(value, tuple) if condition.test in {"any of", "none of"} else isinstance(value, str),
        "set": isinstance(value, str),
    }[fact.kind]
    if not fits:
        raise InvalidInput(
            f"the rule {rule.name!r}: {fact.name!r} {condition.test} {value!r} compares a {fact.kind} fact with "
            "another kind of value",
            where=where,
        )
