"""``rules.toml``: trade rules as data that a shop reads, adds to and switches off."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, Self

from pydantic import BaseModel, ConfigDict, Field, PlainValidator, WithJsonSchema, model_validator

from laydown.documents.entry import Entry, number
from laydown.documents.garment_file import Text
from laydown.documents.sentences import place, shown_value, told_at
from laydown.domain.rule import Condition, Effect, Rule


def _single(value: Any) -> bool | float | str:
    if isinstance(value, bool | str):
        return value
    if isinstance(value, int | float) and abs(value) < 1e300:
        return float(value)
    raise ValueError(f"{shown_value(value)} does not fit; a text, a finite number, true or false is needed")


Single = Annotated[
    bool | float | str, PlainValidator(_single), WithJsonSchema({"type": ["boolean", "number", "string"]})
]
Sentence = Annotated[str, Field(max_length=500)]

TESTS = ("is", "is_not", "at_least", "at_most", "above", "below", "any_of", "none_of", "contains", "lacks")
"""Test words of a condition as keys of the file; the record writes them with blanks."""


class ConditionEntry(BaseModel):
    """One comparison: ``{ fact = "polyester", at_least = 0.3 }``."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False)

    fact: Text = Field(description="Name of a fact of the order or the stack.")
    is_: Single | None = Field(default=None, alias="is", description="The fact equals this.")
    is_not: Single | None = Field(default=None, description="The fact differs from this.")
    at_least: float | None = Field(default=None, description="The fact is this or more.")
    at_most: float | None = Field(default=None, description="The fact is this or less.")
    above: float | None = Field(default=None, description="The fact is more than this.")
    below: float | None = Field(default=None, description="The fact is less than this.")
    any_of: list[str] | None = Field(default=None, min_length=1, description="The fact is one of these.")
    none_of: list[str] | None = Field(default=None, min_length=1, description="The fact is none of these.")
    contains: str | None = Field(default=None, description="The fact is a set that has this.")
    lacks: str | None = Field(default=None, description="The fact is a set that has not this.")

    @model_validator(mode="after")
    def _one_test(self) -> Self:
        given = [word for word in TESTS if self.value_of(word) is not None]
        if len(given) != 1:
            told = f"has {len(given)} tests ({', '.join(given)})" if given else "has no test"
            raise ValueError(f"the condition on {self.fact!r} {told}; exactly one of {', '.join(TESTS)} is needed")
        return self

    def value_of(self, word: str) -> Single | list[str] | None:
        """Value beside a test word, or None when it was not given."""
        value: Single | list[str] | None = getattr(self, "is_" if word == "is" else word)
        return value


class RuleEntry(Entry):
    """A rule as a file describes it."""

    name: Text = Field(description="Name of the rule.")
    effect: Annotated[Effect, Field(strict=False)] = Field(description="What it does to a stack that it applies to.")
    when: list[ConditionEntry] = Field(max_length=20, description="All must hold for the rule to apply.")
    must: list[ConditionEntry] = Field(
        default=[], max_length=20, description="With 'require': what must then hold as well."
    )
    reason: Sentence = Field(description="Why, in the sentence that a printer reads.")
    source: Sentence = Field(description="Where the rule is from.")
    weight: float = number(
        "With 'prefer': worth of following it, as a share of the order's cost.", default=0.02, least=0, most=1
    )
    active: bool = Field(default=True, description="Whether the rule is used.")


def rule_from(
    entry: RuleEntry,
    *,
    where: str,
    at: tuple[str | int, ...],
    folder: Path | None = None,  # noqa: ARG001 - one signature for all shelves
) -> Rule:
    """Rule of an entry; it remembers the file's name and its place there (``folder`` is not looked at)."""
    with told_at(place(where, at, name=entry.name)):
        return Rule(
            name=entry.name,
            effect=entry.effect,
            when=tuple(_condition(one) for one in entry.when),
            must=tuple(_condition(one) for one in entry.must),
            reason=entry.reason,
            source=entry.source,
            weight=float(entry.weight),
            active=entry.active,
            where=place(Path(where).name, at),
        )


def rule_table(rule: Rule) -> dict[str, Any]:
    """Table that writes a rule down."""
    table: dict[str, Any] = {"name": rule.name, "effect": str(rule.effect)}
    table |= {"when": [_condition_table(one) for one in rule.when]}
    table |= {"must": [_condition_table(one) for one in rule.must]} if rule.must else {}
    table |= {"reason": rule.reason, "source": rule.source, "weight": rule.weight}
    return table | {"active": rule.active}


def _condition(entry: ConditionEntry) -> Condition:
    word = next(word for word in TESTS if entry.value_of(word) is not None)
    value = entry.value_of(word)
    if isinstance(value, list):
        return Condition(fact=entry.fact, test=word.replace("_", " "), value=tuple(value))
    return Condition(fact=entry.fact, test=word.replace("_", " "), value=value if value is not None else "")


def _condition_table(condition: Condition) -> dict[str, Any]:
    value = list(condition.value) if isinstance(condition.value, tuple) else condition.value
    return {"fact": condition.fact, condition.test.replace(" ", "_"): value}
