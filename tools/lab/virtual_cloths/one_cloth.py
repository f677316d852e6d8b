"""One virtual cloth: its truth, its oven test, the fit, and how right the forecasts and the decisions were."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray
from tools.lab.virtual_cloths import bench
from tools.lab.virtual_cloths.forecasts import Forecast, forecast
from tools.lab.virtual_cloths.predictive import with_model_error
from tools.lab.virtual_cloths.prints import Oven, look
from tools.lab.virtual_cloths.truths import Truth, draw_truth

from laydown.domain.measurement import ColourMeasurement, Conditions
from laydown.domain.protocol import Reads
from laydown.domain.reading import Reading
from laydown.lab.bleed_fit import finding_of, fit_bleed, forecast_swatch
from laydown.lab.evidence import SwatchRecord
from laydown.lab.rounds import Effort
from laydown.units import DAY, HOUR, from_celsius

Values = NDArray[np.float64]

DAYS = (30.0, 60.0)
LIMIT, LIMIT_DAY = 4.0, 0
READING_ERROR = 0.3
"""Root mean square colour difference of one reading."""

LEVELS = np.linspace(0.05, 0.95, 19)
"""Where the forecast's distribution is asked how often the truth lay below it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What came of one virtual cloth; pairs are (day 30, day 60).

    Attributes
    ----------
    true_swatch, true_order : tuple of float
        Colour difference (CIEDE2000) to the clean print: the swatch's own half that was kept cool, and the same stack
        printed for the order with a dryer that has drifted since.
    swatch, order, prior : tuple of (p5, p50, p95)
        Forecasts of those: of the swatch after the fit, of the order by the plan after the test and before it.
    place_swatch, place_order, place_prior : tuple of float
        Share of the forecast's samples below the truth.
    risk_before, risk_after : tuple of float
        For each white, that the grade is missed on day 30.
    grade : tuple of float
        True grade of each white on day 30.
    effective, seconds : float
        Independent draws of the fit, and how long it took.
    """

    cloth: str
    white: int
    true_swatch: tuple[float, ...]
    true_order: tuple[float, ...]
    swatch: tuple[tuple[float, float, float], ...]
    order: tuple[tuple[float, float, float], ...]
    prior: tuple[tuple[float, float, float], ...]
    place_swatch: tuple[float, ...]
    place_order: tuple[float, ...]
    place_prior: tuple[float, ...]
    risk_before: tuple[float, ...]
    risk_after: tuple[float, ...]
    grade: tuple[float, ...]
    effective: float
    seconds: float


def run_cloth(number: int, *, seed: int, tails: bool = True, effort: Effort | None = None) -> Outcome:
    """Draw, print, test, fit and forecast one virtual cloth.

    Parameters
    ----------
    number : int
        Cloth and tested white follow from it, in turns.
    seed : int
        Of the whole study.
    tails : bool
        Which kind of truth (`tools.lab.virtual_cloths.truths`).
    effort : Effort, optional
        Of the fit.
    """
    rng = np.random.default_rng((seed, number))
    name = bench.CLOTHS[number % len(bench.CLOTHS)]
    white = number // len(bench.CLOTHS) % len(bench.whites())
    inks = {ink.name: ink for one in bench.whites() for ink in one.stack.inks}
    truth = draw_truth(rng, bench.shop(), bench.cloth(name), tuple(inks[ink] for ink in sorted(inks)), tails=tails)
    record = tested(truth, name, white, rng)
    begun = dt.datetime.now(dt.UTC)
    fit = fit_bleed(bench.shop(), bench.shop().garment(name), (record,), effort=effort, seed=number)
    seconds = (dt.datetime.now(dt.UTC) - begun).total_seconds()
    finding = finding_of(fit, fitted_at=bench.MADE)

    times = np.array(DAYS) * DAY
    kept = look(
        truth, bench.shop(), bench.cloth(name), bench.whites()[white].stack, bench.setup(name, white), times=times
    )
    orders = [
        look(
            truth,
            bench.shop(),
            bench.cloth(name),
            one.stack,
            bench.setup(name, i),
            times=times,
            drift=truth.heat.drift,
        )
        for i, one in enumerate(bench.whites())
    ]
    own = with_model_error(forecast_swatch(bench.shop(), fit, record, DAYS), fit, rng)
    after = [forecast(name, i, DAYS, finding=finding) for i in range(len(bench.whites()))]
    before = [prior_forecast(name, i) for i in range(len(bench.whites()))]
    true_swatch, true_order = kept.difference(), orders[white].difference()
    return Outcome(
        cloth=name,
        white=white,
        true_swatch=_plain(true_swatch),
        true_order=_plain(true_order),
        swatch=_bands(own),
        order=_bands(after[white].difference),
        prior=_bands(before[white].difference),
        place_swatch=_places(own, true_swatch),
        place_order=_places(after[white].difference, true_order),
        place_prior=_places(before[white].difference, true_order),
        risk_before=tuple(one.risk(LIMIT, LIMIT_DAY) for one in before),
        risk_after=tuple(one.risk(LIMIT, LIMIT_DAY) for one in after),
        grade=tuple(float(one.grade()[LIMIT_DAY]) for one in orders),
        effective=fit.effective,
        seconds=seconds,
    )


def tested(truth: Truth, name: str, white: int, rng: Generator) -> SwatchRecord:
    """Run the oven test on a virtual cloth: three readings with their errors, rounded as an instrument shows them."""
    shop, cloth = bench.shop(), bench.cloth(name)
    stack, at = bench.whites()[white].stack, bench.setup(name, white)
    oven = Oven(begin=bench.OVEN_BEGIN, kelvin=from_celsius(bench.OVEN_C), hours=bench.OVEN_HOURS)
    when = np.array([bench.READ_FRESH, bench.READ_AFTER])
    cool = look(truth, shop, cloth, stack, at, times=when)
    warm = look(truth, shop, cloth, stack, at, times=when[1:], oven=oven, thicker=truth.film.half_differs)
    illuminant, _, observer = shop.preferences.condition.partition("/")
    readings = []
    seen = (("", when[0], cool.lab[0]), (bench.WARM, when[1], warm.lab[0]), (bench.COOL, when[1], cool.lab[1]))
    for number, (part, after, lab) in enumerate(seen, start=1):
        error = np.hypot(READING_ERROR, truth.film.unevenness)
        read = np.round(lab + error / np.sqrt(3) * rng.standard_normal(3), 2)
        readings.append(
            Reading(
                swatch=1,
                number=number,
                reads=Reads.COLOUR,
                value=ColourMeasurement(
                    name="white",
                    lab=(float(read[0]), float(read[1]), float(read[2])),
                    conditions=Conditions(illuminant=illuminant, observer=observer),
                ),
                taken_at=bench.MADE + dt.timedelta(seconds=float(after)),
                operator="virtual",
                part=part,
            )
        )
    return SwatchRecord(swatch=bench.swatch(name, white), protocol=bench.OVEN_TEST, readings=tuple(readings))


@cache
def prior_forecast(name: str, white: int) -> Forecast:
    """Forecast before any test: the same for every cloth of a kind."""
    return forecast(name, white, DAYS)


def _bands(samples: Values) -> tuple[tuple[float, float, float], ...]:
    low, middle, high = np.percentile(samples, (5, 50, 95), axis=0)
    return tuple(zip(_plain(low), _plain(middle), _plain(high), strict=True))


def _places(samples: Values, truth: Values) -> tuple[float, ...]:
    return tuple(float((samples[:, i] < truth[i]).mean()) for i in range(truth.size))


def _plain(values: Values) -> tuple[float, ...]:
    return tuple(float(v) for v in values)


__all__ = ["DAYS", "HOUR", "LEVELS", "LIMIT", "LIMIT_DAY", "Outcome", "prior_forecast", "run_cloth", "tested"]
