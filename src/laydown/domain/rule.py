"""A trade rule as data: when it applies, what it does, and why."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from laydown.domain.validity import named
from laydown.errors import InvalidInput


class Effect(StrEnum):
    """What a rule does to a stack that it applies to."""

    FORBID = "forbid"
    REQUIRE = "require"
    PREFER = "prefer"
    WARN = "warn"


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """One comparison: a fact of the order or the stack against a value.

    Attributes
    ----------
    fact : str
        Name of a fact that laydown knows (``laydown rules --facts`` lists them).
    test : str
        ``is``, ``is not``, ``at least``, ``at most``, ``above``, ``below``, ``any of``, ``none of``.
    value : str, float, bool or tuple of str
    """

    fact: str
    test: str
    value: str | float | bool | tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A trade rule.

    Attributes
    ----------
    when : tuple of Condition
        All must hold for the rule to apply.
    must : tuple of Condition
        For ``require``: what must then hold as well. Empty for the other effects.
    reason : str
        The sentence a printer reads.
    weight : float
        For ``prefer``: the worth of following it, as a share of the order's cost.
    where : str
        File and place the rule was read from.
    """

    name: str
    effect: Effect
    when: tuple[Condition, ...]
    must: tuple[Condition, ...] = ()
    reason: str
    source: str
    weight: float = 0.02
    active: bool = True
    where: str = ""

    def __post_init__(self) -> None:
        named("a rule", self.name)
        if not self.reason.strip():
            raise InvalidInput(f"the rule {self.name!r} gives no reason; a rule says why", where=self.where)
        if not self.source.strip():
            raise InvalidInput(f"the rule {self.name!r} names no source", where=self.where)
        if (self.effect is Effect.REQUIRE) != bool(self.must):
            raise InvalidInput(
                f"the rule {self.name!r}: 'require' needs a 'must', and only 'require' has one",
                where=self.where,
            )
        if not self.when:
            raise InvalidInput(f"the rule {self.name!r} has no 'when', so it would always apply", where=self.where)
        if not 0 <= self.weight <= 1:
            raise InvalidInput(f"the rule {self.name!r}: weight lies between 0 and 1", where=self.where)
