"""Share of a mesh's volume that reaches the garment, from garments weighed before and after printing.

Each weighing gives ln(gain / (density x area x volume x hits)) = ln t + what is common to its screen, to its ink and
to its number of hits + scatter. All but the scatter are normal, so ln t follows in closed form for every scatter; the
scatter runs over a grid. Prior: the published rules, from one third to all.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.data.read import read_table
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.validity import named, positive, within
from laydown.errors import InvalidInput
from laydown.lab.reading_check import NINETY, ReadingCheck, conflicts

Values = NDArray[np.float64]

USUAL_SCATTER = 0.05
"""Half-normal scale of ln of repeated prints' masses. Assumed: a twentieth, as shops say."""

SCATTERS = np.geomspace(0.003, 0.5, 60)
SCATTERS.flags.writeable = False

NOT_TOLD = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """One garment weighed before and after one pass, before the dryer.

    Attributes
    ----------
    label : str
        Which weighing.
    before, after : float
        Mass [kg].
    area : float
        Inked area: size of the print times its coverage [m2].
    screen, ink : str
        Names; weighings of one screen share what is not known of its mesh, those of one ink its density.
    volume : Quantity
        Theoretical volume of the mesh [m3/m2].
    density : Quantity
        Of the ink [kg/m3].
    hits : int
    balance : float
        Standard deviation of a single reading of the balance [kg].
    """

    label: str
    before: float
    after: float
    area: float
    screen: str
    ink: str
    volume: Quantity
    density: Quantity
    hits: int = 1
    balance: float = 0.0

    def __post_init__(self) -> None:
        named("a weighing", self.label)
        within(f"area of {self.label}", self.area, 1e-5, 2.0, "m²")
        within(f"hits of {self.label}", self.hits, 1, 10, "")
        within(f"balance of {self.label}", self.balance, 0.0, 0.01, "kg")
        for what, mass in (("before", self.before), ("after", self.after)):
            within(f"mass of {self.label} {what} printing", mass, 0.0, 10.0, "kg")
        for quantity, what in ((self.volume, "mesh volume"), (self.density, "density")):
            positive(f"{what} of {self.label}", quantity.low)
        if self.gain <= 0:
            raise InvalidInput(f"{self.label} weighs no more after printing than before; were the two masses mixed up?")

    @property
    def gain(self) -> float:
        """Mass of ink that the garment took up [kg]."""
        return self.after - self.before


@dataclass(frozen=True, slots=True, kw_only=True)
class TransferFit:
    """What weighings say of the transfer.

    Attributes
    ----------
    prior, transfer : Quantity
        Before and after, as shares of one; ``transfer`` fits `Practice.transfer`.
    scatter : Quantity
        Standard deviation of ln of repeated prints' masses: the shop's own repeatability.
    checks : tuple of ReadingCheck
        For each weighing, its gain [kg] against what the others foretell.
    warnings : tuple of str
    """

    prior: Quantity
    transfer: Quantity
    scatter: Quantity
    checks: tuple[ReadingCheck, ...]
    warnings: tuple[str, ...]


def fit_transfer(weighings: Sequence[Weighing], *, prior: Quantity | None = None) -> TransferFit:
    """Transfer of a shop from weighings.

    Parameters
    ----------
    weighings : sequence of Weighing
        At least one.
    prior : Quantity, optional
        What was known before; None: the published rules.

    Returns
    -------
    TransferFit

    Raises
    ------
    InvalidInput
        When there is no weighing, two share a label, or the answer lies outside 5 to 150 %.

    Notes
    -----
    What is not known of mesh, density and wet hits is shared by all weighings it concerns and so does not average out.
    """
    if not weighings:
        raise InvalidInput("a transfer needs at least one weighing")
    labels = [one.label for one in weighings]
    if len(set(labels)) < len(labels):
        raise InvalidInput("two weighings share a label; labels must differ")
    before = prior or read_table("laydown")["stroke"]["transfer"]
    positive("lowest transfer of the prior", before.low)
    centre, spread = _log_normal(before)
    y, common, balance = _logs(weighings)
    weights, means, variances = _posterior(y, common, balance, centre, spread)
    low, value, high = (math.exp(q) for q in _quantiles(weights, means, variances))
    if not 0.05 <= value <= 1.5:
        raise InvalidInput(
            f"the weighings give a transfer of {100 * value:.3g} %; possible are 5 to 150 %: check areas and masses"
        )
    checks = tuple(_check(place, weighings, y, common, balance, centre, spread) for place in range(len(weighings)))
    warnings = list(conflicts(checks, scale=1000.0, unit="g"))
    if not before.low <= value <= before.high:
        warnings.append(
            f"the transfer of {100 * value:.0f} % lies outside what was thought before, {100 * before.low:.0f} to "
            f"{100 * before.high:.0f} %"
        )
    if len(weighings) < 3:
        warnings.append("fewer than three weighings tell little of the scatter; weigh three garments or more")
    source = f"{len(weighings)} weighing{'s' if len(weighings) > 1 else ''} before and after printing"
    steps = np.interp((0.05, 0.5, 0.95), np.cumsum(weights), SCATTERS)
    return TransferFit(
        prior=before,
        transfer=Quantity(value=value, low=max(low, 0.05), high=min(high, 1.5), grade=Grade.MEASURED, source=source),
        scatter=Quantity(
            value=float(steps[1]), low=float(steps[0]), high=float(steps[2]), grade=Grade.MEASURED, source=source
        ),
        checks=checks,
        warnings=tuple(warnings),
    )


def _log_normal(quantity: Quantity) -> tuple[float, float]:
    """Mean and standard deviation of the logarithm whose nine of ten lie in the interval."""
    low, high = math.log(quantity.low), math.log(quantity.high)
    return (low + high) / 2, max((high - low) / (2 * NINETY), NOT_TOLD)


def _logs(weighings: Sequence[Weighing]) -> tuple[Values, Values, Values]:
    """Logarithms of the transfer of each weighing, covariance of what they share, and variance of the balance."""
    wet = read_table("laydown")["stroke on wet ink"]["transfer"]
    n = len(weighings)
    common = np.zeros((n, n))
    y = np.empty(n)
    for i, one in enumerate(weighings):
        hits = 1 + (one.hits - 1) * wet.value
        y[i] = math.log(one.gain / (one.density.value * one.area * one.volume.value * hits))
        for j, other in enumerate(weighings):
            if one.screen == other.screen:
                common[i, j] += _log_normal(one.volume)[1] * _log_normal(other.volume)[1]
            if one.ink == other.ink:
                common[i, j] += _log_normal(one.density)[1] * _log_normal(other.density)[1]
            # The share of a hit on wet ink is one number for all; more hits hang on it more.
            common[i, j] += _hit_spread(one.hits, wet) * _hit_spread(other.hits, wet)
    balance = np.array([2 * (one.balance / one.gain) ** 2 for one in weighings])
    return y, common, balance


def _hit_spread(hits: int, wet: Quantity) -> float:
    low, high = (1 + (hits - 1) * share for share in (wet.low, wet.high))
    return math.log(high / low) / (2 * NINETY)


def _posterior(
    y: Values, common: Values, balance: Values, centre: float, spread: float
) -> tuple[Values, Values, Values]:
    """Weight of each scatter, and mean and variance of ln t under it."""
    # Half-normal prior; the grid is in equal steps of the logarithm, so each point stands for its own width.
    prior = -0.5 * (SCATTERS / USUAL_SCATTER) ** 2 + np.log(SCATTERS)
    # In the axes of what is shared, every scatter only adds to the variances.
    shared, axes = np.linalg.eigh(common + np.diag(balance))
    ones, rest = axes.T @ np.ones(len(y)), axes.T @ (y - centre)
    own = np.maximum(shared, 0.0) + SCATTERS[:, None] ** 2
    precision = 1 / spread**2 + (ones**2 / own).sum(axis=1)
    shift = (ones * rest / own).sum(axis=1) / precision
    means, variances = centre + shift, 1 / precision
    log_weights = prior - 0.5 * (
        np.log(own).sum(axis=1) + (rest**2 / own).sum(axis=1) - shift**2 * precision + np.log(precision)
    )
    weights = np.exp(log_weights - log_weights.max())
    return weights / weights.sum(), means, variances


def _quantiles(weights: Values, means: Values, variances: Values) -> tuple[float, float, float]:
    """Fifth, fiftieth and ninety-fifth percentile of a mixture of normal distributions."""
    from scipy.optimize import brentq
    from scipy.special import ndtr

    deviations = np.sqrt(variances)
    low, high = float((means - 9 * deviations).min()), float((means + 9 * deviations).max())

    def quantile(share: float) -> float:
        return float(brentq(lambda x: float(weights @ ndtr((x - means) / deviations)) - share, low, high, xtol=1e-10))

    return quantile(0.05), quantile(0.5), quantile(0.95)


def _check(
    place: int,
    weighings: Sequence[Weighing],
    y: Values,
    common: Values,
    balance: Values,
    centre: float,
    spread: float,
) -> ReadingCheck:
    """One weighing against the others."""
    rest = np.arange(len(y)) != place
    inner = common[np.ix_(rest, rest)]
    weights, means, variances = _posterior(y[rest], inner, balance[rest], centre, spread)
    # What this weighing shares with the others is partly known from them.
    shared, axes = np.linalg.eigh(inner + np.diag(balance[rest]))
    own = np.maximum(shared, 0.0) + SCATTERS[:, None] ** 2
    beside = common[place, rest]
    gains = ((axes.T @ beside) / own) @ axes.T
    predicted = means + (gains * (y[rest] - means[:, None])).sum(axis=1)
    alone = common[place, place] + balance[place] + SCATTERS**2
    spreads = alone - gains @ beside + (1 - gains.sum(axis=1)) ** 2 * variances
    low, middle, high = _quantiles(weights, predicted, spreads)
    one = weighings[place]
    hits = 1 + (one.hits - 1) * read_table("laydown")["stroke on wet ink"]["transfer"].value
    mass = one.density.value * one.area * one.volume.value * hits
    deviation = (y[place] - middle) * 2 * NINETY / (high - low)
    all_weights, all_means, _ = _posterior(y, common, balance, centre, spread)
    mean = float(weights @ means)
    without = math.sqrt(float(weights @ (variances + means**2)) - mean**2)
    return ReadingCheck(
        label=one.label,
        reading=one.gain,
        low=mass * math.exp(low),
        predicted=mass * math.exp(middle),
        high=mass * math.exp(high),
        deviation=float(deviation),
        pull=(float(all_weights @ all_means) - mean) / without,
    )
