from __future__ import annotations

import re
import subprocess
import sys
from dataclasses import replace
from io import StringIO

import pytest
from rich.console import Console, RenderableType
from sample_plan import REJECTED, cotton_plan, hostile_plan, no_stack, sample_plan, ten_passes, two_prints

from laydown.domain.plan import Rejected
from laydown.domain.shop import Preferences
from laydown.report.rejections import group_rejections
from laydown.report.stack_words import stack_in_short, stack_words
from laydown.report.tables import overview_table, plan_table

METRIC = Preferences()
AMERICAN = Preferences(temperature="F", mesh="inch", length="inch", areal_mass="oz", paper="letter")
PLANS = (sample_plan, two_prints, no_stack, cotton_plan, ten_passes, hostile_plan)
WIDTHS = pytest.mark.parametrize("width", [80, 95, 100, 120, 160])


def shown(renderable: RenderableType, width: int = 110) -> str:
    console = Console(file=StringIO(), width=width, color_system=None, force_terminal=False)
    console.print(renderable)
    return console.file.getvalue()


def one_line(text: str) -> str:
    return " ".join(text.split())


@WIDTHS
@pytest.mark.parametrize("plan", PLANS)
def test_a_plan_fits_its_width_and_hides_nothing(plan, width):
    lines = shown(plan_table(plan(), METRIC), width).splitlines()

    assert max(len(line.rstrip()) for line in lines) <= width
    assert not any("…" in line for line in lines if "flash · …" not in line)


@WIDTHS
def test_a_list_of_plans_fits_its_width_and_hides_nothing(width):
    lines = shown(overview_table([plan() for plan in PLANS], METRIC), width).splitlines()

    assert max(len(line.rstrip()) for line in lines) <= width
    assert not any("…" in line for line in lines)


@pytest.mark.parametrize("width", [80, 110])
def test_a_plan_tells_everything_that_was_asked(width):
    text = one_line(shown(plan_table(sample_plan(), METRIC), width))

    for words in (
        "Harbour regatta tees HR-0412",
        "144 pieces, due Thu 10 Dec 2026",
        "Chosen General low-bleed white through 43/80, 2 hits",
        "cheapest of 7 stacks that meet every requirement",
        "94 % of 256 simulated prints meet every requirement",
        "Screening estimate until the cloth lot passes its own test.",
        "Press North, 8 heads, one revolution",
        "flash 4.5 s",
        "panel 350 °C, belt 2.90 m/min, 62 s inside",
        "162–171 °C",
        "382 pieces an hour",
        "ΔE₀₀ 2.1",
        "grade 4-5",
        "698.94 USD, 4.85 a piece",
        "expected reprint 21.40",
        "Also does Graphite barrier base through 77/48 · flash · Polyester white through 43/80, 2 hits",
        "Not chosen: 5 of 48 weighed",
        "Oven bleed test, read on Thu 3 Dec 2026",
        "Judge bleed no sooner than two days after printing.",
        "60–65",
        "3.0 mm",
        "25–35 N/cm",
        "23 µm",
    ):
        assert words in text


def test_an_american_shop_reads_its_own_units():
    text = shown(plan_table(sample_plan(), AMERICAN))

    assert "°C" not in text
    for words in ("662 °F", "9.5 ft/min", "110/80", "mesh per inch", "0.12 in", "5.3 oz/yd²"):
        assert words in text


def test_groups_of_rejections_show_counts_and_the_full_list_shows_each_reason():
    grouped = one_line(shown(plan_table(sample_plan(), METRIC)))
    full = one_line(shown(plan_table(sample_plan(), METRIC, every_rejection=True)))

    assert "2 bleed bleeds: grade 2-3 on day 30, grade 4 is asked for (91 % risk); 1 with other figures" in grouped
    assert "grade 2 on day 30" not in grouped
    for one in REJECTED:
        assert one.stack in full
        assert one.reason in full


def test_rejections_group_by_stage_and_rule_with_the_reason_most_share():
    def lost(stage: str, rule: str, reason: str) -> Rejected:
        return Rejected(stack="s", stage=stage, rule=rule, reason=reason)

    groups = group_rejections(
        [
            lost("rule", "a", "x"),
            lost("bleed", "", "y"),
            lost("rule", "b", "z"),
            lost("rule", "b", "z"),
            lost("rule", "b", "other"),
        ]
    )

    assert [(g.stage, g.rule, g.count, g.reason, g.others) for g in groups] == [
        ("rule", "b", 3, "z", 1),
        ("rule", "a", 1, "x", 0),
        ("bleed", "", 1, "y", 0),
    ]


def test_a_plan_without_a_stack_says_what_fails_and_what_would_help():
    text = one_line(shown(plan_table(no_stack(), METRIC)))

    assert "Do not print" in text
    assert "Fails Bleed: grade 4 on day 30" in text
    assert "Misses by grade 3 at the median" in text
    assert "Would help buy a barrier base" in text
    assert "Dryer" not in text


def test_names_are_never_read_as_markup():
    plan = sample_plan()
    named = replace(
        plan, order=replace(plan.order, name="[bold red]Tees[/] [link=x]y"), cautions=("[blink]hot[/blink]",)
    )

    for renderable in (plan_table(named, METRIC), overview_table([named], METRIC)):
        text = one_line(shown(renderable, 160))
        assert "[bold red]Tees[/]" in text
    assert "[blink]hot[/blink]" in shown(plan_table(named, METRIC))


def test_the_overview_tells_stack_why_how_sure_cost_pace_and_test():
    text = one_line(shown(overview_table([sample_plan()], METRIC), 260))

    for words in ("94 %", "698.94 USD", "4.85 each", "382", "Oven bleed test", "3 Dec", "cheapest of 7", "2 more"):
        assert words in text


def test_the_overview_has_a_row_for_each_print_and_marks_those_not_to_print():
    text = one_line(shown(overview_table([two_prints(), no_stack()], METRIC), 120))

    assert "front" in text
    assert "shoulders" in text
    assert "do not print" in text
    assert text.count("Harbour") == 2


def test_a_plan_without_tests_and_cautions_leaves_no_empty_headings():
    text = shown(plan_table(replace(sample_plan(), tests=(), cautions=(), decisive=""), METRIC))

    assert "Test first" not in text
    assert "Take care" not in text


def test_a_stack_is_told_long_and_short():
    stack = sample_plan().prints[0].stack

    assert stack_words(stack, AMERICAN).startswith(
        "General low-bleed white through 110/80, 2 hits · flash · smoothing pass"
    )
    assert stack_in_short(stack, METRIC) == (
        "General low-bleed white through 43/80, 2 hits · flash · smoothing pass · 3 colours · flash · highlight white"
    )


def test_the_report_can_be_imported_without_its_heavy_libraries():
    program = (
        "import sys, laydown.report.tables, laydown.report.ticket\n"
        "print(sorted({'rich', 'typst', 'vl_convert', 'segno', 'scipy', 'numba'} & set(sys.modules)))"
    )
    told = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)

    assert told.stdout.strip() == "[]"


@pytest.mark.parametrize("length", range(60, 81, 2))
def test_a_long_name_does_not_run_into_the_quantity(length):
    plan = replace(sample_plan(), order=replace(sample_plan().order, name="x" * length))
    head = shown(plan_table(plan, METRIC), 110)[:400]

    assert re.search(r"[ \n]144 pieces", head)


def test_the_next_best_stacks_are_told_and_the_rest_counted_unless_all_are_asked_for():
    chosen = sample_plan().prints[0]
    alternatives = tuple(replace(chosen.alternatives[0], reason=f"reason number {n}") for n in range(1, 9))
    plan = replace(sample_plan(), prints=(replace(chosen, alternatives=alternatives),))
    some, every = (one_line(shown(plan_table(plan, METRIC, every_rejection=wanted))) for wanted in (False, True))

    assert "reason number 5" in some
    assert "reason number 6" not in some
    assert "3 more would do; --all lists them" in some
    assert "reason number 8" in every
    assert "--all" not in every
