"""Promises about every shipped table."""

import pytest

from laydown import units
from laydown.data.read import find_source, quantity_kinds, read_table, read_words, sources, table_names
from laydown.data.unit_names import UNITS
from laydown.domain.fibre import FIBRES
from laydown.domain.garment import Dye, Structure
from laydown.domain.quantity import Grade
from laydown.errors import NotFound

OWN_WORDS_SOURCES = {"eu-1007-2011", "label-practice"}
"""Sources of the label words, which are no tables of numbers."""


@pytest.mark.parametrize("name", table_names())
def test_every_row_of_a_table_loads_within_bounds_with_a_known_source(name):
    for row in read_table(name).values():
        for quantity, number in row.items():
            kind = quantity_kinds()[quantity]
            assert kind.low * (1 - 1e-12) <= number.low <= number.value <= number.high <= kind.high * (1 + 1e-12)
            assert find_source(number.source).grade is number.grade


def test_no_source_and_no_quantity_stands_unused():
    keys, kinds = set(OWN_WORDS_SOURCES), set()
    for name in table_names():
        for row in read_table(name).values():
            keys |= {number.source.partition(":")[0] for number in row.values()}
            kinds |= set(row)
        for row in read_words(name).values():
            kinds |= set(row)

    assert set(sources()) - keys == set()
    assert set(quantity_kinds()) - kinds == set()


def test_a_read_source_says_when_and_a_recalled_one_does_not_claim_to_be_read():
    for source in sources().values():
        assert bool(source.read) == (source.grade not in {Grade.MEMORY, Grade.ASSUMED}), source.key


def test_what_is_assumed_carries_an_interval():
    for name in table_names():
        for row_name, row in read_table(name).items():
            for quantity, number in row.items():
                exact = quantity == "reference_temperature" or number.value == 0
                assert exact or number.grade is not Grade.ASSUMED or number.spread > 0, (name, row_name, quantity)


def test_a_table_that_does_not_exist_is_not_found_and_the_message_lists_those_that_do():
    with pytest.raises(NotFound, match=r"no table named 'unicorns'; on the shelf: .*'fibres'"):
        read_table("unicorns")


def test_a_table_cannot_be_changed_by_who_reads_it():
    with pytest.raises(TypeError):
        read_table("fibres")["cotton"]["density"] = 1


def test_a_number_from_elsewhere_has_no_shipped_source():
    assert find_source("the shop's own scales") is None


def test_unit_names_are_unique_and_each_belongs_to_an_si_unit():
    names = [unit.name for unit in UNITS]

    assert len(set(names)) == len(names)
    assert {unit.si for unit in UNITS} <= set(names)


def test_every_fibre_that_a_label_can_name_has_what_heat_needs():
    needed = {"specific_heat", "conductivity", "density", "regain", "emissivity", "heat_limit"}

    assert tuple(sorted(read_table("fibres"))) == tuple(sorted(FIBRES))
    for name in FIBRES:
        assert needed <= set(read_table("fibres")[name]), name


def test_every_structure_and_every_dye_has_its_row():
    assert set(read_table("cloth_structures")) == set(Structure)
    assert set(read_table("dyes")) == set(Dye)


def test_cloth_is_lighter_than_its_lightest_common_fibre_and_stretches_more_with_elastane():
    for row in read_table("cloth_structures").values():
        assert row["bulk_density"].high < read_table("fibres")["polypropylene"]["density"].value
        assert row["working_stretch_elastane"].value > row["working_stretch"].value


def geometric_opening(mesh):
    return 1 / mesh["mesh_count"].value - mesh["thread"].value


COMPLETE = [name for name, row in read_table("meshes").items() if {"thread", "opening"} <= set(row)]


@pytest.mark.parametrize("name", COMPLETE)
def test_no_mesh_is_more_open_than_its_threads_leave_room_for(name):
    mesh = read_table("meshes")[name]
    rounding = units.from_micron(0.5)

    assert mesh["opening"].value <= geometric_opening(mesh) + rounding
    assert mesh["open_area"].value <= (geometric_opening(mesh) * mesh["mesh_count"].value) ** 2 + 0.005


@pytest.mark.parametrize("name", COMPLETE)
def test_a_mesh_row_agrees_with_itself(name):
    mesh = read_table("meshes")[name]
    open_area = (mesh["opening"].value * mesh["mesh_count"].value) ** 2

    assert mesh["open_area"].low <= open_area <= mesh["open_area"].high
    assert mesh["fabric_thickness"].value < 2 * mesh["thread"].value
    if "theoretical_volume" in mesh:
        volume = open_area * mesh["fabric_thickness"].value
        assert mesh["theoretical_volume"].low <= volume <= mesh["theoretical_volume"].high


def test_counts_named_in_threads_per_inch_are_converted_and_not_copied():
    mesh = read_table("meshes")["225 per inch/40"]

    assert units.to_threads_per_cm(mesh["mesh_count"].value) == pytest.approx(88.58, abs=0.01)


def test_every_mesh_says_its_weave_and_its_basis():
    assert {name for name, row in read_words("meshes").items() if set(row) == {"weave", "basis"}} == set(
        read_table("meshes")
    )


def test_migration_priors_rank_dyes_and_blockers_as_the_trade_does():
    dyes, migration = read_table("dyes"), read_table("migration")
    by_energy = [dyes[f"disperse, {energy} energy"]["release_factor"].value for energy in ("low", "medium", "high")]
    blockers = ("no blocker", "low-bleed white", "polyester white", "barrier")

    assert by_energy == [5, 1, 0.2]
    assert [migration[name]["blocker_capacity"].value for name in blockers] == [0, 0.03, 0.12, 0.8]
    assert all(number.grade is Grade.ASSUMED for row in migration.values() for number in row.values())


def test_hand_classes_rise():
    limits = [row["film_mass"].value for row in read_table("hand").values()]

    assert limits == sorted(limits)
