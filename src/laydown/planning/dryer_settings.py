"""Find belt speed and panel setting: the whole film cures with a margin, the cloth stays as cool as it can."""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.data.read import read_table
from laydown.domain.costs import Climate
from laydown.domain.dryer import Dryer
from laydown.domain.ink import Cure, Ink
from laydown.models.cloth import Cloth
from laydown.models.cure import cure_of
from laydown.models.heat import HeatRun, run_dryer
from laydown.models.sampling import SampleSet, corner_set
from laydown.units import to_celsius

Values = NDArray[np.float64]

HEAT_DIMENSIONS = ("panel temperature", "radiant exchange", "air coefficient", "fusion temperature")

COLD_CORNER = 1.0
"""Standard deviations that each of the heat inputs is off by at once in the cold corner: together they are about as
unlikely as one in twenty (a shift of sqrt(3) along the diagonal of three independent normals)."""

CORNERS: tuple[dict[str, float], ...] = (
    dict.fromkeys(HEAT_DIMENSIONS[:3], -COLD_CORNER) | {"fusion temperature": COLD_CORNER},
    {},
    dict.fromkeys(HEAT_DIMENSIONS[:3], COLD_CORNER),
)
"""Cold corner and best estimate of the printed place, hot corner of the bare cloth beside it."""

FILM_SPREAD = 0.2
"""Logarithmic spread of the film that a setting is verified with. Assumed; the stack's own spread follows later."""

VERIFYING = 64
"""About so many of the samples verify a setting; the verdict on a stack always comes from all of them."""

VERIFIED_SHARE = 0.6
"""A setting is taken when it fails in no more than this share of the allowed risk: room for the stack's own spread."""

FILM_STEP = 20e-6
"""Films are taken as alike within this step [m]: the film weighs little beside the cloth and its water."""

MOST_TRIES = 6
"""Settings that are verified before the one that fails least is taken."""

FINE = np.linspace(-0.8, 0.8, 5)
"""Where the fine grid lies around the best coarse point, in coarse steps."""

SETTINGS = 7
SPEEDS = 9
"""Grid of panel settings and belt speeds that is searched."""

NEAR_COOLEST = 0.10
"""Among settings whose heat load on the cloth is alike within this share, the fastest belt is taken. Assumed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DryerChoice:
    """A setting that cures; [K], [m/s].

    ``heat_load`` is what it does to the cloth's dye (seconds at 160 °C); ``peak`` and ``hot_peak`` how hot the printed
    cloth gets, and the bare cloth in the hot corner; ``cold_margin`` how far above its fusion temperature the film
    gets in the cold corner [K].
    """

    dryer: Dryer
    setting: float
    speed: float
    heat_load: float
    peak: float
    hot_peak: float
    cold_margin: float

    def shortfall(self, limit: float) -> float:
        """By how many kelvin the cold corner misses its cure and the hot corner the cloth's limit, together."""
        return max(0.0, -self.cold_margin) + max(0.0, self.hot_peak - limit)


@dataclass(frozen=True, slots=True, kw_only=True)
class NoSetting:
    """Why a dryer has no setting for a print."""

    dryer: Dryer
    reason: str
    short_by: float


class SettingsFinder:
    """Searches the settings of the shop's dryers for one cloth; films alike share one search."""

    def __init__(self, cloth: Cloth, climate: Climate, samples: SampleSet, *, risk: float) -> None:
        self._cloth = cloth
        self._climate = climate
        self._samples = samples
        self._few = SampleSet(samples.points[:: max(1, samples.size // VERIFYING)])
        self._risk = risk
        self._found: dict[tuple[str, int, frozenset[Cure]], DryerChoice | NoSetting] = {}
        self._runs: dict[tuple[str, float, float, bytes], HeatRun] = {}
        self._pinned: DryerChoice | None = None

    def pinned(self, dryer: Dryer, *, setting: float, speed: float) -> SettingsFinder:
        """Finder that takes a setting [K] and a belt speed [m/s] as they are, whatever comes of it.

        It shares its runs with this one. What a search would have found of the setting is not a number (nan).
        """
        finder = copy(self)
        unknown = float("nan")
        finder._pinned = DryerChoice(  # noqa: SLF001 - a copy of its own kind
            dryer=dryer,
            setting=setting,
            speed=speed,
            heat_load=unknown,
            peak=unknown,
            hot_peak=unknown,
            cold_margin=unknown,
        )
        return finder

    def find(self, dryer: Dryer, film: float, inks: tuple[Ink, ...], width: float) -> DryerChoice | NoSetting:
        """Find a setting for a film [m] of these inks on a garment that takes ``width`` [m] of the belt."""
        if width > dryer.belt_width * (1 + 1e-9):
            reason = f"the garment is {width * 1e3:.0f} mm wide, {dryer.name}'s belt {dryer.belt_width * 1e3:.0f} mm"
            return NoSetting(dryer=dryer, reason=reason, short_by=np.inf)
        if self._pinned is not None:
            if dryer.name == self._pinned.dryer.name:
                return self._pinned
            return NoSetting(dryer=dryer, reason=f"{self._pinned.dryer.name} is set", short_by=np.inf)
        key = (dryer.name, round(film / FILM_STEP), frozenset(ink.cure for ink in inks))
        if key not in self._found:
            self._found[key] = self._search(dryer, max(1, key[1]) * FILM_STEP, inks)
        return self._found[key]

    def bare(self, choice: DryerChoice) -> HeatRun:
        """The bare cloth beside the print under a setting, in all samples."""
        return self.run(choice, np.zeros(self._samples.size))

    def run(self, choice: DryerChoice, film: Values) -> HeatRun:
        """A film [m], shape (size,), through a dryer in all samples; stacks with the same film share one run."""
        return self._through(choice, film, self._samples)

    def _through(self, choice: DryerChoice, film: Values, samples: SampleSet) -> HeatRun:
        key = (choice.dryer.name, choice.setting, choice.speed, film.tobytes())
        if key not in self._runs:
            self._runs[key] = run_dryer(
                self._cloth,
                choice.dryer,
                self._climate,
                film,
                samples,
                setting=choice.setting,
                speed=choice.speed,
            )
        return self._runs[key]

    def _search(self, dryer: Dryer, film: float, inks: tuple[Ink, ...]) -> DryerChoice | NoSetting:
        """Search a coarse grid of the whole dryer, then a fine one around its best point."""
        distinct = tuple({ink.cure: ink for ink in inks}.values())
        coarse = self._points(
            dryer,
            np.linspace(dryer.setting_low, dryer.setting_high, SETTINGS),
            np.geomspace(dryer.speed_low, dryer.speed_high, SPEEDS),
            film,
            distinct,
        )
        limit = self._cloth.heat_limit.value
        step = (dryer.setting_high - dryer.setting_low) / (SETTINGS - 1)
        ratio = (dryer.speed_high / dryer.speed_low) ** (1 / (SPEEDS - 1))
        around = min(coarse, key=lambda p: (p.shortfall(limit), p.heat_load))
        fine = self._points(
            dryer,
            np.unique(np.clip(around.setting + step * FINE, dryer.setting_low, dryer.setting_high)),
            np.unique(np.clip(around.speed * ratio**FINE, dryer.speed_low, dryer.speed_high)),
            film,
            distinct,
        )
        points = (*coarse, *fine)
        choices = [p for p in points if p.cold_margin >= 0 and p.peak <= limit]
        if choices:
            return self._verified(choices, film, distinct)
        return self._none(dryer, points, inks)

    def _points(
        self, dryer: Dryer, settings: Values, speeds: Values, film: float, inks: tuple[Ink, ...]
    ) -> list[DryerChoice]:
        """Cold, best-estimate and hot corner of every setting at every speed."""
        corners = _corners(settings.size)
        per_setting = np.repeat(settings, len(CORNERS))
        films = np.tile([film, film, 0.0], settings.size)
        points: list[DryerChoice] = []
        for speed in speeds:
            run = run_dryer(
                self._cloth,
                dryer,
                self._climate,
                films,
                corners,
                setting=per_setting,
                speed=float(speed),
                outputs=40,
            )
            margins = np.min([cure_of(ink, run, corners).margin for ink in inks], axis=0)
            peaks = run.cloth_hottest.max(axis=1)
            for i, setting in enumerate(settings):
                cold, middle, hot = (len(CORNERS) * i + corner for corner in range(3))
                points.append(
                    DryerChoice(
                        dryer=dryer,
                        setting=float(setting),
                        speed=float(speed),
                        heat_load=self._heat_load(run, middle),
                        peak=float(peaks[middle]),
                        hot_peak=float(peaks[hot]),
                        cold_margin=float(margins[cold]),
                    )
                )
        return points

    def _none(self, dryer: Dryer, points: tuple[DryerChoice, ...], inks: tuple[Ink, ...]) -> NoSetting:
        hardest = to_celsius(max((ink.cure.temperature.value for ink in inks), default=0.0))
        margin = max(p.cold_margin for p in points)
        if margin >= 0:
            reason = (
                f"{dryer.name} cannot cure it without taking the {self._cloth.limit_fibre} beyond "
                f"{to_celsius(self._cloth.heat_limit.value):.0f} °C (the ink needs {hardest:.0f} °C)"
            )
            return NoSetting(dryer=dryer, reason=reason, short_by=0.0)
        reason = (
            f"{dryer.name} does not get the whole film to {hardest:.0f} °C even at its slowest and hottest "
            f"({-margin:.0f} K short)"
        )
        return NoSetting(dryer=dryer, reason=reason, short_by=-margin)

    def _verified(self, choices: list[DryerChoice], film: float, inks: tuple[Ink, ...]) -> DryerChoice:
        """The coolest choice that also holds in all samples; the one that fails least when none of them does."""
        few = self._few
        films = film * np.exp(FILM_SPREAD * few.normal("transfer"))
        allowed = VERIFIED_SHARE * self._risk
        best, least = choices[0], np.inf
        margin, tries = -np.inf, 0
        for choice in _coolest_first(choices):
            if choice.cold_margin < margin + 2.0:
                continue
            tries += 1
            if tries > MOST_TRIES:
                break
            run, bare = (self._through(choice, f, few) for f in (films, np.zeros(few.size)))
            raw = max(float(cure_of(ink, run, few).failed.mean()) for ink in inks)
            hottest = np.maximum(run.cloth_hottest.max(axis=1), bare.cloth_hottest.max(axis=1))
            beyond = float((hottest > self._cloth.heat_limit.value).mean())
            if max(raw, beyond) <= allowed:
                return choice
            if raw + beyond < least:
                best, least = choice, raw + beyond
            if raw > allowed:
                margin = choice.cold_margin
        return best

    def _heat_load(self, run: HeatRun, sample: int) -> float:
        """What the setting does to the cloth: equivalent seconds of dye release where dye migrates, else of heat.

        Both count time at temperature by Arrhenius' law, the dye's release with its own energy and reference.
        """
        from laydown.physics.cure import equivalent_seconds

        dye = read_table("migration")["disperse dye in cloth"]
        return float(
            equivalent_seconds(
                run.times,
                run.interface[sample : sample + 1, :, None],
                reference_temperature=dye["reference_temperature"].value,
                activation_energy=dye["activation_energy"].value,
            )[0, 0]
        )


def _coolest_first(choices: list[DryerChoice]) -> list[DryerChoice]:
    """By heat load in steps of `NEAR_COOLEST`; within a step the fastest belt first, then the lowest setting."""
    lowest = min(c.heat_load for c in choices)
    return sorted(
        choices,
        key=lambda c: (int(np.log(c.heat_load / lowest) / np.log1p(NEAR_COOLEST) + 1e-9), -c.speed, c.setting),
    )


def _corners(settings: int) -> SampleSet:
    """For each setting `CORNERS` in turn."""
    return corner_set(CORNERS * settings)
