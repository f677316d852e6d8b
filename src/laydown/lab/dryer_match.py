"""Which panel setting and belt speed give one dryer the curve a print had in another, and by how much they miss."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.domain.costs import Climate
from laydown.domain.dryer import Dryer
from laydown.errors import InvalidInput
from laydown.lab.probe_reading import seconds_above
from laydown.models.cloth import Cloth
from laydown.models.heat import HeatRun, run_dryer
from laydown.models.sampling import DIMENSIONS, SampleSet, sample_set
from laydown.units import to_celsius

Values = NDArray[np.float64]

PEAK_SCALE, TIME_SCALE, TIME_SHARE = 2.0, 1.5, 0.05
"""Misses that weigh alike: 2 K of the peak, and 1.5 s or 5 % of the time above. Assumed."""

PEAK_MET, TIME_MET = 3.0, 0.15
"""A peak within 3 K and a time within 15 % (and 1.5 s) are as good as met: probes tell no more apart. Assumed."""

OVER_LIMIT = 1e4
"""Weight of a kelvin beyond the cloth's limit: it goes before everything else."""

SETTINGS, SPEEDS = 13, 13
ROUNDS = 3
"""Grids, each finer around the best point of the one before."""

SAMPLES = 128
"""Samples that the spread of the answer is reckoned from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveTarget:
    """What a curve has to do.

    Attributes
    ----------
    peak : float
        Of the coolest point of the film [K].
    above, seconds_above : float
        Temperature that counts, and how long the coolest point is at or above it [s].
    cloth_limit : float
        What the cloth bears [K].
    """

    peak: float
    above: float
    seconds_above: float
    cloth_limit: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DryerMatch:
    """Setting of a dryer that comes nearest to a target.

    Attributes
    ----------
    setting, speed : float
        [K], [m/s].
    peak, seconds_above, cloth_peak : float
        What it gives by best estimate.
    peak_low, peak_high : float
        Interval that holds the peak nine times out of ten, by what is not known of the dryer [K].
    misses : tuple of str
        By how much it cannot be met, sentence by sentence; empty when it can.
    """

    dryer: str
    target: CurveTarget
    setting: float
    speed: float
    peak: float
    seconds_above: float
    cloth_peak: float
    peak_low: float
    peak_high: float
    misses: tuple[str, ...]

    @property
    def met(self) -> bool:
        """Whether the dryer can give the curve."""
        return not self.misses


def target_of(
    dryer: Dryer, cloth: Cloth, climate: Climate, *, film: float, setting: float, speed: float, above: float
) -> CurveTarget:
    """Target that a setting of a dryer sets, by best estimate.

    Parameters
    ----------
    film : float
        [m].
    above : float
        Temperature that counts [K], for example what the ink fuses at.
    """
    run = _run(dryer, cloth, climate, film, np.array([setting]), speed)
    return CurveTarget(
        peak=float(run.coolest.max()),
        above=above,
        seconds_above=seconds_above(run.times, run.coolest[0], above)[0],
        cloth_limit=cloth.heat_limit.value,
    )


def match_dryer(dryer: Dryer, cloth: Cloth, climate: Climate, target: CurveTarget, *, film: float) -> DryerMatch:
    """Find panel setting and belt speed that come nearest to a target.

    Parameters
    ----------
    dryer : Dryer
        On which the curve is wanted.
    film : float
        [m], 0 to 2 mm.

    Raises
    ------
    InvalidInput
        When the film is out of its bounds.
    """
    if not 0 <= film <= 2e-3:
        raise InvalidInput(f"a film of {film * 1e6:g} µm is not allowed; allowed is 0 to 2000 µm", where="film")
    low, high = dryer.setting_low, dryer.setting_high
    slow, fast = dryer.speed_low, dryer.speed_high
    best = (np.inf, low, slow)
    for _ in range(ROUNDS):
        settings, speeds = np.linspace(low, high, SETTINGS), np.geomspace(slow, fast, SPEEDS)
        for speed in speeds:
            run = _run(dryer, cloth, climate, film, settings, float(speed))
            for setting, score in zip(settings, _scores(run, target), strict=True):
                # Of settings alike within a hair, the one with the faster belt.
                if score < best[0] - 1e-3 or (score <= best[0] + 1e-3 and speed > best[2]):
                    best = (float(score), float(setting), float(speed))
        step, ratio = 1.5 * (high - low) / (SETTINGS - 1), (fast / slow) ** (1.5 / (SPEEDS - 1))
        low, high = max(dryer.setting_low, best[1] - step), min(dryer.setting_high, best[1] + step)
        slow, fast = max(dryer.speed_low, best[2] / ratio), min(dryer.speed_high, best[2] * ratio)
    _, setting, speed = best
    return _described(dryer, cloth, climate, target, film, setting, speed)


def _described(
    dryer: Dryer, cloth: Cloth, climate: Climate, target: CurveTarget, film: float, setting: float, speed: float
) -> DryerMatch:
    run = _run(dryer, cloth, climate, film, np.array([setting]), speed)
    peak = float(run.coolest.max())
    seconds, _ = seconds_above(run.times, run.coolest[0], target.above)
    cloth_peak = float(run.cloth_hottest.max())
    samples = _of_dryer(sample_set(SAMPLES))
    spread = run_dryer(cloth, dryer, climate, np.full(SAMPLES, film), samples, setting=setting, speed=speed)
    low, high = np.percentile(spread.coolest.max(axis=1), (5, 95))
    return DryerMatch(
        dryer=dryer.name,
        target=target,
        setting=setting,
        speed=speed,
        peak=peak,
        seconds_above=seconds,
        cloth_peak=cloth_peak,
        peak_low=float(low),
        peak_high=float(high),
        misses=_misses(target, peak, seconds, cloth_peak),
    )


def _misses(target: CurveTarget, peak: float, seconds: float, cloth_peak: float) -> tuple[str, ...]:
    told = []
    if abs(peak - target.peak) > PEAK_MET:
        side = "hotter" if peak > target.peak else "cooler"
        told.append(f"the film peaks {abs(peak - target.peak):.0f} K {side} than asked")
    off = seconds - target.seconds_above
    if abs(off) > max(TIME_SCALE, TIME_MET * target.seconds_above):
        side = "longer" if off > 0 else "shorter"
        told.append(f"it is above {to_celsius(target.above):.0f} °C for {abs(off):.0f} s {side} than asked")
    if cloth_peak > target.cloth_limit:
        told.append(
            f"the cloth gets {cloth_peak - target.cloth_limit:.0f} K hotter than the "
            f"{to_celsius(target.cloth_limit):.0f} °C it bears"
        )
    return tuple(told)


def _scores(run: HeatRun, target: CurveTarget) -> Values:
    peaks = run.coolest.max(axis=1)
    seconds = np.array([seconds_above(run.times, row, target.above)[0] for row in run.coolest])
    scale = max(TIME_SCALE, TIME_SHARE * target.seconds_above)
    beyond = np.maximum(run.cloth_hottest.max(axis=1) - target.cloth_limit, 0.0)
    return np.asarray(
        ((peaks - target.peak) / PEAK_SCALE) ** 2 + ((seconds - target.seconds_above) / scale) ** 2
        + OVER_LIMIT * beyond
    )  # fmt: skip


def _run(dryer: Dryer, cloth: Cloth, climate: Climate, film: float, settings: Values, speed: float) -> HeatRun:
    nothing = SampleSet(np.zeros((settings.size, len(DIMENSIONS))))
    return run_dryer(cloth, dryer, climate, np.full(settings.size, film), nothing, setting=settings, speed=speed)


def _of_dryer(samples: SampleSet) -> SampleSet:
    """Samples in which only the dryer is off."""
    kept = np.zeros_like(samples.points)
    for name in ("panel temperature", "radiant exchange", "air coefficient"):
        column = DIMENSIONS.index(name)
        kept[:, column] = samples.points[:, column]
    return SampleSet(kept)
