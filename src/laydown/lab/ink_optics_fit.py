"""Absorption and scattering of an ink from films drawn down over black and white, with what is not sure of them.

Kubelka-Munk and Saunderson foretell every reading from ln K and ln S of each band and from the films' true
thicknesses. The most probable values are found by least squares; their spread is that of the normal distribution that
touches the posterior there (Laplace).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.data.colorimetric import tristimulus_weights
from laydown.domain.colour import BANDS, Colour
from laydown.domain.ink import InkOptics
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.validity import named, within
from laydown.errors import ConvergenceError, InvalidInput
from laydown.lab.drawdown_model import DrawdownModel, film_factors, prior_rows
from laydown.lab.reading_check import NINETY, ReadingCheck, conflicts
from laydown.models.ink_optics import surface

Values = NDArray[np.float64]

USUAL_NOISE = 0.003
"""Standard deviation of a reflectance read again after lifting the instrument. Assumed: even film."""

NOISE_WEIGHT = 10.0
"""How many readings of a band the assumed noise is worth against the films' own scatter."""

CONTRAST_THICKNESS = 25.4e-6
"""Thickness that contrast ratios of inks are told for: a thousandth of an inch [m]."""

DRAWS = 400

NOISE_ROUNDS, MOST_STEPS, LONGEST_STEP = 3, 200, 2.0
"""Rounds that bring the noise to the films' scatter; steps to the most probable values, and the longest in a
logarithm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmReading:
    """One film drawn over a black and a white substrate, in one go.

    Attributes
    ----------
    label : str
        Which film.
    thickness : Quantity
        Of the cured film [m], by gauge, or by its mass, area and density.
    over_black, over_white : tuple of float
        Reflectance factors of the film, 380 to 730 nm in 10 nm steps.
    black, white : tuple of float
        Of the bare substrates beside it.
    """

    label: str
    thickness: Quantity
    over_black: tuple[float, ...]
    over_white: tuple[float, ...]
    black: tuple[float, ...]
    white: tuple[float, ...]

    def __post_init__(self) -> None:
        named("a film", self.label)
        within(f"thickness of {self.label}", self.thickness.value, 1e-6, 1e-3, "m")
        within(f"lowest thickness of {self.label}", self.thickness.low, 1e-7, 1e-3, "m")
        for what in ("over_black", "over_white", "black", "white"):
            values = getattr(self, what)
            told = what.replace("_", " ")
            if len(values) != BANDS:
                raise InvalidInput(
                    f"the spectrum {told} of {self.label} has {len(values)} values; {BANDS} are needed, 380 to 730 nm "
                    "in 10 nm steps"
                )
            for value in values:
                within(f"reflectance {told} of {self.label}", value, -0.05, 1.2, "as a share of one")
        light = tristimulus_weights("D65/10")[:, 1] / 100
        if float((np.array(self.white) - np.array(self.black)) @ light) < 0.2:
            raise InvalidInput(
                f"the black and the white below {self.label} differ by less than 0.2 in reflectance; were they mixed "
                "up?"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class InkOpticsFit:
    """K and S of an ink with their intervals.

    Attributes
    ----------
    absorption, scattering : ndarray, shape (36, 3)
        Low, most probable and high value of each band [1/m]; nine of ten from low to high.
    prior_scattering : Quantity
        What was thought of S before, in any band [1/m].
    optics : InkOptics
        For the ink's record: spectra of K and S, and the colour of a layer that hides.
    contrast_ratio : Quantity
        Foretold at 25.4 µm over the first film's substrates; carries the spread that ``optics`` cannot.
    thickness : tuple of Quantity
        Of each film, as it is thought now [m].
    noise : float
        Standard deviation of a reflectance.
    checks : tuple of ReadingCheck
        Luminous reflectance of each film over each substrate against what the other films foretell.
    warnings : tuple of str
    """

    absorption: Values
    scattering: Values
    prior_scattering: Quantity
    optics: InkOptics
    contrast_ratio: Quantity
    thickness: tuple[Quantity, ...]
    noise: float
    checks: tuple[ReadingCheck, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Solved:
    """Most probable parameters, their covariance, and the noise."""

    best: Values
    covariance: Values
    noise: float


def fit_ink_optics(films: Sequence[FilmReading], *, gloss_included: bool = True) -> InkOpticsFit:
    """K and S of an ink from drawdowns.

    Parameters
    ----------
    films : sequence of FilmReading
        At least one; several thicknesses separate K from S where a film hides, and tell of the thickness.
    gloss_included : bool
        Whether the instrument took the gloss with it (a sphere, d:8 included). Without it the surface's reflection is
        added to each reading before the film is reckoned with.

    Returns
    -------
    InkOpticsFit

    Raises
    ------
    InvalidInput
        When there is no film, or two share a label.
    ConvergenceError
        When the most probable values were not found.

    Notes
    -----
    Priors (assumed, wide): S near 5e4 1/m within a factor of 12 to either side, neighbouring bands alike within some
    hundredths; K over six decades, neighbouring bands alike within a factor of two.
    """
    if not films:
        raise InvalidInput("an ink's optics need at least one film")
    labels = [film.label for film in films]
    if len(set(labels)) < len(labels):
        raise InvalidInput("two films share a label; labels must differ")
    k1, k2 = surface()
    gloss = 0.0 if gloss_included else k1
    solved = _solve(films, k1, k2, gloss)
    spread = np.sqrt(np.diag(solved.covariance))
    edges = np.exp(solved.best[:, None] + spread[:, None] * np.array([-NINETY, 0.0, NINETY]))
    absorption, scattering = edges[:BANDS], edges[BANDS : 2 * BANDS]
    draws = np.random.default_rng(1).multivariate_normal(solved.best, solved.covariance, size=DRAWS, method="cholesky")
    source = f"{len(films)} film{'s' if len(films) > 1 else ''} drawn over black and white"
    ratio = _contrast(films[0], np.vstack([solved.best, draws]), k1, k2, gloss)
    ratio_low, ratio_high = np.quantile(ratio[1:], (0.05, 0.95))
    checks = _checks(films, solved, k1, k2, gloss)
    factors = film_factors(films, solved.best, spread)
    thickness = tuple(
        Quantity(
            value=film.thickness.value * middle,
            low=film.thickness.value * low,
            high=film.thickness.value * high,
            grade=Grade.MEASURED,
            source=source,
        )
        for film, (low, middle, high) in zip(films, factors, strict=True)
    )
    model = DrawdownModel(films=films, k1=k1, k2=k2, gloss=gloss)
    return InkOpticsFit(
        absorption=absorption,
        scattering=scattering,
        prior_scattering=Quantity(
            value=5e4, low=5e4 / 12, high=5e4 * 12, grade=Grade.ASSUMED, source="any ink, before a drawdown"
        ),
        optics=InkOptics(
            colour=Colour(spectrum=tuple(float(r) for r in np.clip(model.full_hiding(solved.best), 0.0, 1.0))),
            scattering=tuple(float(s) for s in scattering[:, 1]),
            absorption=tuple(float(k) for k in absorption[:, 1]),
        ),
        contrast_ratio=Quantity(
            value=float(np.clip(ratio[0], ratio_low, ratio_high)),
            low=float(ratio_low),
            high=float(ratio_high),
            grade=Grade.MEASURED,
            source=source,
        ),
        thickness=thickness,
        noise=solved.noise,
        checks=checks,
        warnings=(*conflicts(checks), *_unsure(films, scattering, thickness)),
    )


def _solve(films: Sequence[FilmReading], k1: float, k2: float, gloss: float) -> _Solved:
    """Most probable parameters: Gauss-Newton by scipy, the noise brought up to the scatter in turn."""
    model = DrawdownModel(films=films, k1=k1, k2=k2, gloss=gloss)
    matrix, centre = prior_rows(films)
    best, noise = model.start(), USUAL_NOISE
    for _ in range(NOISE_ROUNDS):
        best = _most_probable(model, matrix, centre, best, noise)
        slopes = model.slopes(best) / noise
        covariance = np.asarray(np.linalg.inv(slopes.T @ slopes + matrix.T @ matrix), dtype=np.float64)
        used = float(np.trace(covariance @ (slopes.T @ slopes)))
        total = float(((model.readings(best) - model.measured) ** 2).sum())
        noise = math.sqrt((NOISE_WEIGHT * USUAL_NOISE**2 + total) / (NOISE_WEIGHT + model.measured.size - used))
    return _Solved(best=best, covariance=covariance, noise=noise)


def _most_probable(model: DrawdownModel, matrix: Values, centre: Values, best: Values, noise: float) -> Values:
    """Gauss-Newton on the posterior, each step shortened until the misfit falls (Levenberg)."""

    def misfit(x: Values) -> float:
        return float((((model.readings(x) - model.measured) / noise) ** 2).sum() + ((matrix @ x - centre) ** 2).sum())

    damping, now = 1e-3, misfit(best)
    for _ in range(MOST_STEPS):
        slopes = model.slopes(best) / noise
        hessian = slopes.T @ slopes + matrix.T @ matrix
        downhill = slopes.T @ ((model.readings(best) - model.measured) / noise) + matrix.T @ (matrix @ best - centre)
        step = -np.linalg.solve(hessian + damping * np.diag(np.diag(hessian)), downhill)
        step *= min(1.0, LONGEST_STEP / float(np.abs(step).max()))
        ahead = misfit(best + step)
        if ahead > now:
            damping *= 10
            if damping > 1e8:
                return best
            continue
        arrived = now - ahead < 1e-6 and float(np.abs(step).max()) < 1e-3
        best, now, damping = best + step, ahead, max(damping / 10, 1e-9)
        if arrived:
            return best
    raise ConvergenceError("the optics of the drawdowns were not found; are the spectra those of these films?")


def _contrast(film: FilmReading, draws: Values, k1: float, k2: float, gloss: float) -> Values:
    """Contrast ratio at the usual thickness for each row of parameters."""
    model = DrawdownModel(films=[film], k1=k1, k2=k2, gloss=gloss)
    light = tristimulus_weights("D65/10")[:, 1]
    over = [
        model.reflectance(draws[:, :BANDS], draws[:, BANDS : 2 * BANDS], CONTRAST_THICKNESS, card) @ light
        for card in (film.black, film.white)
    ]
    return np.asarray(over[0] / over[1])


def _checks(
    films: Sequence[FilmReading], solved: _Solved, k1: float, k2: float, gloss: float
) -> tuple[ReadingCheck, ...]:
    """Luminous reflectances against what the other films foretell; of a lone film, against the fit itself."""
    light = tristimulus_weights("D65/10")[:, 1] / 100
    checks: list[ReadingCheck] = []
    everything = float(solved.best[BANDS : 2 * BANDS] @ light)
    for place, film in enumerate(films):
        others = [other for i, other in enumerate(films) if i != place]
        inner = _solve(others, k1, k2, gloss) if others else solved
        draws = np.random.default_rng(place).multivariate_normal(
            inner.best[: 2 * BANDS], inner.covariance[: 2 * BANDS, : 2 * BANDS], size=DRAWS, method="cholesky"
        )
        rng = np.random.default_rng(100 + place)
        deviation = math.log(film.thickness.high / film.thickness.low) / (2 * NINETY)
        thickness = film.thickness.value * np.exp(deviation * rng.standard_normal((DRAWS, 1)))
        model = DrawdownModel(films=[film], k1=k1, k2=k2, gloss=gloss)
        inner_spread = math.sqrt(float(light @ inner.covariance[BANDS : 2 * BANDS, BANDS : 2 * BANDS] @ light))
        pull = (everything - float(inner.best[BANDS : 2 * BANDS] @ light)) / inner_spread if others else 0.0
        for name, card, measured in (("black", film.black, film.over_black), ("white", film.white, film.over_white)):
            foretold = model.reflectance(draws[:, :BANDS], draws[:, BANDS:], thickness, card) @ light
            foretold = foretold + inner.noise * float(np.linalg.norm(light)) * rng.standard_normal(DRAWS)
            low, middle, high = (float(q) for q in np.quantile(foretold, (0.05, 0.5, 0.95)))
            reading = float(np.array(measured) @ light)
            checks.append(
                ReadingCheck(
                    label=f"{film.label} over {name}",
                    reading=reading,
                    low=low,
                    predicted=middle,
                    high=high,
                    deviation=(reading - middle) * 2 * NINETY / (high - low),
                    pull=pull,
                )
            )
    return tuple(checks)


def _unsure(films: Sequence[FilmReading], scattering: Values, thickness: Sequence[Quantity]) -> tuple[str, ...]:
    told = []
    loose = int((scattering[:, 2] / scattering[:, 0] > 2).sum())
    if loose:
        told.append(
            f"in {loose} of {BANDS} bands the scattering is known within a factor of two at best; draw a thinner film"
        )
    for film, now in zip(films, thickness, strict=True):
        if not film.thickness.low <= now.value <= film.thickness.high:
            told.append(
                f"{film.label} looks {1e6 * now.value:.1f} µm thick, but it was measured "
                f"{1e6 * film.thickness.low:.1f} to {1e6 * film.thickness.high:.1f} µm; measure it again"
            )
    return tuple(told)
