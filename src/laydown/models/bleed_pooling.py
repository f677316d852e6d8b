"""What all tests of a shop say of one garment's bleed: its own lot's, other lots' of the cloth, other cloths'.

Every tested lot's fit rests on its own readings. Here they are put together under the hierarchy of lot within cloth
within dye class: what a lot's readings say is passed on as a normal distribution, in the directions in which they say
more than chance, and reaches another lot as far as both have their parts in common.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from laydown.domain.finding import ClothFinding, Level
from laydown.domain.garment import Garment
from laydown.domain.shop import Shop
from laydown.models.bleed_prior import (
    FINDING_DIMENSIONS,
    PRINT_DIMENSIONS,
    dye_fingerprint,
    print_fingerprint,
    prior_fingerprint,
    shares_of,
)

Values = NDArray[np.float64]

SEED = 20240229

MARGIN = 3.0
"""An eigenvalue counts as told that lies so many of its scales below what chance leaves: one set in a thousand."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Message:
    """What a lot's readings say: ``y = a' z + e`` with unit errors, z its positions along `FINDING_DIMENSIONS`.

    Attributes
    ----------
    directions : ndarray, shape (d, n)
        One column a direction that the readings inform; longer where they say more.
    seen : ndarray, shape (n,)
    """

    directions: Values
    seen: Values


@dataclass(frozen=True, slots=True, kw_only=True)
class Normal:
    """Normal distribution of positions along `FINDING_DIMENSIONS`."""

    mean: Values
    covariance: Values


def finding_for(shop: Shop, garment: Garment) -> ClothFinding | None:
    """What the shop's tests say of a garment; None when there is none that today's priors would understand.

    Returns
    -------
    ClothFinding or None
        At the level of the nearest test: this lot's, another lot's of this cloth, another cloth's of the dye class, or
        any print's (the ink film is the same on all). Its swatches are those of that level.

    Notes
    -----
    The nearest lot's draws are taken; the part that the garment's lot (cloth, class) does not share with it is drawn
    anew from the prior. What further lots say shifts and narrows these draws linearly, so that their mean and
    covariance are those of the whole hierarchy.
    """
    lots = _understood(shop)
    if not lots:
        return None
    level, nearest = _nearest(lots, garment)
    messages = [_message(one) for one in lots]
    alone = conditional(garment, [(nearest, messages[lots.index(nearest)])])
    whole = conditional(garment, list(zip(lots, messages, strict=True)))
    draws = _redrawn(np.array(nearest.draws), _common(garment, nearest))
    if len(lots) > 1:
        draws = _moved(draws, alone, whole)
    same = [one for one in lots if _level(one, garment) is level]
    others = len(lots) - len(same)
    notes = nearest.notes
    if others and level is not Level.FILM:
        notes = (*notes, f"{others} other tested {'lot' if others == 1 else 'lots'} narrowed it as well")
    return replace(
        nearest,
        level=level,
        garment=garment.name if level in {Level.LOT, Level.CLOTH} else "",
        lot=garment.lot.strip() if level is Level.LOT else "",
        dye=garment.dye,
        draws=tuple(tuple(float(x) for x in row) for row in draws),
        swatches=tuple(sorted({number for one in same for number in one.swatches})),
        readings=sum(one.readings for one in same),
        priors=prior_fingerprint(garment.dye, shop.practice),
        notes=notes,
    )


@lru_cache(maxsize=1024)
def _message(finding: ClothFinding) -> Message:
    """Message of a kept finding; a shop asks for those of all its lots with every plan."""
    return message_of(np.array(finding.draws), finding.effective)


def message_of(draws: Values, effective: float) -> Message:
    """What draws from a posterior under the standard normal prior say beyond that prior.

    Parameters
    ----------
    draws : ndarray, shape (n, d)
    effective : float
        Independent draws that they are worth.

    Notes
    -----
    The covariance's eigenvalues that ``effective`` draws of the prior itself would show by chance (Marchenko and
    Pastur 1967) count as 1, so noise is not passed on as knowledge; those below are freed of their bias (Baik and
    Silverstein 2006). A direction that got wider is not passed on.
    """
    d = draws.shape[1]
    n = max(effective, d + 1.0)
    gamma = d / n
    # How far the lowest of d eigenvalues may fall below its limit in finite samples (Tracy and Widom).
    scale = (np.sqrt(n) - np.sqrt(d)) * (1 / np.sqrt(d) - 1 / np.sqrt(n)) ** (1 / 3) / n
    values, vectors = np.linalg.eigh(np.cov(draws.T))
    told = values < (1 - np.sqrt(gamma)) ** 2 - MARGIN * scale
    values, vectors = values[told], vectors[:, told]
    whole = values + 1 - gamma
    freed = np.maximum((whole - np.sqrt(np.maximum(whole**2 - 4 * values, 0.0))) / 2, 1e-3)
    precision = 1 / freed - 1
    # Posterior mean m = v precision^(1/2) y, v the posterior variance, in each direction on its own.
    along = draws.mean(axis=0) @ vectors
    return Message(directions=vectors * np.sqrt(precision), seen=along / freed / np.sqrt(precision))


def conditional(garment: Garment, told: list[tuple[ClothFinding, Message]]) -> Normal:
    """Distribution of a garment's positions, given what was told of the lots that were tested."""
    d = len(FINDING_DIMENSIONS)
    if not told:
        return Normal(mean=np.zeros(d), covariance=np.eye(d))
    # Prior covariance of two lots' positions is diagonal, as directions are independent and only parts are shared.
    across = np.concatenate([_common(garment, one)[:, None] * m.directions for one, m in told], axis=1)
    seen = np.concatenate([m.seen for _, m in told])
    whole = _between([one for one, _ in told], [m.directions for _, m in told]) + np.eye(seen.size)
    gain = np.linalg.solve(whole, across.T).T
    covariance = np.eye(d) - gain @ across.T
    return Normal(mean=gain @ seen, covariance=(covariance + covariance.T) / 2)


def _understood(shop: Shop) -> list[ClothFinding]:
    """The latest finding of each lot that was made under today's priors, oldest first.

    When the shop has weighed its laydown since, what a finding says of the way of printing refers to another prior: it
    is drawn anew.
    """
    latest: dict[tuple[str, str], ClothFinding] = {}
    printing = print_fingerprint(shop.practice)
    for one in sorted(shop.findings, key=lambda f: f.fitted_at.timestamp()):
        of_dye, _, of_print = one.priors.partition("-")
        if one.dimensions == FINDING_DIMENSIONS and of_dye == dye_fingerprint(one.dye):
            latest[one.garment, one.lot] = one if of_print == printing else _without_print(one)
    return list(latest.values())


def _without_print(finding: ClothFinding) -> ClothFinding:
    draws = np.array(finding.draws)
    of_print = [FINDING_DIMENSIONS.index(name) for name in PRINT_DIMENSIONS]
    draws[:, of_print] = np.random.default_rng(SEED).standard_normal((len(draws), len(of_print)))
    return replace(finding, draws=tuple(tuple(float(x) for x in row) for row in draws))


def _nearest(lots: list[ClothFinding], garment: Garment) -> tuple[Level, ClothFinding]:
    order = list(Level)
    found = min(reversed(lots), key=lambda one: order.index(_level(one, garment)))
    return _level(found, garment), found


def _level(one: ClothFinding, garment: Garment) -> Level:
    """How near a tested lot is to a garment; two lots are one only where both are named."""
    if one.garment == garment.name and one.dye is garment.dye:
        return Level.LOT if one.lot and one.lot == garment.lot.strip() else Level.CLOTH
    return Level.DYE_CLASS if one.dye is garment.dye else Level.FILM


def _common(garment: Garment, one: ClothFinding) -> Values:
    return _correlation(_level(one, garment))


def _between(lots: list[ClothFinding], directions: list[Values]) -> Values:
    """Prior covariance of what all lots were seen along, shape (n, n): that of the parts that two lots share."""
    along = np.concatenate(directions, axis=1)
    owner = np.repeat(np.arange(len(lots)), [one.shape[1] for one in directions])
    cloths = [(one.dye, one.garment) for one in lots]
    cloth = np.array([cloths.index(one) for one in cloths])[owner]
    dyes = [one.dye for one in lots]
    dye = np.array([dyes.index(one) for one in dyes])[owner]
    # The nearest level that two lots share; two findings of one cloth are of different lots.
    nearest = np.where(dye[:, None] == dye, 2, 3)
    nearest = np.where(cloth[:, None] == cloth, 1, nearest)
    found = np.zeros(nearest.shape)
    for level, name in ((1, Level.CLOTH), (2, Level.DYE_CLASS), (3, Level.FILM)):
        found += np.where(nearest == level, along.T @ (_correlation(name)[:, None] * along), 0.0)
    return np.where(owner[:, None] == owner, along.T @ along, found)


@lru_cache(maxsize=8)
def _correlation(level: Level) -> Values:
    """Correlation of the prior in each direction between two lots that are so near, shape (d,)."""
    found = []
    for name in FINDING_DIMENSIONS:
        shares = shares_of(name)
        parts = (shares.lot, shares.cloth, shares.dye_class, shares.shop)
        found.append(sum(parts[list(Level).index(level) :]))
    return np.array(found)


def _redrawn(draws: Values, common: Values) -> Values:
    """Draws of the nearest lot with the part drawn anew that it does not share; ``common``: the prior's correlation."""
    anew = np.random.default_rng(SEED).standard_normal(draws.shape)
    return np.asarray(common * draws + np.sqrt(np.maximum(1 - common**2, 0.0)) * anew)


def _moved(draws: Values, before: Normal, after: Normal) -> Values:
    """Draws whose mean and covariance go from one normal distribution's to another's, their shape kept."""
    from_, to = np.linalg.cholesky(_solid(before.covariance)), np.linalg.cholesky(_solid(after.covariance))
    return np.asarray(after.mean + np.linalg.solve(from_, (draws - before.mean).T).T @ to.T)


def _solid(covariance: Values) -> Values:
    return covariance + 1e-9 * np.eye(len(covariance))
