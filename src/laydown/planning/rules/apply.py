"""Apply the shop's trade rules to one candidate stack."""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from laydown.domain.rule import Condition, Effect, Rule
from laydown.planning.facts import FACTS, Setting

_FACTS = {fact.name: fact for fact in FACTS}

_COMPARE: dict[str, Callable[[Any, Any], bool]] = {
    "is": operator.eq,
    "is not": operator.ne,
    "at least": operator.ge,
    "at most": operator.le,
    "above": operator.gt,
    "below": operator.lt,
    "any of": lambda value, options: value in options,
    "none of": lambda value, options: value not in options,
    "contains": lambda values, option: option in values,
    "lacks": lambda values, option: option not in values,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What the rules say of a stack.

    Attributes
    ----------
    struck_by : Rule or None
        First rule, in shelf order, that forbids the stack or whose requirement it misses.
    warnings, preferred : tuple of Rule
    """

    struck_by: Rule | None
    warnings: tuple[Rule, ...]
    preferred: tuple[Rule, ...]

    @property
    def preference(self) -> float:
        """Worth of the preferences the stack follows, as a share of the order's cost."""
        return sum(rule.weight for rule in self.preferred)


def relevant(rules: Iterable[Rule], setting: Setting) -> tuple[Rule, ...]:
    """Active rules that may say something of a print, whatever its stack: asked once, not for each of its candidates.

    Parameters
    ----------
    rules : iterable of Rule
    setting : Setting
        With any stack of the print; what rules ask of the stack is left open.
    """
    return tuple(
        rule
        for rule in rules
        if rule.active and all(_FACTS[c.fact].stack_fact or _holds(c, setting) for c in rule.when)
    )


def judge(rules: Iterable[Rule], setting: Setting) -> Verdict:
    """Apply all active rules to one candidate stack.

    Parameters
    ----------
    rules : iterable of Rule
        Checked by `laydown.planning.rules.check.check_rules`.
    setting : Setting
    """
    struck: Rule | None = None
    warnings: list[Rule] = []
    preferred: list[Rule] = []
    for rule in rules:
        if not rule.active or not all(_holds(c, setting) for c in rule.when):
            continue
        if rule.effect is Effect.WARN:
            warnings.append(rule)
        elif rule.effect is Effect.PREFER:
            preferred.append(rule)
        elif struck is None and (rule.effect is Effect.FORBID or not all(_holds(c, setting) for c in rule.must)):
            struck = rule
    return Verdict(struck_by=struck, warnings=tuple(warnings), preferred=tuple(preferred))


def _holds(condition: Condition, setting: Setting) -> bool:
    return _COMPARE[condition.test](_FACTS[condition.fact].of(setting), condition.value)
