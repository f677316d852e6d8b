"""What a stack is expected to do: results of the models, with their spread, for one print."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """Percentiles of a forecast quantity; SI unless the field's name says otherwise."""

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PassLaydown:
    """What one pass leaves on the cloth.

    Attributes
    ----------
    wet : Spread
        Wet laydown of all its hits [m].
    film : Spread
        Cured film it adds above the cloth [m].
    rival_wet : float or None
        The trade-press formula's answer for the same hits [m], where it covers this mesh.
    """

    label: str
    wet: Spread
    film: Spread
    rival_wet: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OpacityForecast:
    """Cover on day 0.

    Attributes
    ----------
    difference : Spread
        CIEDE2000 to the ink's own full-hiding colour.
    area : str
        The part of the print that is judged, such as ``white`` or a colour's name.
    lab : tuple of float
        Median colour on day 0.
    target_lab : tuple of float
        The ink's own full-hiding colour.
    """

    area: str
    difference: Spread
    lab: tuple[float, float, float]
    target_lab: tuple[float, float, float]
    limit: float
    risk: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperatureHistory:
    """Temperatures on the press and through the dryer, median sample [K], times [s]."""

    times: tuple[float, ...]
    film_surface: tuple[float, ...]
    interface: tuple[float, ...]
    cloth_back: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FlashForecast:
    """One flash: dwell that gels the coolest point of the film."""

    after: str
    seconds: float
    gel_temperature: float
    film_temperature: Spread
    risk: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CureForecast:
    """Whether the whole film cures.

    Attributes
    ----------
    margin : Spread
        Coolest point's peak above the hardest ink's fusion temperature [K].
    seconds : Spread
        Time at or above it, beyond the hold that the ink asks for [s].
    probe_peak : Spread
        What a probe under the print should read at its peak [K].
    cloth_peak : Spread
        Hottest point of the cloth [K].
    cloth_limit : float
        [K].
    """

    ink: str
    needed_temperature: float
    needed_hold: float
    margin: Spread
    seconds: Spread
    probe_peak: Spread
    cloth_peak: Spread
    cloth_limit: float
    cloth_limit_reason: str
    risk: float
    cloth_risk: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BleedDay:
    """Colour on one day after printing, against the same print without dye in it."""

    day: float
    difference: Spread
    grade: Spread
    lab: tuple[float, float, float]
    risk: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BleedForecast:
    """Dye migration into the print.

    ``applies`` is False where the cloth has no migrating dye; ``days`` is then still filled, with zeros.
    """

    applies: bool
    area: str
    days: tuple[BleedDay, ...]
    limit_grade: float
    limit_day: float
    risk: float
    screening: bool
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StretchForecast:
    """Ink elongation against the cloth's working stretch, shares of one."""

    ink: str
    elongation: Spread
    cloth: Spread
    risk: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AdhesionForecast:
    """Whether the first ink down holds on this surface."""

    ink: str
    surface: str
    holds: bool
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HandForecast:
    """Softness: film grams per square metre times covered share."""

    film_areal_mass: Spread
    hand_class: str
    limit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GhostingForecast:
    """The rule of ghosting: whether a blocker may discolour this cloth."""

    warned: bool
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """One uncertain input and how much of the spread of the day-``limit_day`` forecast it explains."""

    name: str
    share: float
    test: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """All of it, for one stack on one cloth under one set of settings."""

    passes: tuple[PassLaydown, ...]
    film: Spread
    film_variation: float
    opacity: OpacityForecast
    flashes: tuple[FlashForecast, ...]
    heat: TemperatureHistory
    cure: CureForecast
    bleed: BleedForecast
    stretch: StretchForecast
    adhesion: AdhesionForecast
    hand: HandForecast
    ghosting: GhostingForecast
    drivers: tuple[Driver, ...]
    fail_risk: float
    out_of_range: tuple[str, ...] = ()
