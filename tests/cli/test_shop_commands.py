"""``laydown init``, ``laydown rules``, ``laydown schema``."""

import json

from calls import call, files_under

from laydown.documents.template import demo_art, demo_order_texts, template_texts
from laydown.services.rules import rule_facts, trade_rules
from laydown.services.shelves import open_shop, read_order


def test_init_writes_the_invented_shop_with_its_orders(tmp_path):
    folder = tmp_path / "mine"

    called = call("init", str(folder))

    assert called.status == 0
    assert f"laydown plan {folder}/orders/" in called.out
    texts = template_texts() | {f"orders/{name}": text for name, text in demo_order_texts().items()}
    art = {f"orders/{name}": drawing for name, drawing in demo_art().items()}
    assert files_under(folder) == {name: text.encode() for name, text in texts.items()} | art


def test_the_command_that_init_proposes_reads_its_files(tmp_path):
    call("init", str(tmp_path / "mine"))
    proposed = call("init", str(tmp_path / "second")).out.split("next: laydown plan ")[1].split()

    shop = open_shop(proposed[2])

    assert proposed[1] == "--shop"
    assert read_order(proposed[0], shop).quantity > 0


def test_rules_are_listed_with_effect_reason_and_source(monkeypatch):
    monkeypatch.setenv("COLUMNS", "600")

    out = call("rules").out

    for rule in trade_rules(open_shop()):
        line = next(line for line in out.splitlines() if line.startswith(rule.name + " "))
        for word in (rule.effect.value, rule.reason, rule.source):
            assert word in line


def test_a_rule_that_is_switched_off_is_listed_as_off(tmp_path, monkeypatch):
    monkeypatch.setenv("COLUMNS", "600")
    call("init", str(tmp_path / "shop"))
    rules = tmp_path / "shop" / "rules.toml"
    rules.write_text(rules.read_text(encoding="utf-8").replace("[[rule]]", "[[rule]]\nactive = false", 1))

    assert call("rules", "--shop", str(tmp_path / "shop")).out.count("(off)") == 1


def test_facts_are_listed_with_kind_and_meaning(monkeypatch):
    monkeypatch.setenv("COLUMNS", "600")

    out = call("rules", "--facts").out

    for fact in rule_facts():
        line = next(line for line in out.splitlines() if line.startswith(fact.name + " "))
        assert fact.kind in line
        assert fact.meaning in line


def test_schemas_are_json_with_a_title():
    for kind in ("plan", "order"):
        schema = json.loads(call("schema", kind).out)

        assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
        assert kind in schema["title"]
