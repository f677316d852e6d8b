"""From a garment to the cloth that the models see."""

import numpy as np
import pytest

from laydown.data.read import read_table, read_words
from laydown.domain.colour import Colour
from laydown.domain.fibre import FIBRES
from laydown.domain.garment import Dye, History, Structure
from laydown.domain.quantity import Grade
from laydown.models.cloth import CARRIERS, HISTORY_SPREAD, describe_cloth, narrowed
from small_shop import blend, garment, polyester, q, tri_blend, with_mass

PROPERTIES = ("specific_heat", "regain", "emissivity")


@pytest.mark.parametrize("fibre", FIBRES)
def test_a_cloth_of_one_fibre_has_the_numbers_of_its_row(fibre):
    cloth = describe_cloth(garment({fibre: 1.0}))
    row = read_table("fibres")[fibre]

    for name in PROPERTIES:
        found = getattr(cloth, name)
        assert (found.value, found.low, found.high) == pytest.approx((row[name].value, row[name].low, row[name].high))
    assert cloth.heat_limit == row["heat_limit"]
    assert cloth.limit_fibre == fibre


def test_a_blend_lies_between_its_fibres_by_mass():
    fibres = read_table("fibres")
    cloth = describe_cloth(blend(0.3))

    for name in PROPERTIES:
        cotton, polyester_ = fibres["cotton"][name], fibres["polyester"][name]
        assert getattr(cloth, name).value == pytest.approx(0.3 * cotton.value + 0.7 * polyester_.value)


def test_a_blend_is_known_no_better_than_its_worst_known_fibre():
    grades = list(Grade)
    cloth, fibres = describe_cloth(tri_blend()), read_table("fibres")

    for name in PROPERTIES:
        worst = max((fibres[f][name].grade for f in ("polyester", "cotton", "viscose")), key=grades.index)
        assert getattr(cloth, name).grade is worst


def test_the_tenderest_fibre_sets_the_heat_limit():
    cloth = describe_cloth(garment({"cotton": 0.6, "polypropylene": 0.4}))

    assert cloth.limit_fibre == "polypropylene"
    assert cloth.heat_limit.value < describe_cloth(garment()).heat_limit.value


def test_a_trace_of_a_tender_fibre_sets_no_limit():
    assert describe_cloth(garment({"cotton": 0.98, "polypropylene": 0.02})).limit_fibre == "cotton"


def test_a_cloth_of_traces_alone_takes_the_limit_of_cotton_and_says_so():
    shares = dict.fromkeys(FIBRES, 1 / len(FIBRES))

    cloth = describe_cloth(garment(shares))

    assert cloth.heat_limit == read_table("fibres")["cotton"]["heat_limit"]
    assert "in place of" in cloth.limit_fibre


@pytest.mark.parametrize("structure", Structure)
def test_elastane_stretches_every_structure_further(structure):
    row = read_table("cloth_structures")[structure.value]

    plain = describe_cloth(garment(structure=structure)).working_stretch
    elastic = describe_cloth(garment({"cotton": 0.95, "elastane": 0.05}, structure=structure)).working_stretch

    assert plain == row["working_stretch"]
    assert elastic == row["working_stretch_elastane"]
    assert elastic.value > plain.value


def test_a_trace_of_elastane_changes_nothing():
    assert describe_cloth(garment({"cotton": 0.97, "elastane": 0.03})).working_stretch.value == pytest.approx(0.35)


def test_a_measured_stretch_is_taken_before_any_table():
    assert describe_cloth(garment(stretch=q(0.8))).working_stretch.value == 0.8


def test_thickness_is_mass_by_bulk_density():
    density = read_table("cloth_structures")["jersey"]["bulk_density"]
    thickness = describe_cloth(garment(areal_mass=with_mass(180))).thickness

    assert thickness.value == pytest.approx(0.18 / density.value)
    assert thickness.low == pytest.approx(0.18 / density.high)
    assert thickness.high == pytest.approx(0.18 / density.low)


def test_dye_is_given_by_the_share_of_the_fibre_that_carries_it():
    assert describe_cloth(polyester()).migrating_share == 1.0
    assert describe_cloth(blend(0.35)).migrating_share == pytest.approx(0.65)
    assert describe_cloth(blend(0.5, dye=Dye.UNKNOWN)).migrating_share == 0.5
    for dye in (Dye.REACTIVE, Dye.ACID, Dye.UNDYED):
        assert describe_cloth(polyester(dye=dye)).migrating_share == 0.0
    assert describe_cloth(garment(dye=Dye.DISPERSE_LOW)).migrating_share == 0.0
    assert describe_cloth(blend(0.35, dye=Dye.REACTIVE_REDYED)).migrating_share == pytest.approx(0.35)
    nylon = {"nylon": 0.9, "elastane": 0.1}
    assert describe_cloth(garment(nylon, dye=Dye.ACID)).migrating_share == pytest.approx(0.9)
    assert describe_cloth(garment(nylon, dye=Dye.REACTIVE)).migrating_share == 0.0


def test_viscose_carries_what_cotton_does_and_wool_what_nylon_does():
    kin = {"viscose": 0.3, "cotton": 0.2, "wool": 0.4, "polyester": 0.1}
    share = {dye: describe_cloth(garment(kin, dye=dye)).migrating_share for dye in Dye}

    assert share[Dye.REACTIVE_REDYED] == pytest.approx(0.5)
    assert share[Dye.ACID_REDYED] == pytest.approx(0.4)
    assert share[Dye.DISPERSE_MEDIUM] == pytest.approx(0.1)


def test_every_dye_of_the_table_is_carried_by_fibres_that_exist():
    words = read_words("dyes")

    assert set(words) == {dye.value for dye in Dye}
    assert all(CARRIERS[row["carrier"]] <= set(FIBRES) for row in words.values())


def test_a_dye_that_its_fibre_holds_is_counted_but_does_not_count_as_one_that_moves():
    kinds = (("cotton", Dye.REACTIVE, Dye.REACTIVE_REDYED), ("nylon", Dye.ACID, Dye.ACID_REDYED))
    for fibre, dye, redyed in kinds:
        held, loose = (describe_cloth(garment({fibre: 1.0}, dye=d)) for d in (dye, redyed))
        assert held.migrating_share == loose.migrating_share == 1.0
        assert not held.dye_moves
        assert loose.dye_moves
        assert held.release_factor.value < loose.release_factor.value / 5
    assert not describe_cloth(polyester(dye=Dye.UNDYED)).dye_moves


def test_fast_dyes_release_little_and_loose_ones_much():
    factor = {dye: describe_cloth(polyester(dye=dye)).release_factor.value for dye in Dye}

    assert factor[Dye.UNDYED] == 0
    assert factor[Dye.SOLUTION] < factor[Dye.CATIONIC] < factor[Dye.DISPERSE_HIGH] < factor[Dye.DISPERSE_MEDIUM]
    assert factor[Dye.DISPERSE_MEDIUM] == 1 < factor[Dye.DISPERSE_LOW] < factor[Dye.SUBLIMATED]


def test_more_experience_of_a_cloth_leaves_less_spread():
    spreads = [HISTORY_SPREAD[h] for h in (History.NEVER_PRINTED, History.PRINTED, History.TESTED)]

    assert spreads[0] == 1.0
    assert spreads == sorted(spreads, reverse=True)
    assert spreads[-1] > 0
    assert describe_cloth(garment(history=History.TESTED)).history_spread == spreads[-1]


def test_narrowing_multiplies_the_logarithmic_half_widths():
    narrow = narrowed(q(2.0, 0.5, 32.0), 0.5)

    assert (narrow.value, narrow.low, narrow.high) == pytest.approx((2.0, 1.0, 8.0))
    assert narrowed(q(2.0, 0.5, 32.0), 1.0) == q(2.0, 0.5, 32.0)


def test_a_quantity_that_reaches_zero_is_not_narrowed():
    assert narrowed(q(1.0, 0.0, 2.0), 0.5) == q(1.0, 0.0, 2.0)


def test_lightness_chroma_and_hue_are_those_of_its_lab():
    cloth = describe_cloth(garment(colour=Colour(lab=(40.0, 30.0, -40.0))))

    assert cloth.lab == pytest.approx((40, 30, -40), abs=1e-3)
    assert cloth.lightness == pytest.approx(40, abs=1e-3)
    assert cloth.chroma == pytest.approx(50, abs=1e-3)
    assert cloth.hue_degrees == pytest.approx(np.degrees(np.arctan2(-40, 30)) % 360, abs=1e-3)
    assert cloth.reflectance().shape == (36,)


def test_a_hairy_structure_is_known_as_such():
    assert describe_cloth(garment(structure=Structure.FLEECE)).fibrous
    assert not describe_cloth(garment(structure=Structure.TRICOT)).fibrous
