"""Migration cases that several tests share; all numbers invented, in the range that prints have."""

from __future__ import annotations

from typing import Any

import numpy as np

DAY = 86400.0
OUTPUT_DAYS = (0, 1, 2, 7, 14, 30, 60)


def shop_life(rng: np.random.Generator, samples: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Flash, dryer, hot pile, storage, transit and tumble-drying; returns times, temperature and output times."""
    rows, outputs, times = [], None, None
    for _ in range(samples):
        points = [(0.0, 25.0)]

        def pass_(seconds, celsius, count, points=points):
            begin = points[-1][0]
            points += [(begin + seconds * i / count, float(celsius(i / count))) for i in range(1, count + 1)]

        flash, peak, pile, transit = (
            rng.uniform(90, 125),
            rng.uniform(135, 178),
            rng.uniform(40, 75),
            rng.uniform(35, 55),
        )
        pass_(6, lambda u, f=flash: 25 + (f - 25) * (1 - np.exp(-2 * u)) / (1 - np.exp(-2)), 12)
        pass_(20, lambda u, f=flash: 25 + (f - 25) * np.exp(-3 * u), 10)
        pass_(60, lambda u, p=peak: 35 + (p - 35) * (1 - np.exp(-3 * u)) / (1 - np.exp(-3)), 60)
        pass_(20, lambda u, p=peak, q=pile: p - (p - q) * u, 15)
        done = points[-1][0]
        pass_(7200, lambda u, q=pile: 25 + (q - 25) * np.exp(-3 * u), 15)
        pass_(1.2 * DAY, lambda _u: 25.0, 1)
        pass_(600, lambda u, q=transit: 25 + (q - 25) * u, 3)
        pass_(DAY, lambda _u, q=transit: q, 1)
        pass_(600, lambda u, q=transit: q - (q - 25) * u, 3)
        for _ in range(3):
            pass_(4 * DAY, lambda _u: 25.0, 1)
            pass_(300, lambda u: 25 + 40 * u, 3)
            pass_(2400, lambda _u: 65.0, 1)
            pass_(300, lambda u: 65 - 40 * u, 3)
        points.append((61 * DAY, 25.0))
        times = np.array([t for t, _ in points])
        outputs = done + DAY * np.array(OUTPUT_DAYS)
        rows.append([celsius + 273.15 for _, celsius in points])
    return times, np.array(rows), outputs


def print_(
    samples: int,
    *,
    seed: int,
    layers: int,
    blockers: bool = True,
    reaction_length: tuple[float, float] = (1e-6, 10e-6),
    thickness: tuple[float, float] = (5e-6, 60e-6),
) -> dict[str, Any]:
    """Arguments of ``simulate_migration`` for one stack with spread parameters, thin layers and strong blockers too."""
    rng = np.random.default_rng([seed, layers, blockers])
    times, temperature, outputs = shop_life(rng, samples)
    shape = (samples, layers)
    factor = rng.choice([0.3, 1.0, 1.0, 2.0], (1, layers))
    low, high = np.log(reaction_length)
    return {
        "times": times,
        "temperature": temperature,
        "output_times": outputs,
        "layer_thickness": rng.uniform(*thickness, (1, layers)) * rng.lognormal(0, 0.15, shape),
        "diffusivity_ref": 2e-15 * rng.lognormal(0, 1.4, (samples, 1)) * factor,
        "diffusion_activation": rng.normal(87e3, 4e3, samples),
        "diffusion_reference": 298.15,
        "capacity": rng.choice([0, 0.03, 0.12, 0.8], (1, layers)) * rng.lognormal(0, 0.2, shape) * blockers,
        "reaction_length": np.exp(rng.uniform(low, high, shape)),
        "partition": np.exp(rng.uniform(-0.7, 0.7, (samples, layers - 1))),
        "reservoir_depth": rng.uniform(60e-6, 240e-6, samples),
        "reservoir_start": rng.uniform(0.3, 1.0, samples),
        "release_ref": 2e-3 * rng.lognormal(0, 0.8, samples),
        "release_activation": rng.normal(140e3, 8e3, samples),
        "release_reference": 433.15,
    }


def still(days: float, **given: Any) -> dict[str, Any]:
    """One sample of one film at its reference temperature; no dye, no blocker unless given."""
    return {
        "times": [0.0, days * DAY],
        "temperature": [[298.15, 298.15]],
        "output_times": [days * DAY],
        "layer_thickness": [[40e-6]],
        "diffusivity_ref": 2e-15,
        "diffusion_activation": 87e3,
        "diffusion_reference": 298.15,
        "reservoir_depth": 120e-6,
        "reservoir_start": 1.0,
        "release_ref": 0.0,
        "release_activation": 0.0,
        "release_reference": 298.15,
    } | given
