"""Twelve invented swatches that the fit and an independent sampler are held against each other on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from lab.swatches import SHORT_TEST, drawn_truth, lab_cloth, lab_shop, simulated
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.shop import Shop
from laydown.domain.stack import Role, Stack
from laydown.lab.evidence import SwatchRecord, gather
from laydown.lab.likelihood import Noise, usual_noise
from laydown.lab.prior import plain_prior
from laydown.lab.problem import DISCREPANCY, FITTED, FitProblem
from laydown.models.bleed_prior import BLEED_DIMENSIONS
from small_shop import barrier, blocking_white, printed, stack, white

CASES = 12
BARRIER_CASE, TWO_INKS_CASE = 10, 11
QUANTITIES = (*BLEED_DIMENSIONS, "transfer", DISCREPANCY, "release + depth + strength - capacity")


def stack_of(case: int) -> Stack:
    """One pass of white; a white over a barrier; a plain white over one that blocks."""
    if case == BARRIER_CASE:
        return stack(printed(barrier(), role=Role.BARRIER, flash=True), printed(blocking_white()))
    if case == TWO_INKS_CASE:
        return stack(printed(blocking_white(), role=Role.UNDERBASE, flash=True), printed(white()))
    return stack(printed(blocking_white()))


def shop_and_record(case: int) -> tuple[Shop, SwatchRecord]:
    rng = np.random.default_rng(1000 + case)
    shop, cloth = lab_shop(), lab_cloth()
    record = simulated(shop, cloth, drawn_truth(rng), rng=rng, protocol=SHORT_TEST, stack=stack_of(case), noise=noise())
    return shop, record


def problem_of(case: int, *, first: int = 200, seed: int = 0) -> FitProblem:
    shop, record = shop_and_record(case)
    evidence = gather(shop, lab_cloth(), (record,))
    return FitProblem(shop=shop, evidence=evidence, prior=plain_prior(), noise=noise(), first=first, seed=seed)


def noise() -> Noise:
    """Errors that the cases were made with: the reference stands however the shipped values are judged later."""
    was = Quantity(value=0.12, low=0.05, high=0.30, grade=Grade.ASSUMED, source="as the cases were made")
    return replace(usual_noise(), discrepancy=was)


def quantities_of(points: np.ndarray) -> dict[str, np.ndarray]:
    """Positions by name, and the amount of dye that comes beside what holds it."""
    found = {name: points[:, FITTED.index(name)] for name in QUANTITIES[:-1]}
    along = {name: found[name] for name in BLEED_DIMENSIONS}
    found[QUANTITIES[-1]] = (
        along["release"] + along["reservoir depth"] + along["dye strength"] - along["white capacity"]
    )
    return found
