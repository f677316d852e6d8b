"""Dye migration: how the cloth's dye moves through the layers of a print, and how blockers hold it.

The door of the compiled solver ``migration_kernel``: it checks shapes and ranges, lays the cells and keeps the
balance. Equations, limits and measured errors: docs/physics/bleed.md.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown.errors import ConvergenceError, InvalidInput
from laydown.physics.arrhenius import GAS_CONSTANT
from laydown.physics.migration_grid import cells_per_layer
from laydown.physics.migration_result import DyeBalance, MigrationHistory

__all__ = ["DEFAULT_TOLERANCE", "REACTION_LENGTH", "DyeBalance", "MigrationHistory", "simulate_migration"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

DEFAULT_TOLERANCE = 1e-3
"""Error allowed in a time step, by the dye in the place (and never below a thousandth of the full shade's)."""

REACTION_LENGTH = 3e-6
"""Depth in which fresh blocker binds 63 % of the dye that comes [m]. Assumed (grains of blocker); none published."""

PIECE = 0.5
"""Largest change of an exponent E/RT within a piece of the history."""

FEW = 3
"""Samples up to which one thread does it alone."""

COLDEST, HOTTEST = 200.0, 600.0
"""Temperatures that are taken for a slip outside this range [K]."""


def simulate_migration(
    *,
    times: ArrayLike,
    temperature: ArrayLike,
    layer_thickness: ArrayLike,
    diffusivity_ref: ArrayLike,
    diffusion_activation: ArrayLike,
    diffusion_reference: float,
    capacity: ArrayLike = 0.0,
    reaction_length: ArrayLike = REACTION_LENGTH,
    partition: ArrayLike = 1.0,
    reservoir_depth: ArrayLike,
    reservoir_start: ArrayLike,
    release_ref: ArrayLike,
    release_activation: ArrayLike,
    release_reference: float,
    output_times: ArrayLike,
    surface_concentration: ArrayLike | None = None,
    loss_ref: ArrayLike = 0.0,
    cells: ArrayLike | None = None,
    tolerance: float = DEFAULT_TOLERANCE,
) -> MigrationHistory:
    """Follow the cloth's dye into and through a stack of ink layers.

    Parameters
    ----------
    times : array, shape (k,)
        Times of the history [s], rising, at least two.
    temperature : array, shape (sample, k)
        Temperature of the film at its interface with the cloth [K], linear between the times; 200 to 600 K.
    layer_thickness : array, shape (sample, layer)
        Layers from the cloth upwards (barrier, underbase, ...) [m], above zero.
    diffusivity_ref : array, shape (sample, layer) or what broadcasts to it
        Diffusivity at ``diffusion_reference`` [m²/s], above zero.
    diffusion_activation : array, shape (sample,)
        Activation energy of the diffusivity, of binding and of loss [J/mol], not negative.
    diffusion_reference : float
        [K]
    capacity : array, shape (sample, layer)
        Dye that the layer's blocker can bind, relative to the full shade; 0 is none.
    reaction_length : array, shape (sample, layer)
        Depth ``sqrt(D/(k b0))`` at which free dye in fresh blocker has fallen to 1/e [m], above zero. Its default is
        assumed. Layers without capacity ignore it.
    partition : array, shape (sample, layer - 1)
        Concentration above an interface by that below it at equilibrium, above zero.
    reservoir_depth : array, shape (sample,)
        Surface zone of the cloth that gives dye off [m], not negative.
    reservoir_start : array, shape (sample,)
        Concentration in it at the start, relative to the full shade: the share of dye that migrates, not negative.
    release_ref : array, shape (sample,)
        First-order rate of release at ``release_reference`` [1/s], not negative.
    release_activation : array, shape (sample,)
        [J/mol], not negative.
    release_reference : float
        [K]
    output_times : array, shape (d,)
        When to report [s], within ``times``, not falling.
    surface_concentration : array, shape (sample,), optional
        Holds the film's bottom face at this concentration, beside what the reservoir gives off; for checks.
    loss_ref : array, shape (sample,)
        Coefficient of loss from the top face at ``diffusion_reference`` [m/s]; ``inf`` keeps the face clean.
    cells : array of int, shape (layer,), optional
        Number of cells of each layer, at least 3; by default what ``migration_grid.cells_per_layer`` finds.
    tolerance : float
        Allowed error of a time step, 1e-9 to 0.1.

    Returns
    -------
    MigrationHistory

    Raises
    ------
    InvalidInput
        For a wrong shape, a value that is no number, or one outside the range named above.
    ConvergenceError
        When a sample would take more than 20 000 steps.

    Notes
    -----
    Film: ``dc/dt = (D c_x)_x - k c b``, ``db/dt = -k c b``, with ``k(T) = D(T)/(reaction_length² capacity)``: binding
    is taken to be as fast as dye gets to the blocker, so it has the diffusion's activation energy. Cloth:
    ``dr/dt = -k_rel(T) r``, all of it into the film; nothing goes back.

    No diffusivity or partition of a disperse dye in cured plastisol has been published: a result that rests on assumed
    values is a screening estimate.
    """
    t = _array("times", times, (None,))
    outputs = _array("output_times", output_times, (None,))
    if t.size < 2 or not (np.diff(t) > 0).all():
        raise InvalidInput("must be two or more rising times", where="times")
    if outputs.size < 1 or not (np.diff(outputs) >= 0).all() or outputs[0] < t[0] or outputs[-1] > t[-1]:
        raise InvalidInput(f"must be times from {t[0]:g} to {t[-1]:g} s that do not fall", where="output_times")
    if not 1e-9 <= tolerance <= 0.1:
        raise InvalidInput(f"must be 1e-9 to 0.1, but is {tolerance:g}", where="tolerance")
    thickness = _array("layer_thickness", layer_thickness, (None, None), above=0.0)
    samples, layers = thickness.shape
    if samples < 1 or layers < 1:
        raise InvalidInput("must have at least one sample and one layer", where="layer_thickness")
    hot = _array("temperature", temperature, (samples, t.size), low=COLDEST, high=HOTTEST)
    d = _array("diffusivity_ref", diffusivity_ref, (samples, layers), above=0.0)
    blocker = _array("capacity", capacity, (samples, layers), low=0.0)
    reach = _array("reaction_length", reaction_length, (samples, layers), above=0.0)
    steps_up = _array("partition", partition, (samples, layers - 1), above=0.0)
    depth = _array("reservoir_depth", reservoir_depth, (samples,), low=0.0)
    start = _array("reservoir_start", reservoir_start, (samples,), low=0.0)
    loss = _array("loss_ref", loss_ref, (samples,), low=0.0, high=np.inf)
    held = None
    if surface_concentration is not None:
        held = _array("surface_concentration", surface_concentration, (samples,), low=0.0)
    per_layer = cells_per_layer(thickness, blocker, reach) if cells is None else _cell_counts(cells, layers)

    whole = np.ones(samples)
    rates = np.column_stack(
        [
            _array("diffusion_activation", diffusion_activation, (samples,), low=0.0) / GAS_CONSTANT,
            _kelvin("diffusion_reference", diffusion_reference) * whole,
            _array("release_ref", release_ref, (samples,), low=0.0),
            _array("release_activation", release_activation, (samples,), low=0.0) / GAS_CONSTANT,
            _kelvin("release_reference", release_reference) * whole,
        ]
    )

    from laydown.physics import migration_kernel as kernel

    knots, places = _clock(t, hot, rates, outputs)
    layer = np.repeat(np.arange(layers), per_layer)
    width = (thickness / per_layer)[:, layer]
    phi = np.concatenate([np.ones((samples, 1)), np.cumprod(steps_up, axis=1)], axis=1)[:, layer]
    half_resistance = width / (2 * d[:, layer] * phi)
    table = np.zeros((samples, 10, layer.size))
    table[:, kernel.MASS], table[:, kernel.PHI] = width * phi, phi
    table[:, kernel.CONDUCTANCE, :-1] = 1 / (half_resistance[:, :-1] + half_resistance[:, 1:])
    with np.errstate(divide="ignore"):
        table[:, kernel.CONDUCTANCE, -1] = 1 / (half_resistance[:, -1] + 1 / (loss * phi[:, -1]))
    rate = np.where(blocker > 0, d / reach**2, 0.0)
    spending = np.divide(rate, blocker, out=np.zeros_like(rate), where=blocker > 0)
    table[:, kernel.BINDING], table[:, kernel.SPENDING] = rate[:, layer], spending[:, layer] * phi
    table[:, kernel.CAPACITY] = blocker[:, layer]
    inside = np.where(np.diff(layer) == 0, 0.5, 1.0)
    table[:, kernel.BELOW] = table[:, kernel.ABOVE] = width**2 / (6 * d[:, layer])
    table[:, kernel.BELOW, 1:] *= inside
    table[:, kernel.ABOVE, :-1] *= inside
    neighbours = np.pad(np.diff(layer) == 0, 1).astype(np.float64)
    table[:, kernel.SLOPE_BELOW] = neighbours[:-1] / (neighbours[:-1] + neighbours[1:])
    table[:, kernel.SLOPE_ABOVE] = neighbours[1:] / (neighbours[:-1] + neighbours[1:])
    given = np.zeros((samples, 3))
    given[:, kernel.AMOUNT] = depth * start
    if held is not None:
        given[:, kernel.HELD], given[:, kernel.HELD_CONDUCTANCE] = held, 1 / half_resistance[:, 0]

    shape = (samples, outputs.size, layer.size)
    free, left, ledger = np.empty(shape), np.empty(shape), np.zeros((*shape[:2], 3))
    steps = np.zeros((samples, 2), dtype=np.int64)
    follow = kernel.migrate_all if samples > FEW else kernel.migrate_few
    follow(knots, places, table, given, tolerance, free, left, ledger, steps)
    if (steps[:, 0] < 0).any():
        failed = int(np.argmax(steps[:, 0] < 0))
        raise ConvergenceError(f"dye migration: sample {failed} needs more than {kernel.MAX_STEPS} time steps")

    bound = blocker[:, None, layer] * (1 - left)
    reservoir = ledger[:, :, kernel.RESERVOIR] * start[:, None]
    return MigrationHistory(
        output_times=outputs,
        cell_thickness=width,
        cell_layer=layer,
        free=free,
        bound=bound,
        reservoir=reservoir,
        balance=DyeBalance(
            start=np.outer(start * depth, np.ones(outputs.size)),
            entered=ledger[:, :, kernel.ENTERED],
            reservoir=reservoir * depth[:, None],
            free=np.einsum("jdc,jc->jd", free, width),
            bound=np.einsum("jdc,jc->jd", bound, width),
            lost=ledger[:, :, kernel.LOST],
        ),
        steps=steps[:, 0],
        refused_steps=steps[:, 1],
    )


def _clock(times: Floats, temperature: Floats, rates: Floats, outputs: Floats) -> tuple[Floats, Integers]:
    """Knots of the history over equivalent time, shape (sample, 3, knot), and the knot of each output."""
    from laydown.physics import migration_clock_kernel as clock

    at = np.union1d(times, outputs)
    hot = np.stack([np.interp(at, times, row) for row in temperature])
    steepest = np.maximum(rates[:, clock.D_SLOPE], rates[:, clock.R_SLOPE])[:, None]
    pieces = 1 + (np.abs(np.diff(1 / hot, axis=1)) * steepest / PIECE).astype(np.int64)
    ends = np.pad(np.cumsum(pieces, axis=1), ((0, 0), (1, 0)))
    knots = np.empty((temperature.shape[0], 3, int(ends[:, -1].max()) + 1))
    clock.lay_out_all(at, hot, rates, pieces, knots)
    return knots, np.ascontiguousarray(ends[:, np.searchsorted(at, outputs)])


def _array(
    name: str,
    value: ArrayLike,
    shape: tuple[int | None, ...],
    *,
    above: float = -np.inf,
    low: float = -np.inf,
    high: float = np.finfo(np.float64).max,
) -> Floats:
    """Return the value as an array of that shape (None: whatever it has), or say what is wrong with it."""
    try:
        array = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError):
        raise InvalidInput("must be numbers", where=name) from None
    if None in shape:
        if array.ndim != len(shape):
            raise InvalidInput(f"must have {len(shape)} dimensions, but has shape {array.shape}", where=name)
    else:
        full = tuple(size or 0 for size in shape)
        try:
            array = np.broadcast_to(array, full)
        except ValueError:
            raise InvalidInput(f"must have shape {full}, but has {array.shape}", where=name) from None
    bad = ~((array > above) & (array >= low) & (array <= high))
    if bad.any():
        range_ = (
            f"above {above:g}" if above > -np.inf else f"{low:g} to {high:g}" if high < 1e300 else f"at least {low:g}"
        )
        raise InvalidInput(
            f"must be {range_ if low > -np.inf or above > -np.inf else 'finite'}, but holds {array[bad].flat[0]:g}",
            where=name,
        )
    return np.ascontiguousarray(array)


def _kelvin(name: str, value: float) -> float:
    if not COLDEST <= value <= HOTTEST:
        raise InvalidInput(f"must be {COLDEST:g} to {HOTTEST:g} K, but is {value:g}", where=name)
    return float(value)


def _cell_counts(cells: ArrayLike, layers: int) -> Integers:
    counts = np.asarray(cells)
    if counts.shape != (layers,) or counts.dtype.kind not in "iu" or (counts < 3).any():
        raise InvalidInput(f"must be {layers} whole numbers of at least 3, one a layer", where="cells")
    return counts.astype(np.int64)
