"""The pages stay true: what exists is documented, and what is documented exists."""

import importlib.util
import re
import tomllib
from pathlib import Path

import pytest
import typer

from laydown import errors
from laydown.cli import status
from laydown.cli.main import app
from laydown.documents.order_file import order_from_text
from laydown.domain.order import Requirements
from laydown.planning.job import STAGES
from laydown.planning.provenance import ORIGINS
from laydown.planning.tests_to_run import PROTOCOLS
from laydown.services.shelves import init_shop, open_shop

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
PAGES = sorted(path for path in DOCS.rglob("*.md") if "_build" not in path.parts)
COMMANDS = typer.main.get_command(app).commands


def text_of(name):
    return (ROOT / name).read_text(encoding="utf-8")


def told(path):
    return path.relative_to(ROOT).as_posix()


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_with_its_options_is_in_the_manual(name):
    page = text_of("docs/manual/getting-started.md")

    assert f"`laydown {name}" in page
    for option in COMMANDS[name].params:
        for flag in option.opts:
            if flag.startswith("--") and flag != "--shop":
                assert flag in page, f"{name} {flag}"
    assert "--shop" in page


def test_every_command_that_a_page_names_exists():
    for page in (*PAGES, ROOT / "README.md", ROOT / "CONTRIBUTING.md"):
        named = set(re.findall(r"(?:`|bin/)laydown (?:--debug )?([a-z]+)\b", page.read_text(encoding="utf-8")))
        assert named <= set(COMMANDS), told(page)


def test_facts_and_shipped_rules_stand_in_the_manual_as_they_are():
    spec = importlib.util.spec_from_file_location("rule_tables", ROOT / "tools" / "docs" / "rule_tables.py")
    tool = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tool)
    page = tool.PAGE.read_text(encoding="utf-8")

    assert tool.with_tables(page) == page, "run python tools/docs/rule_tables.py"


def test_every_table_is_on_the_page_of_tables():
    for table in (ROOT / "src" / "laydown" / "data" / "tables").glob("*.csv"):
        assert f"`{table.stem}`" in text_of("docs/data.md")


def test_every_origin_of_a_number_has_its_page():
    for origin in ORIGINS:
        assert (ROOT / origin.page).is_file(), f"{origin.path}: {origin.page}"


@pytest.mark.parametrize("path", sorted((DOCS / "physics").glob("*.md")), ids=told)
def test_a_model_page_tells_limits_sources_and_tests(path):
    text = path.read_text(encoding="utf-8").lower()

    assert "$" in text, "equations"
    assert "unit" in text, "symbols with units"
    assert re.search(r"limit|validity|outside the range", text), "limits"
    assert re.search(r"source|published|assumed", text), "sources"
    assert re.search(r"^## .*(tested|tests)", text, re.MULTILINE), "tests"


def test_every_kernel_and_its_door_are_on_a_model_page():
    pages = "".join(path.read_text(encoding="utf-8") for path in (DOCS / "physics").glob("*.md"))

    for path in (ROOT / "src" / "laydown" / "physics").glob("*.py"):
        if path.stem != "__init__":
            assert path.stem in pages, path.stem


def test_stages_and_default_requirements_are_those_of_the_planner():
    page = text_of("docs/planning.md")
    usual = Requirements()

    for stage in STAGES:
        assert f"| {stage} |" in page
    for key, value in (
        ("opacity_de", f"{usual.opacity:g}"),
        ("bleed_grade", f"{usual.bleed_grade:g}"),
        ("bleed_days", f"{usual.bleed_days:g}"),
        ("risk", f"{usual.risk:g}"),
        ("hand", usual.hand),
        ("wash", f"{usual.wash}"),
    ):
        assert f"| `{key}` | {value} |" in page


def test_the_figures_of_the_search_are_those_of_the_planner():
    from laydown.models.flash import LONGEST_FLASH
    from laydown.models.sampling import DIMENSIONS
    from laydown.planning import candidates, choice, dryer_settings, tests_to_run
    from laydown.services.planning import SAMPLES

    page = " ".join(text_of("docs/planning.md").split())
    for words in (
        f"Along {len(DIMENSIONS)} directions",
        f"Latin hypercube of {SAMPLES} standard normal points",
        f"A grid of {dryer_settings.SETTINGS} panel settings and {dryer_settings.SPEEDS} belt speeds",
        f"a finer grid of {dryer_settings.FINE.size} by {dryer_settings.FINE.size} around",
        f"is verified in all {SAMPLES} samples",
        f"misses in no more than {dryer_settings.VERIFIED_SHARE:g} of the allowed risk",
        f"Within {100 * dryer_settings.NEAR_COOLEST:g} % of heat load",
        f"does not gel its film within {LONGEST_FLASH:g} s",
        f"stretch additive ({100 * candidates.ADDITIVE_SHARE:g} %",
        f"reducer ({100 * candidates.REDUCER_SHARE:g} %",
        f"For up to {tests_to_run.MOST_COMPARED} of the best stacks",
    ):
        assert words in page, words
    counts = {2: "two", 3: "three", 4: "four"}
    assert f"up to {counts[candidates.MESHES_PER_ROLE[candidates.Role.UNDERBASE]]} meshes of 86 to 160" in page
    assert f"the {counts[choice.CLOSEST]} that got furthest" in page


def test_every_test_that_a_plan_can_ask_for_is_in_the_manual():
    for protocol in PROTOCOLS:
        assert f"| {protocol.name} |" in text_of("docs/manual/tests-and-tickets.md")


def test_every_exit_status_and_every_error_is_in_the_manual():
    page = text_of("docs/manual/errors.md")

    for value in (status.DONE, status.FAULT, status.BAD_INPUT, status.NOTHING_PASSES, status.INTERRUPTED):
        assert f"| {value} |" in page
    for kind in errors.LaydownError.__subclasses__():
        assert f"`{kind.__name__}`" in page


def test_the_units_that_the_manual_lists_end_some_key_of_a_file():
    from laydown.documents.dryer_file import DryerEntry
    from laydown.documents.garment_file import GarmentEntry
    from laydown.documents.ink_file import InkEntry
    from laydown.documents.order_entry import PrintEntry, ThermalEntry
    from laydown.documents.press_file import PressEntry
    from laydown.documents.screen_file import MeshEntry, ScreenEntry

    models = (*(DryerEntry, GarmentEntry, InkEntry, PrintEntry, ThermalEntry, PressEntry, MeshEntry, ScreenEntry),)
    keys = [key for model in models for key in model.model_fields]

    rows = [line.split("|") for line in text_of("docs/manual/units.md").splitlines() if line.startswith("| ")]
    for row in rows[1:]:
        for ending in re.findall(r"`([a-z0-9_]+)`", row[2]):
            assert any(key.endswith(ending) for key in keys), ending


@pytest.mark.parametrize("name", ["README.md", "docs/manual/orders.md"])
def test_the_order_that_a_page_shows_can_be_planned(name):
    (order,) = [text for text in re.findall(r"```toml\n(.*?)```", text_of(name), re.DOTALL) if "[order]" in text]

    assert order_from_text(order, open_shop(), where=name).quantity == 144


def test_the_rule_that_the_manual_shows_is_a_shipped_one():
    (rule,) = re.findall(r"```toml\n(.*?)```", text_of("docs/manual/rules.md"), re.DOTALL)
    shown = tomllib.loads(rule)["rule"][0]

    assert shown in tomllib.loads(text_of("src/laydown/data/shop/rules.toml"))["rule"]


@pytest.mark.parametrize("name", ["README.md", "docs/manual/getting-started.md"])
def test_the_library_example_of_a_page_runs(name, tmp_path, monkeypatch):
    (code,) = re.findall(r"```python\n(.*?)```", text_of(name), re.DOTALL)
    init_shop(tmp_path / "myshop")
    monkeypatch.chdir(tmp_path)
    scope = {}

    exec(compile(code, name, "exec"), scope)

    assert scope["plan"].order.name == "Harbour regatta tees"


def test_the_readme_opens_with_the_job_and_the_two_commands():
    paragraphs = text_of("README.md").split("\n\n")

    assert paragraphs[0] == "# laydown"
    assert paragraphs[1].startswith("laydown plans a garment screen print before a screen is burned.")
    assert "make demo" in paragraphs[2]
    assert "make test" in paragraphs[2]


def test_every_make_target_that_a_page_names_exists():
    targets = set(re.findall(r"^([a-z]+):", text_of("Makefile"), re.MULTILINE))

    for page in (*PAGES, ROOT / "README.md", ROOT / "CONTRIBUTING.md"):
        named = set(re.findall(r"(?:`|^)make ([a-z]+)", page.read_text(encoding="utf-8"), re.MULTILINE))
        assert named <= targets, told(page)


def test_links_between_files_lead_somewhere():
    for page in (*PAGES, ROOT / "README.md", ROOT / "CONTRIBUTING.md", ROOT / "CHANGELOG.md"):
        for link in re.findall(r"\]\(([^)#:]+?)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
            assert (page.parent / link).exists(), f"{told(page)}: {link}"


def test_every_decision_is_numbered_in_turn_and_says_choice_why_and_price():
    pages = sorted((DOCS / "decisions").glob("*.md"))

    for number, path in enumerate(pages, start=1):
        text = path.read_text(encoding="utf-8")
        assert path.name.startswith(f"{number:04d}-")
        assert text.startswith(f"# {number}. ")
        for part in ("**Choice.**", "**Why.**", "**Price.**"):
            assert part in text, path.name


def test_decisions_that_code_refers_to_exist():
    for path in (ROOT / "src").rglob("*.py"):
        for name in re.findall(r"docs/[\w/.-]+\.md", path.read_text(encoding="utf-8")):
            assert (ROOT / name).is_file(), f"{told(path)}: {name}"
