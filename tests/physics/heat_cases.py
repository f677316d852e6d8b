"""Random but plausible stacks and dryers for the tests of the heat solver."""

from __future__ import annotations

from typing import Any

import numpy as np

from laydown.physics.heat import Stages
from laydown.physics.heat_grid import CLOTH_SHARES, FILM_SHARES, PALLET_SHARES, stack_cells
from laydown.physics.moisture import critical_water, vapour_pressure


def dryer(samples, *, seed=0, shares=(CLOTH_SHARES, FILM_SHARES), wet=True) -> dict[str, Any]:
    """Cloth and film on an open belt: entry, three zones, exit; 90 s."""
    rng = np.random.default_rng(seed)

    def between(low, high, columns=1):
        return rng.uniform(low, high, (samples, columns))

    cells = stack_cells(
        thickness=np.hstack([between(0.35e-3, 0.9e-3), between(40e-6, 200e-6)]),
        conductivity=np.hstack([between(0.045, 0.08), between(0.14, 0.2)]),
        heat_capacity=np.hstack([between(0.35e6, 0.6e6), between(1.6e6, 2.0e6)]),
        shares=shares,
    )
    cloth = np.zeros(cells.thickness.shape)
    cloth[:, cells.layers[0]] = shares[0]
    held = cloth * between(0.001, 0.016) * wet
    panel = np.hstack([between(290, 305), between(600, 760, 3), between(290, 305)])
    air = np.hstack([between(290, 305), between(390, 460, 3), between(290, 305)])
    h = between(15, 60)
    return {
        "cell_thickness": cells.thickness,
        "conductivity": cells.conductivity,
        "heat_capacity": cells.heat_capacity,
        "contact_resistance": 0.0,
        "water": held,
        "critical_water": critical_water(held, 0.65),
        "initial_temperature": between(290, 305),
        "stages": Stages(
            duration=[4.0, 20.0, 30.0, 26.0, 10.0],
            top_radiant_temperature=panel,
            top_exchange_factor=between(0.15, 0.35),
            top_air_temperature=air,
            top_heat_transfer_coefficient=h,
            bottom_radiant_temperature=air,
            bottom_exchange_factor=between(0.0, 0.4),
            bottom_air_temperature=air,
            bottom_heat_transfer_coefficient=between(5, 25),
            top_vapour_factor=between(0.1, 1.0),
            bottom_vapour_factor=between(0.0, 0.8),
            vapour_pressure=vapour_pressure(295.0, between(0.2, 0.8)),
        ),
        "output_times": np.linspace(0.75, 90.0, 120),
    }


def flash(samples, *, seed=0, shares=(PALLET_SHARES, CLOTH_SHARES, FILM_SHARES), wet=True) -> dict[str, Any]:
    """Pallet, cloth and film below a flash panel for 6 s and in the open for 3 s; contact below the cloth."""
    rng = np.random.default_rng(seed)

    def between(low, high, columns=1):
        return rng.uniform(low, high, (samples, columns))

    cells = stack_cells(
        thickness=np.hstack([between(4e-3, 10e-3), between(0.35e-3, 0.9e-3), between(40e-6, 150e-6)]),
        conductivity=np.hstack([between(0.12, 0.3), between(0.045, 0.08), between(0.14, 0.2)]),
        heat_capacity=np.hstack([between(1.2e6, 2.2e6), between(0.35e6, 0.6e6), between(1.6e6, 2.0e6)]),
        shares=shares,
    )
    cloth = np.zeros(cells.thickness.shape)
    cloth[:, cells.layers[1]] = shares[1]
    held = cloth * between(0.001, 0.016) * wet
    contact = np.zeros((samples, cells.thickness.shape[1] - 1))
    contact[:, cells.layers[1].start - 1] = between(0.0, 2e-3)[:, 0]
    return {
        "cell_thickness": cells.thickness,
        "conductivity": cells.conductivity,
        "heat_capacity": cells.heat_capacity,
        "contact_resistance": contact,
        "water": held,
        "critical_water": critical_water(held, 0.65),
        "initial_temperature": between(290, 320),
        "stages": Stages(
            duration=[6.0, 3.0],
            top_radiant_temperature=np.hstack([between(680, 900), between(290, 300)]),
            top_exchange_factor=between(0.2, 0.6),
            top_air_temperature=np.hstack([between(310, 360), between(290, 300)]),
            top_heat_transfer_coefficient=between(5, 25),
            bottom_radiant_temperature=300.0,
            bottom_exchange_factor=0.0,
            bottom_air_temperature=between(290, 310),
            bottom_heat_transfer_coefficient=between(5, 12),
            top_vapour_factor=between(0.1, 1.0),
            bottom_vapour_factor=0.0,
            vapour_pressure=vapour_pressure(295.0, between(0.2, 0.8)),
        ),
        "output_times": np.linspace(0.25, 9.0, 36),
    }
