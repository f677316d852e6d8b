"""Panel and belt that give one dryer's curve on another."""

import pytest
from synthetic_probe import CLOTH, FILM, SHOP

from laydown.errors import InvalidInput
from laydown.lab.dryer_match import CurveTarget, match_dryer, target_of

GAS, ELECTRIC = SHOP.dryers


def asked(**changes):
    usual = {"film": FILM, "setting": GAS.setting, "speed": 4.5 / 60, "above": 433.15}
    return target_of(GAS, CLOTH, SHOP.climate, **(usual | changes))


def test_a_dryer_matches_its_own_curve():
    found = match_dryer(GAS, CLOTH, SHOP.climate, asked(), film=FILM)

    assert found.met
    assert found.peak == pytest.approx(found.target.peak, abs=0.5)
    assert found.seconds_above == pytest.approx(found.target.seconds_above, abs=0.5)
    assert found.peak_low < found.peak < found.peak_high


def test_another_dryer_gives_the_same_curve_at_a_setting_of_its_own():
    found = match_dryer(ELECTRIC, CLOTH, SHOP.climate, asked(), film=FILM)

    assert found.met
    assert abs(found.peak - found.target.peak) < 3.0
    assert ELECTRIC.setting_low <= found.setting <= ELECTRIC.setting_high
    assert ELECTRIC.speed_low <= found.speed <= ELECTRIC.speed_high


def test_what_cannot_be_met_is_told_by_how_much():
    beyond = CurveTarget(peak=600.0, above=433.15, seconds_above=5.0, cloth_limit=CLOTH.heat_limit.value)
    found = match_dryer(ELECTRIC, CLOTH, SHOP.climate, beyond, film=FILM)

    assert not found.met
    assert any(one.startswith("the film peaks ") and one.endswith(" K cooler than asked") for one in found.misses)
    assert found.cloth_peak <= CLOTH.heat_limit.value + 1.0


def test_the_cloths_limit_goes_before_the_curve():
    tender = CurveTarget(peak=450.0, above=433.15, seconds_above=30.0, cloth_limit=425.0)
    found = match_dryer(GAS, CLOTH, SHOP.climate, tender, film=FILM)

    assert found.cloth_peak <= 425.5
    assert {one.split()[-3] for one in found.misses} >= {"cooler", "shorter"}


def test_a_film_out_of_bounds_is_refused():
    with pytest.raises(InvalidInput, match="allowed is 0 to 2000"):
        match_dryer(GAS, CLOTH, SHOP.climate, asked(), film=1.0)
