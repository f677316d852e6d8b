"""Whether the whole film cures, and whether the cloth stands it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.domain.forecast import CureForecast, TemperatureHistory
from laydown.domain.ink import Ink
from laydown.models.cloth import Cloth
from laydown.models.heat import HeatRun
from laydown.models.sampling import SampleSet, percentiles

Values = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class InkCure:
    """Cure of one ink in all samples, shape (size,): margins in kelvin and seconds, and where it fails."""

    ink: Ink
    margin: Values
    seconds: Values
    failed: Values


def cure_of(ink: Ink, run: HeatRun, samples: SampleSet) -> InkCure:
    """Cure of one ink at the coolest point of the film.

    What the ink asks for, temperature and hold, is off in one direction: a sheet that is wrong is wrong altogether.
    """
    from laydown.physics.cure import fusion_cure, time_cure

    film = run.coolest[:, :, None]
    cure = ink.cure
    asked = samples.of(cure.hold, "fusion temperature")
    if cure.activation_energy is None:
        needed = samples.of(cure.temperature, "fusion temperature")
        hold = np.clip(asked, 0.0, float(run.times[-1] - run.times[0]))
        fusion = fusion_cure(run.times, film, fusion_temperature=needed, hold=hold)
        return InkCure(
            ink=ink,
            margin=fusion.margin_kelvin,
            seconds=fusion.margin_seconds,
            failed=np.asarray(~fusion.reached, dtype=float),
        )
    shift = samples.of(cure.temperature, "fusion temperature") - cure.temperature.value
    timed = time_cure(
        run.times,
        film - shift[:, None, None],
        reference_temperature=cure.temperature.value,
        required_seconds=np.maximum(asked, 1e-3),
        activation_energy=cure.activation_energy.value,
    )
    return InkCure(
        ink=ink,
        margin=timed.margin_kelvin,
        seconds=timed.margin_seconds,
        failed=np.asarray(~timed.reached, dtype=float),
    )


def judge_cure(
    inks: tuple[Ink, ...],
    run: HeatRun,
    bare: HeatRun,
    cloth: Cloth,
    samples: SampleSet,
    *,
    flashed: tuple[Values, ...] = (),
) -> tuple[CureForecast, Values, Values]:
    """Cure of the hardest ink and heat of the cloth.

    Parameters
    ----------
    inks : tuple of Ink
        Every ink in the film.
    run, bare : HeatRun
        Through the dryer: the printed place, and the bare cloth beside it, which gets hotter.
    flashed : tuple of ndarray, shape (size,)
        Hottest point of the cloth, printed or bare, under each flash (`laydown.models.flash.cloth_when_gelled`) [K].

    Returns
    -------
    CureForecast, ndarray, ndarray
        And in which samples some ink does not cure, and in which the cloth gets beyond its limit, shape (size,).
    """
    from laydown.physics.cure import hottest

    cures = [cure_of(ink, run, samples) for ink in {ink.cure: ink for ink in inks}.values()]
    hardest = min(cures, key=lambda c: (float(np.median(c.margin)), float(np.median(c.seconds))))
    failed = np.max([c.failed for c in cures], axis=0)
    limit = cloth.heat_limit.value
    peaks = [hottest(r.times, r.cloth_hottest[:, :, None], limit)[0] for r in (run, bare)]
    cloth_peak = np.max([*peaks, *flashed], axis=0)
    beyond = np.asarray(cloth_peak > limit, dtype=float)
    forecast = CureForecast(
        ink=hardest.ink.name,
        needed_temperature=hardest.ink.cure.temperature.value,
        needed_hold=hardest.ink.cure.hold.value,
        margin=percentiles(hardest.margin),
        seconds=percentiles(hardest.seconds),
        probe_peak=percentiles(run.interface.max(axis=1)),
        cloth_peak=percentiles(cloth_peak),
        cloth_limit=limit,
        cloth_limit_reason=f"{cloth.limit_fibre} ({cloth.heat_limit.grade.value})",
        risk=float(failed.mean()),
        cloth_risk=float(beyond.mean()),
    )
    return forecast, failed, beyond


def median_history(flashes: Sequence[HeatRun], dryer: HeatRun) -> TemperatureHistory:
    """Median temperatures at film surface, film-cloth interface and cloth back: every flash, then the dryer."""
    runs = [*flashes, dryer]
    times: list[float] = []
    curves: dict[str, list[float]] = {"surface": [], "interface": [], "back": []}
    offset = 0.0
    for r in runs:
        times += [offset + float(t) for t in r.times]
        for name, values in curves.items():
            values += [float(v) for v in np.median(getattr(r, name), axis=0)]
        offset = times[-1] + 1e-3
    return TemperatureHistory(
        times=tuple(times),
        film_surface=tuple(curves["surface"]),
        interface=tuple(curves["interface"]),
        cloth_back=tuple(curves["back"]),
    )
