"""Whether the whole film cures, and whether the cloth stands it."""

from dataclasses import replace

import numpy as np
import pytest

from heat_runs import ramp_hold_cool
from laydown.domain.ink import Cure
from laydown.models.cure import cure_of, judge_cure, median_history
from laydown.models.sampling import corner_set, median_set, sample_set
from small_shop import celsius, cloth, colour, garment, q, white

SAMPLES = sample_set(40)
CLOTH = cloth()


def trapezium(peak_c, *, held=20.0, samples=SAMPLES, cloth_hotter=0.0):
    return ramp_hold_cool(samples, peak_c, held=held, ends_c=40.0, cloth_hotter=cloth_hotter)


def timed(hold=None, energy=80e3, **changes):
    cure = Cure(temperature=celsius(155), hold=hold or q(20.0), activation_energy=q(energy))
    return colour("Water Blue", cure=replace(cure, **changes))


def judged(inks, run, bare=None, on=CLOTH, samples=SAMPLES):
    return judge_cure(tuple(inks), run, bare or run, on, samples)


def test_a_film_that_gets_no_hotter_than_its_fusion_is_raw():
    found = cure_of(white(), trapezium(159.0), SAMPLES)

    assert found.failed.all()
    assert (found.margin < 0).all()


def test_a_film_held_above_its_fusion_is_cured_with_that_margin():
    found = cure_of(white(), trapezium(170.0, held=10.0), SAMPLES)

    assert not found.failed.any()
    # Three seconds of hold are there at any temperature up to the peak.
    assert found.margin == pytest.approx(np.full(40, 10.0), abs=0.05)


def test_a_peak_shorter_than_the_hold_does_not_cure():
    long_hold = white(cure=Cure(temperature=celsius(160), hold=q(15.0)))

    assert cure_of(long_hold, trapezium(162.0, held=5.0), SAMPLES).failed.all()
    assert not cure_of(long_hold, trapezium(162.0, held=20.0), SAMPLES).failed.any()


def test_a_hold_longer_than_the_whole_passage_is_never_reached():
    endless = white(cure=Cure(temperature=celsius(100), hold=q(3600.0)))

    assert cure_of(endless, trapezium(200.0), SAMPLES).failed.all()


def test_an_uncertain_fusion_temperature_fails_in_the_samples_above_the_peak():
    ink = white(cure=Cure(temperature=celsius(160, 5), hold=q(0.0)))
    found = cure_of(ink, trapezium(161.0), SAMPLES)
    needed = SAMPLES.of(ink.cure.temperature, "fusion temperature")

    np.testing.assert_array_equal(found.failed, (needed > 161.0 + 273.15).astype(float))
    assert 0 < found.failed.mean() < 1


@pytest.mark.parametrize("ink", [white(), timed()], ids=["threshold", "time at temperature"])
@pytest.mark.parametrize("peak_c", [140.0, 150.0, 155.0, 162.0, 175.0])
def test_both_margins_have_the_sign_of_the_verdict(ink, peak_c):
    found = cure_of(ink, trapezium(peak_c), SAMPLES)

    assert ((found.margin < 0) == (found.failed > 0)).all()
    assert ((found.seconds < 0) == (found.failed > 0)).all()


def test_time_makes_up_for_temperature_where_the_ink_says_so():
    ink = timed(hold=q(10.0))
    hot_and_short, cool_and_long = trapezium(158.0, held=12.0), trapezium(150.0, held=39.0)

    assert not cure_of(ink, hot_and_short, SAMPLES).failed.any()
    assert not cure_of(ink, cool_and_long, SAMPLES).failed.any()
    assert cure_of(white(), cool_and_long, SAMPLES).failed.all()


def test_a_hold_that_is_known_badly_is_missed_in_some_samples():
    run = trapezium(155.0, held=20.0)
    seconds = float(np.median(cure_of(timed(hold=q(1.0)), run, SAMPLES).seconds)) + 1.0

    sure = cure_of(timed(hold=q(0.9 * seconds)), run, SAMPLES).failed.mean()
    unsure = cure_of(timed(hold=q(0.9 * seconds, 0.6 * seconds, 1.5 * seconds)), run, SAMPLES).failed.mean()

    assert sure == 0
    assert 0 < unsure < 1


def test_an_ink_that_is_off_is_off_in_temperature_and_hold_at_once():
    ink = timed(hold=q(20.0, 10.0, 40.0), temperature=celsius(155, 5))
    run = trapezium(158.0, samples=corner_set(({}, {})))
    careful, lucky = corner_set(({"fusion temperature": 1.0}, {"fusion temperature": -1.0})), run
    margins = cure_of(ink, lucky, careful).margin

    assert margins[0] < margins[1] - 5


def test_the_hardest_ink_is_named_and_any_raw_ink_counts():
    easy, hard = white("Low Cure", cure=Cure(temperature=celsius(138), hold=q(3.0))), colour("Usual Red")

    forecast, failed, _ = judged([easy, hard], trapezium(150.0))

    assert forecast.ink == "Usual Red"
    assert forecast.needed_temperature == celsius(160).value
    assert failed.all()
    assert forecast.risk == 1.0
    assert judged([easy], trapezium(150.0))[0].risk == 0.0


def test_the_probe_reads_the_interface():
    forecast, *_ = judged([white()], trapezium(171.0))

    assert forecast.probe_peak.p50 == pytest.approx(171.0 + 273.15)


def test_the_cloth_is_judged_where_it_is_hottest_printed_or_bare():
    limit = CLOTH.heat_limit.value - 273.15
    fine, hot = trapezium(limit - 5), trapezium(limit - 5, cloth_hotter=9.0)

    assert judged([white()], fine)[2].sum() == 0
    for printed_run, bare_run in ((hot, fine), (fine, hot)):
        forecast, _, beyond = judged([white()], printed_run, bare_run)
        assert beyond.all()
        assert forecast.cloth_risk == 1.0
        assert forecast.cloth_peak.p50 == pytest.approx(limit + 4 + 273.15)


def test_a_flash_that_is_too_hot_for_the_cloth_counts_as_well():
    limit = CLOTH.heat_limit.value
    fine = trapezium(limit - 273.15 - 20)

    forecast, _, beyond = judge_cure((white(),), fine, fine, CLOTH, SAMPLES, flashed=(np.full(40, limit + 3),))

    assert beyond.all()
    assert forecast.cloth_peak.p50 == pytest.approx(limit + 3)
    assert judged([white()], fine)[2].sum() == 0


def test_the_limit_names_its_fibre_and_how_well_it_is_known():
    tender = cloth(garment({"cotton": 0.5, "polypropylene": 0.5}))

    forecast, *_ = judged([white()], trapezium(160.0), on=tender)

    assert forecast.cloth_limit == tender.heat_limit.value
    assert forecast.cloth_limit_reason == f"polypropylene ({tender.heat_limit.grade.value})"


def test_the_shown_history_has_the_flash_first_and_the_dryer_after_it():
    samples = median_set()
    flash, dryer = trapezium(120.0, samples=samples), trapezium(170.0, samples=samples)

    both, alone = median_history((flash,), dryer), median_history((), dryer)

    assert len(both.times) == 2 * len(alone.times)
    assert (np.diff(both.times) > 0).all()
    assert max(both.film_surface[: len(alone.times)]) == pytest.approx(125 + 273.15)
    assert both.film_surface[len(alone.times) :] == alone.film_surface
    assert both.interface[-1] - both.cloth_back[-1] == pytest.approx(5.0)
