"""The equations of docs/physics/heat.md once more, for scipy's LSODA: nothing in here comes from the solver.

Unknowns are temperature and water of each cell (the solver has enthalpy and water), in turns, so that the Jacobian
has two bands on either side; each stage is a fresh start.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

SIGMA = 5.670374419e-8
WATER_CP = 4186.0


def solve_one(case: dict[str, Any], sample: int) -> tuple[np.ndarray, np.ndarray]:
    """Temperatures [k, cell] and water [k, cell] of one sample of a case written as for ``simulate_heat``."""

    def row(value, columns):
        array = np.atleast_2d(np.asarray(value, dtype=float))
        array = np.broadcast_to(array, (max(array.shape[0], sample + 1), columns))
        return array[sample]

    n = np.atleast_2d(case["cell_thickness"]).shape[1]
    d, k, c = (row(case[name], n) for name in ("cell_thickness", "conductivity", "heat_capacity"))
    contact = row(case["contact_resistance"], n - 1)
    holds, critical = row(case["water"], n), row(case["critical_water"], n)
    resistance = d[:-1] / (2 * k[:-1]) + contact + d[1:] / (2 * k[1:])
    wet = critical > 0
    shares = critical[wet] / critical[wet].sum() if wet.any() else np.zeros(0)

    stages = case["stages"]
    lengths = np.asarray(stages.duration, dtype=float)
    names = [name for name in stages.__slots__ if name != "duration"]
    table = {name: row(getattr(stages, name), lengths.size) for name in names}

    state = np.empty(2 * n)
    state[0::2], state[1::2] = row(case["initial_temperature"], n), holds
    outputs = np.asarray(case["output_times"], dtype=float)
    found = np.empty((outputs.size, 2 * n))
    begin = 0.0
    for s in range(lengths.size):
        now = {name: values[s] for name, values in table.items()}
        end = begin + lengths[s]
        # Lewis: h_m = h/(rho cp); divided by R_v T for pressures; rho = P/(R_air T); R_air/R_v = 0.622.
        beta = (
            sum(now[f"{side}_vapour_factor"] * now[f"{side}_heat_transfer_coefficient"] for side in ("top", "bottom"))
            * 0.622
            / (101325.0 * 1007.0)
        )

        def slope(_time, y, now=now, beta=beta):
            temperature, water = y[0::2], y[1::2]
            flux = np.diff(temperature) / resistance
            gain = np.zeros(n)
            gain[:-1] += flux
            gain[1:] -= flux
            gain[0] += face_flux(now, "bottom", temperature[0], d[0] / (2 * k[0]))
            gain[-1] += face_flux(now, "top", temperature[-1], d[-1] / (2 * k[-1]))
            out = np.zeros(2 * n)
            if wet.any():
                t = temperature[wet] - 273.15
                saturation = 611.21 * np.exp((18.678 - t / 234.5) * t / (257.14 + t))
                activity = np.minimum(1.0, water[wet] / critical[wet])
                leaves = shares * beta * (activity * saturation - now["vapour_pressure"])
                gain[wet] -= leaves * (2.501e6 - 2361.0 * t)
                out[1::2][wet] = -leaves
            out[0::2] = gain / (d * c + WATER_CP * water)
            return out

        inside = outputs[(outputs > begin + 1e-9) & (outputs <= end + 1e-9)]
        ask = np.unique(np.append(np.minimum(inside, end), end))
        answer = solve_ivp(
            slope, (begin, end), state, method="LSODA", t_eval=ask, rtol=1e-7, atol=np.tile([1e-4, 1e-9], n),
            lband=2, uband=2,
        )  # fmt: skip
        assert answer.success, answer.message
        found[(outputs > begin + 1e-9) & (outputs <= end + 1e-9)] = answer.y[:, : inside.size].T
        state, begin = answer.y[:, -1].copy(), end
    return found[:, 0::2], found[:, 1::2]


def face_flux(now: dict[str, float], side: str, cell: float, half_resistance: float) -> float:
    """Heat into the face; its temperature is the root of a quartic, found by halving."""
    radiative = SIGMA * now[f"{side}_exchange_factor"]
    h, air = now[f"{side}_heat_transfer_coefficient"], now[f"{side}_air_temperature"]
    panel = now[f"{side}_radiant_temperature"]

    def arrives(face):
        return radiative * (panel**4 - face**4) + h * (air - face)

    low = high = cell
    if arrives(cell) > 0:
        high = cell + arrives(cell) * half_resistance
    else:
        low = cell + arrives(cell) * half_resistance
    face = cell
    for _ in range(60):
        # Regula falsi would do; a secant from both ends of a nearly straight line settles in a few turns.
        excess_low = (low - cell) / half_resistance - arrives(low)
        excess_high = (high - cell) / half_resistance - arrives(high)
        if excess_high - excess_low <= 0:
            break
        face = low - excess_low * (high - low) / (excess_high - excess_low)
        if (face - cell) / half_resistance - arrives(face) > 0:
            high, moved = face, high - face
        else:
            low, moved = face, face - low
        if moved < 1e-11 * cell:
            break
    return arrives(face)
