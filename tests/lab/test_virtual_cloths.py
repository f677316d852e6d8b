"""The virtual cloths agree with laydown where their physics is the same, and the fit is of use where it is not."""

from __future__ import annotations

import numpy as np
import pytest
from tools.lab.virtual_cloths import bench
from tools.lab.virtual_cloths.forecasts import forecast
from tools.lab.virtual_cloths.one_cloth import run_cloth
from tools.lab.virtual_cloths.prints import look
from tools.lab.virtual_cloths.scores import accuracy, decisions
from tools.lab.virtual_cloths.transport import Layer, Site, follow_dye
from tools.lab.virtual_cloths.truths import TrueDye, TrueFilm, TrueHeat, Truth

from laydown.lab.rounds import Effort
from laydown.models.bleed import bleed_inputs
from laydown.models.sampling import median_set
from laydown.physics.migration import simulate_migration

DAY = 86400.0
TIMES = np.array([0, 10, 30, 60, 100, 200, 600, 3600, 7200, 7800, 61200, 61800, 60 * DAY])
KELVIN = np.array([300, 330, 420, 440, 440, 360, 310, 298, 298, 325.15, 325.15, 298, 298])
OUTPUTS = np.array([3600.0, 61800.0, 30 * DAY, 60 * DAY])
THICK = np.array([40e-6, 35e-6])


def zones(width, dye):
    """Mean dye in fifteen slices of the film."""
    faces = np.concatenate([[0.0], np.cumsum(width)])
    amount = np.concatenate([np.zeros((len(dye), 1)), np.cumsum(dye * width, axis=1)], axis=1)
    cuts = np.linspace(0.0, THICK.sum(), 16)
    return np.diff(np.array([np.interp(cuts, faces, row) for row in amount]), axis=1) / np.diff(cuts)


@pytest.mark.parametrize(
    ("capacity", "partition", "diffusivity"),
    [
        ((0.0, 0.0), 1.0, 2e-15),
        ((0.036, 0.036), 1.0, 2e-15),
        ((0.85, 0.036), 0.5, 8e-15),
        ((0.125, 0.125), 1.0, 1e-14),
        ((0.036, 0.0), 2.0, 4e-16),
    ],
)
def test_with_one_kind_of_sites_and_a_film_alike_throughout_both_solvers_agree_within_a_thousandth(
    capacity, partition, diffusivity
):
    theirs = simulate_migration(
        times=TIMES,
        temperature=KELVIN[None],
        layer_thickness=THICK[None],
        diffusivity_ref=diffusivity,
        diffusion_activation=87e3,
        diffusion_reference=298.15,
        capacity=np.array([capacity]),
        reaction_length=3e-6,
        partition=[[partition]],
        reservoir_depth=50e-6,
        reservoir_start=1.0,
        release_ref=1.2e-3,
        release_activation=140e3,
        release_reference=433.15,
        output_times=OUTPUTS,
        cells=[80, 70],  # as fine as the own one: the slices below would cut coarse cells
        tolerance=1e-5,
    )
    own = follow_dye(
        times=TIMES,
        kelvin=KELVIN,
        outputs=OUTPUTS,
        layers=tuple(
            Layer(thickness=t, diffusivity=diffusivity, capacity=c) for t, c in zip(THICK, capacity, strict=True)
        ),
        partition=(partition,),
        sites=(Site(amount=50e-6, rate=1.2e-3, energy=140e3),),
        energy=87e3,
        reference=298.15,
        site_reference=433.15,
        cell=0.5e-6,
    )

    away = zones(own.width, own.free + own.bound) - zones(theirs.cell_thickness[0], (theirs.free + theirs.bound)[0])
    assert np.abs(away).max() < 1e-3
    assert own.missing().max() < 1e-12


def test_two_kinds_of_sites_alike_are_one_and_nothing_is_lost():
    def dye(sites):
        return follow_dye(
            times=TIMES,
            kelvin=KELVIN,
            outputs=OUTPUTS,
            layers=(Layer(thickness=40e-6, diffusivity=2e-15, gradient=1.2, capacity=0.05),),
            partition=(),
            sites=sites,
            energy=87e3,
            reference=298.15,
            site_reference=433.15,
        )

    one = dye((Site(amount=50e-6, rate=1e-3, energy=140e3),))
    two = dye((Site(amount=20e-6, rate=1e-3, energy=140e3), Site(amount=30e-6, rate=1e-3, energy=140e3)))

    assert two.free == pytest.approx(one.free, abs=1e-9)
    assert two.missing().max() < 1e-12


def plain_truth(cloth) -> Truth:
    """Laydown's own best values, with none of what the model lacks."""
    prior, climate = bleed_inputs(cloth), bench.shop().climate
    energy = prior.release_energy.value
    inks = {ink.name: 1.0 for one in bench.whites() for ink in one.stack.inks}
    return Truth(
        dye=TrueDye(
            rate=prior.release.value,
            fast_share=0.5,
            fast_by_slow=1.0,
            fast_energy=energy,
            slow_energy=energy,
            depth=prior.reservoir_depth.value,
            strength=prior.peak_absorption.value,
            band_shape=1.0,
        ),
        film=TrueFilm(
            diffusivity=prior.diffusivity.value,
            energy=prior.diffusion_energy.value,
            gradient=0.0,
            thickness_power=0.0,
            partition=1.0,
            capacity_factor=inks,
            reaction_length=prior.reaction_length.value,
            positions={},
            half_differs=1.0,
            ink_offset=(0.0, 0.0, 0.0),
            unevenness=0.0,
        ),
        heat=TrueHeat(
            panel_offset=0.0,
            drift=0.0,
            swing=0.0,
            swing_phase=0.0,
            exchange_factor=1.0,
            air_factor=1.0,
            regain_factor=1.0,
            oven_offset=0.0,
            room=climate.temperature.value,
            storage=climate.storage_temperature.value,
            storage_swing=0.0,
        ),
    )


@pytest.mark.slow
@pytest.mark.parametrize("name", [bench.CLOTHS[0], bench.CLOTHS[3]])
def test_a_whole_print_of_plain_physics_looks_as_laydown_forecasts_it(name):
    """Own flash, dryer, store and solver against laydown's: the heat model of two bodies is the coarsest part."""
    cloth, days = bench.cloth(name), (30.0, 60.0)
    for white, one in enumerate(bench.whites()):
        own = look(
            plain_truth(cloth), bench.shop(), cloth, one.stack, bench.setup(name, white), times=np.array(days) * DAY
        )
        theirs = forecast(name, white, days, samples=median_set()).difference[0]

        assert own.difference() == pytest.approx(theirs, rel=0.17, abs=0.1)


@pytest.mark.slow
def test_the_test_brings_the_forecast_of_a_dozen_cloths_near_the_truth_and_lowers_what_decisions_lose():
    effort = Effort(first=160, second=120, later=160, rounds=2, wanted=40.0)
    outcomes = [run_cloth(number, seed=1, effort=effort) for number in (0, 1, 2, 3, 5, 6, 7, 8, 10, 11, 13, 18)]

    after, before = accuracy(outcomes, "order"), accuracy(outcomes, "prior")
    chosen = decisions(outcomes)

    assert max(after.error) < 1.0
    assert after.error[0] < 0.75 * before.error[0]
    assert min(after.inside) >= 9
    assert after.width[0] < 0.8 * before.width[0]
    assert chosen.after <= chosen.before
