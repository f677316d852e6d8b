"""Do the shop's rules make sense: known facts, tests that fit them, values of the right kind."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

from laydown.domain.garment import Dye, History, Structure
from laydown.domain.ink import Blocker, Bond, Viscosity
from laydown.domain.rule import Condition, Rule
from laydown.errors import InvalidInput
from laydown.planning.facts import FACTS, Fact

TESTS = {
    "number": ("is", "is not", "at least", "at most", "above", "below"),
    "yes or no": ("is", "is not"),
    "text": ("is", "is not", "any of", "none of"),
    "set": ("contains", "lacks"),
}

WORDS: dict[str, tuple[str, ...]] = {
    "structure": tuple(Structure),
    "dye": tuple(Dye),
    "history": tuple(History),
    "white blocker": tuple(Blocker),
    "white viscosity": tuple(Viscosity),
    "first ink bonds to": tuple(Bond),
}
"""Words that facts of a closed list can have: a rule with any other would never hold, and nobody would notice."""


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
    _check_words(rule, condition, where)


def _check_words(rule: Rule, condition: Condition, where: str) -> None:
    allowed = WORDS.get(condition.fact)
    if allowed is None:
        return
    asked = condition.value if isinstance(condition.value, tuple) else (str(condition.value),)
    for word in asked:
        if word not in allowed:
            near = difflib.get_close_matches(word, allowed, n=1)
            hint = f"did you mean {str(near[0])!r}? " if near else ""
            raise InvalidInput(
                f"the rule {rule.name!r}: {condition.fact!r} is never {word!r}; {hint}"
                f"allowed are {', '.join(repr(str(one)) for one in allowed)}",
                where=where,
            )
