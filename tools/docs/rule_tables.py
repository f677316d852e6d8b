"""Write the tables of facts and shipped rules into docs/manual/rules.md; run it after changing either."""

from __future__ import annotations

from pathlib import Path

from laydown.domain.rule import Condition, Rule
from laydown.services.rules import rule_facts, trade_rules
from laydown.services.shelves import open_shop

PAGE = Path(__file__).parents[2] / "docs" / "manual" / "rules.md"
BEGIN = "<!-- {name}: written by tools/docs/rule_tables.py -->"
END = "<!-- end of {name} -->"


def facts_table() -> str:
    """Every fact, its kind and its meaning, as a Markdown table."""
    rows = [f"| `{fact.name}` | {fact.kind} | {fact.meaning} |" for fact in rule_facts()]
    return "\n".join(("| fact | kind | meaning |", "|---|---|---|", *rows))


def rules_table() -> str:
    """Every shipped rule: when it applies, what it does, why, and its source, as a Markdown table."""
    rows = [_row(rule) for rule in trade_rules(open_shop())]
    return "\n".join(("| rule | when | does | reason | source |", "|---|---|---|---|---|", *rows))


def with_tables(page: str) -> str:
    """Text of the page with its tables brought up to date."""
    for name, table in (("facts", facts_table()), ("rules", rules_table())):
        begin, end = BEGIN.format(name=name), END.format(name=name)
        head, _, rest = page.partition(begin)
        _, _, tail = rest.partition(end)
        page = f"{head}{begin}\n\n{table}\n\n{end}{tail}"
    return page


def _row(rule: Rule) -> str:
    does = rule.effect.value
    if rule.must:
        does += ": " + _conditions(rule.must)
    if rule.effect.value == "prefer":
        does += f" ({rule.weight:g})"
    return f"| {rule.name} | {_conditions(rule.when)} | {does} | {rule.reason} | {rule.source} |"


def _conditions(conditions: tuple[Condition, ...]) -> str:
    return "; ".join(f"`{c.fact}` {c.test} {_value(c.value)}" for c in conditions)


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return " or ".join(f"`{one}`" for one in value)
    return f"{value:g}" if isinstance(value, float | int) else f"`{value}`"


if __name__ == "__main__":
    PAGE.write_text(with_tables(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
