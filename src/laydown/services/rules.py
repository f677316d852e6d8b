"""The trade rules that a shop plans by, and the facts that a rule can ask for."""

from __future__ import annotations

from laydown.domain.rule import Rule
from laydown.domain.shop import Shop
from laydown.planning.facts import FACTS, Fact
from laydown.planning.rules.check import check_rules


def trade_rules(shop: Shop) -> tuple[Rule, ...]:
    """Every rule of the shop, those switched off included.

    Raises
    ------
    InvalidInput
        When a rule cannot be applied.
    """
    check_rules(shop.rules)
    return shop.rules


def rule_facts() -> tuple[Fact, ...]:
    """Every fact that a rule can ask for."""
    return FACTS
