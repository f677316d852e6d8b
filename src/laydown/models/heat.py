"""Heat in the print: its body of cells, and its way through the dryer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from laydown.data.read import read_table
from laydown.domain.costs import Climate
from laydown.domain.dryer import Dryer
from laydown.domain.quantity import Quantity
from laydown.models.cloth import Cloth
from laydown.models.sampling import SampleSet

Values = NDArray[np.float64]

BELOW_VAPOUR_SHARE = 0.7
"""Open share of an open belt below the cloth, through which vapour leaves. Assumed."""

START_TEMPERATURE_RISE = 10.0
"""A garment comes to the dryer this much warmer than the shop [K], from pallet and flash. Assumed."""

REGAIN_HUMIDITY = 0.65
"""Relative humidity that a fibre's regain refers to (ISO 139: 20 °C, 65 %)."""

THINNEST_FILM = 2e-6
"""A film thinner than this is computed as this thick [m]; it weighs nothing in the heat balance."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatRun:
    """Temperatures of one print in all samples; [s], [K].

    Attributes
    ----------
    times : ndarray, shape (k,)
    surface, interface, back, coolest, cloth_hottest : ndarray, shape (size, k)
        Film surface, film-cloth interface, cloth back, coolest point of the film, hottest point of the cloth.
    tunnel_end : float
        When the garment leaves the heated part.
    """

    times: Values
    surface: Values
    interface: Values
    back: Values
    coolest: Values
    cloth_hottest: Values
    tunnel_end: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintBody:
    """Cells and water of cloth and film in all samples."""

    thickness: Values
    conductivity: Values
    heat_capacity: Values
    water: Values
    critical: Values
    cloth_cells: int


def print_body(cloth: Cloth, film: Values, samples: SampleSet) -> PrintBody:
    """Cells of cloth and film [m], film of shape (size,), in all samples."""
    from laydown.physics.heat_grid import CLOTH_SHARES, FILM_SHARES, stack_cells
    from laydown.physics.moisture import critical_water, regain_water

    substance = read_table("substances")["plasticised PVC film"]
    size = samples.size
    areal_mass = cloth_mass(cloth, samples)
    # A heavier cloth of the same make is a thicker one.
    thickness = cloth.thickness.value * areal_mass / cloth.areal_mass.value
    regain = samples.of(cloth.regain, "moisture")
    water = regain_water(areal_mass, regain)
    dry_mass = areal_mass - water
    cells = stack_cells(
        thickness=np.column_stack([thickness, np.maximum(film, THINNEST_FILM)]),
        conductivity=np.column_stack(
            [samples.of(cloth.conductivity, "cloth conductivity"), np.full(size, substance["conductivity"].value)]
        ),
        heat_capacity=np.column_stack(
            [
                dry_mass * cloth.specific_heat.value / thickness,
                np.full(size, substance["density"].value * substance["specific_heat"].value),
            ]
        ),
        shares=(CLOTH_SHARES, FILM_SHARES),
    )
    shape = cells.thickness.shape
    in_cloth = cells.layers[0]
    share = CLOTH_SHARES[None, :]
    wet, critical = np.zeros(shape), np.zeros(shape)
    wet[:, in_cloth] = water[:, None] * share
    critical[:, in_cloth] = np.asarray(critical_water(water, REGAIN_HUMIDITY))[:, None] * share
    return PrintBody(
        thickness=cells.thickness,
        conductivity=cells.conductivity,
        heat_capacity=cells.heat_capacity,
        water=wet,
        critical=critical,
        cloth_cells=len(CLOTH_SHARES),
    )


def cloth_mass(cloth: Cloth, samples: SampleSet) -> Values:
    """Mass of the cloth per area, shape (size,) [kg/m2]."""
    return samples.of(cloth.areal_mass, "cloth mass")


def run_stages(
    body: PrintBody,
    stages: object,
    start: Values | float,
    times: Values,
    tunnel_end: float,
    tolerance: float | None = None,
) -> HeatRun:
    """Temperatures of a body through stages (`laydown.physics.heat.Stages`), from a start [K], at some times [s]."""
    from laydown.physics.heat import DEFAULT_TOLERANCE, Stages, simulate_heat

    assert isinstance(stages, Stages)  # for the type checker: the import stays late
    history = simulate_heat(
        cell_thickness=body.thickness,
        conductivity=body.conductivity,
        heat_capacity=body.heat_capacity,
        water=body.water,
        critical_water=body.critical,
        initial_temperature=start,
        stages=stages,
        output_times=times,
        tolerance=DEFAULT_TOLERANCE if tolerance is None else tolerance,
    )
    n = body.cloth_cells
    _, film_side = history.face_temperature(n - 1)
    film = history.temperature[:, :, n:]
    return HeatRun(
        times=times,
        surface=history.top_surface_temperature,
        interface=film_side,
        back=history.bottom_surface_temperature,
        coolest=np.minimum(film.min(axis=2), film_side),
        cloth_hottest=np.maximum(history.temperature[:, :, :n].max(axis=2), film_side),
        tunnel_end=tunnel_end,
    )


def run_dryer(
    cloth: Cloth,
    dryer: Dryer,
    climate: Climate,
    film: Values,
    samples: SampleSet,
    *,
    setting: float | Sequence[float] | Values,
    speed: float,
    outputs: int = 60,
) -> HeatRun:
    """Temperatures through the dryer and on its catch until the garment is laid on the pile.

    Parameters
    ----------
    film : ndarray, shape (size,)
        [m].
    setting : float or ndarray, shape (size,)
        Panel setting [K].
    speed : float
        Belt speed [m/s].
    outputs : int
        Number of output times in the tunnel.
    """
    size = samples.size
    shift = np.broadcast_to(np.asarray(setting, dtype=float), (size,)) - dryer.setting
    columns: dict[str, list[Values]] = {name: [] for name in ("panel", "exchange", "air", "top", "bottom")}
    for zone in dryer.zones:
        # A dryer whose setting was never checked is off by what its panels are said to be off.
        error = samples.of(dryer.setting_error or _deviation(zone.panel_temperature), "panel temperature")
        columns["panel"].append(zone.panel_temperature.value + shift + error)
        columns["exchange"].append(np.minimum(samples.of(zone.exchange, "radiant exchange"), 1.0))
        columns["air"].append(zone.air_temperature.value + zone.air_follow * (shift + error))
        columns["top"].append(samples.of(zone.air_coefficient, "air coefficient"))
        columns["bottom"].append(samples.of(zone.belt_coefficient, "air coefficient"))
    table = {name: np.column_stack(rows) for name, rows in columns.items()}
    tunnel = Tunnel(
        lengths=tuple(zone.length for zone in dryer.zones),
        panel_temperature=table["panel"],
        exchange=table["exchange"],
        air_temperature=table["air"],
        air_coefficient=table["top"],
        belt_coefficient=table["bottom"],
        catch_time=dryer.catch_time,
    )
    start = climate.temperature.value + START_TEMPERATURE_RISE
    return run_tunnel(cloth, tunnel, climate, film, samples, speed=speed, start=start, outputs=outputs)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tunnel:
    """What acts on a garment in each zone of a dryer, sample by sample.

    Attributes
    ----------
    lengths : tuple of float
        Of the zones, in the direction of travel [m].
    panel_temperature, exchange, air_temperature, air_coefficient, belt_coefficient : ndarray, shape (size, zones)
        [K], share of one, [K], [W/m2K] above and below the garment.
    catch_time : float
        From the end of the tunnel until the garment is laid on the pile [s].
    """

    lengths: tuple[float, ...]
    panel_temperature: Values
    exchange: Values
    air_temperature: Values
    air_coefficient: Values
    belt_coefficient: Values
    catch_time: float


def run_tunnel(
    cloth: Cloth,
    tunnel: Tunnel,
    climate: Climate,
    film: Values,
    samples: SampleSet,
    *,
    speed: float,
    start: Values | float,
    outputs: int = 60,
    tolerance: float | None = None,
) -> HeatRun:
    """Temperatures through a tunnel whose every coefficient is given, and on its catch.

    Parameters
    ----------
    film : ndarray, shape (size,)
        [m].
    speed : float
        Belt speed [m/s].
    start : float or ndarray, shape (size, 1)
        Temperature of the garment at the entry [K].
    outputs : int
        Number of output times in the tunnel.
    tolerance : float or None
        Error allowed in one time step [K]; None: that of `laydown.physics.heat`, which is too coarse to take
        differences between runs that are nearly alike.
    """
    from laydown.physics.heat import Stages

    still = read_table("heating")["still air"]["convection"].value
    shop = climate.temperature.value
    catch = {"panel": shop, "exchange": 0.85, "air": shop, "top": still, "bottom": still}
    rows = {
        "panel": tunnel.panel_temperature,
        "exchange": tunnel.exchange,
        "air": tunnel.air_temperature,
        "top": tunnel.air_coefficient,
        "bottom": tunnel.belt_coefficient,
    }
    table = {name: np.column_stack([zones, np.full(samples.size, catch[name])]) for name, zones in rows.items()}
    durations = [length / speed for length in tunnel.lengths] + [tunnel.catch_time]
    inside = sum(durations[:-1])
    below = np.where(np.arange(len(durations)) < len(durations) - 1, 0.0, catch["exchange"])
    stages = Stages(
        duration=durations,
        top_radiant_temperature=table["panel"],
        top_exchange_factor=table["exchange"],
        top_air_temperature=table["air"],
        top_heat_transfer_coefficient=table["top"],
        bottom_radiant_temperature=shop,
        bottom_exchange_factor=below,
        bottom_air_temperature=table["air"],
        bottom_heat_transfer_coefficient=table["bottom"],
        top_vapour_factor=open_top(film),
        bottom_vapour_factor=BELOW_VAPOUR_SHARE,
        vapour_pressure=shop_vapour(climate),
    )
    times = np.concatenate([np.linspace(0.0, inside, outputs), inside + np.linspace(0.0, tunnel.catch_time, 9)[1:]])
    return run_stages(print_body(cloth, film, samples), stages, start, times, inside, tolerance)


def open_top(film: Values) -> Values:
    """Vapour factor of the top face, shape (size, 1): a film closes it, bare cloth dries through it."""
    return np.where(np.asarray(film) > 0, 0.0, 1.0)[:, None]


def shop_vapour(climate: Climate) -> float:
    """Pressure of water vapour in the shop [Pa]."""
    from laydown.physics.moisture import vapour_pressure

    return float(vapour_pressure(climate.temperature.value, climate.humidity.value))


def _deviation(quantity: Quantity) -> Quantity:
    """How far a quantity may be off its value."""
    return replace(quantity, value=0.0, low=quantity.low - quantity.value, high=quantity.high - quantity.value)
