"""Invented probe logs on which fits and an independent sampler are held against each other."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from synthetic_flash import UNITS, as_flash_fit_log, draw_flash, flash_log
from synthetic_probe import NOISE, SHOP, as_fit_log, draw, written_log

from laydown.domain.probe_log import Lane
from laydown.lab.curve_fit import CurveFit
from laydown.lab.dryer_fit import fit_dryer
from laydown.lab.dryer_fit_data import FitData
from laydown.lab.flash_fit import fit_flash
from laydown.lab.flash_fit_data import FlashData

Values = NDArray[np.float64]

ELECTRIC = SHOP.dryers[1]
CASES = ("electric, seed 1", "electric, seed 2", "panel flash, seed 3", "quartz flash, seed 4")
ONE = (Lane.CENTRE,)


def fit_of(case: str) -> tuple[CurveFit, FitData | FlashData]:
    """Fit of a case, and what it was fitted to."""
    kind, seed = case.split(", seed ")
    rng = np.random.default_rng(int(seed))
    if kind == "electric":
        log, _ = written_log(ELECTRIC, draw(ELECTRIC, rng, lanes=ONE), rng, lanes=ONE)
        fit = fit_dryer(ELECTRIC, SHOP.climate, [as_fit_log(ELECTRIC, log, speed=ELECTRIC.length / 60)])
        return fit.curves, fit.data
    unit = UNITS["Sandpiper panel flash" if kind == "panel flash" else "Heron quartz flash A"]
    log = flash_log(unit, draw_flash(unit, rng, lanes=ONE), rng, lanes=ONE)
    found = fit_flash(unit, SHOP.climate, [as_flash_fit_log(unit, log)])
    return found.curves, found.data


def log_posterior(data: FitData | FlashData) -> Callable[[Values], Values]:
    """Logarithm of the posterior at rows of positions, up to a constant, without what the fit makes of it."""

    def found(z: Values) -> Values:
        out = np.full(len(z), -np.inf)
        near = np.abs(z).max(axis=1) < 6.0
        if near.any():
            left = data.measured - data.predicted(z[near])
            out[near] = -0.5 * (left**2).sum(axis=1) / NOISE**2 - 0.5 * (z[near] ** 2).sum(axis=1)
        return out

    return found


def names_of(data: FitData | FlashData) -> dict[str, int]:
    """The machine's own coefficients, by name, and their places."""
    return {one.words: i for i, one in enumerate(data.parameters) if one.of_dryer}
