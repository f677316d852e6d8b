"""Tests as files: those that come along say where they are from; a shop's own go in and out without loss."""

import importlib.util
import re
from pathlib import Path

import pytest
from hypothesis import given, settings

from documents.shop_strategies import protocols
from laydown.documents.protocol_file import (
    protocol_named,
    protocol_text,
    protocols_with,
    read_protocol_text,
    read_protocols,
    shipped_protocols,
)
from laydown.domain.protocol import Reads, Subject
from laydown.domain.quantity import Grade
from laydown.errors import InvalidInput, NotFound

ROOT = Path(__file__).parents[2]
ALL = shipped_protocols()
ASKED = {
    "oven-bleed",
    "plasticiser-press",
    "foil-x10",
    "dry-heat-p01",
    "ghosting",
    "wash-c06",
    "wash-61",
    "wash-own",
    "rubbing-x12",
    "stretch",
    "tape",
    "cure-check",
    "weighing",
    "drawdown",
    "tone-strip",
    "flash-probe",
    "dryer-probe",
}


def test_every_test_that_a_shop_needs_comes_along_once():
    assert {one.name for one in ALL} == ASKED
    assert {one.subject for one in ALL} == set(Subject)


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.name)
def test_a_test_that_comes_along_says_its_source_and_how_far_it_is_known(one):
    assert one.source.strip()
    assert one.grade in set(Grade)
    # Where a standard's conditions were recalled, the test as a whole is no better than memory.
    if "recalled" in one.source and one.name != "wash-c06":
        assert one.grade is Grade.MEMORY
    if one.grade is Grade.PUBLISHED:
        assert "(published)" in one.source or "published)" in one.source


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.name)
def test_a_test_with_heat_or_chemicals_says_what_can_hurt(one):
    hot = any(step.temperature is not None and step.temperature > 323 for step in one.steps)
    words = " ".join((*one.materials, *(step.text for step in one.steps))).lower()
    if hot or re.search(r"solvent|plasticiser|oven|press\b|flash|blade|balls", words):
        assert one.cautions


def test_the_oven_test_is_as_the_ink_maker_tells_it():
    oven = protocol_named("oven-bleed")
    (warm,) = [step for step in oven.steps if step.temperature is not None]

    assert (warm.temperature, warm.duration, warm.part) == (52 + 273.15, 15 * 3600.0, "warm half")
    assert oven.limit.reads is Reads.STAINING
    assert oven.limit.least == 4.0


def test_the_press_test_is_as_the_ink_maker_tells_it():
    (pressed,) = [step for step in protocol_named("plasticiser-press").steps if step.temperature is not None]

    assert (pressed.temperature, pressed.duration) == (160 + 273.15, 30.0)


@settings(max_examples=60, deadline=None)
@given(protocols())
def test_any_test_is_read_back_from_its_file_to_the_last_bit(one):
    assert read_protocol_text(protocol_text(one), where="x.toml") == one


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.name)
def test_the_files_that_come_along_are_written_as_a_shop_would_write_them(one):
    assert read_protocol_text(protocol_text(one), where="x.toml") == one


def test_a_shops_own_test_stands_in_the_place_of_one_of_its_name():
    own = read_protocol_text(protocol_text(ALL[0]).replace(ALL[0].title, "Our way"), where="x.toml")

    assert protocol_named(own.name, (own,)).title == "Our way"
    assert len(protocols_with((own,))) == len(ALL)
    with pytest.raises(NotFound, match="oven-bleed"):
        protocol_named("oven")


GOOD = protocol_text(protocol_named("tape"))


@pytest.mark.parametrize(
    ("old", "new", "pattern"),
    [
        ("[test]", "[tset]", r"this key is unknown; did you mean 'test'\?"),
        ('name = "tape"', 'name = "Tape Test"', "small letters, digits and dashes"),
        ('subject = "adhesion"', 'subject = "glue"', "'glue' is unknown; "),
        ('reads = "photo"', 'reads = "smell"', "'smell' is unknown"),
        ("work_min = 10", "", "work_s or work_min is missing"),
        ("work_min = 10", "work_min = 10\nwork_s = 600", "say the same thing in two units"),
        ("duration_h = 24", "duration_h = -1", "duration_h"),
        ('limit_reads = "pass or fail"\n', "", "'limit_reads' is missing"),
        ("times = 1", "times = 0", "times"),
        ('grade = "common practice"', 'grade = "sure"', "'sure' is unknown"),
    ],
)
def test_a_mistake_in_a_test_is_told_in_one_sentence(tmp_path, old, new, pattern):
    assert old in GOOD
    (tmp_path / "tape.toml").write_text(GOOD.replace(old, new, 1), encoding="utf-8")

    with pytest.raises(InvalidInput, match=pattern) as told:
        read_protocols(tmp_path)
    assert "tape.toml" in str(told.value)


def test_two_files_of_one_test_are_told(tmp_path):
    for name in ("a", "b"):
        (tmp_path / f"{name}.toml").write_text(GOOD, encoding="utf-8")

    with pytest.raises(InvalidInput, match="stands in two files"):
        read_protocols(tmp_path)


def test_a_shop_without_tests_of_its_own_has_none(tmp_path):
    assert read_protocols(tmp_path / "protocols") == ()


def test_the_manual_tells_of_every_test_as_the_data_do():
    spec = importlib.util.spec_from_file_location("protocol_tables", ROOT / "tools" / "docs" / "protocol_tables.py")
    tables = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tables)
    page = tables.PAGE.read_text(encoding="utf-8")

    # When this fails, run tools/docs/protocol_tables.py.
    assert tables.renewed(page) == page
