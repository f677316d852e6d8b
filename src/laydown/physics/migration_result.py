"""What a simulation of dye migration gives back: the dye in every cell at every output time, and its balance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.errors import InvalidInput
from laydown.physics.migration_grid import zone_mean

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class DyeBalance:
    """Where the dye is, all arrays of shape (sample, d), in metres of full shade (relative concentration times depth).

    Attributes
    ----------
    start : array
        In the reservoir at the start.
    entered : array
        Come in through a bottom face held at a concentration; 0 otherwise.
    reservoir, free, bound : array
        Still in the cloth's surface zone; mobile in the film; bound to blocker.
    lost : array
        Gone through the top face.
    """

    start: Floats
    entered: Floats
    reservoir: Floats
    free: Floats
    bound: Floats
    lost: Floats

    def residual(self) -> Floats:
        """Return what the balance lacks, by what there was; 0 where there was none."""
        given = self.start + self.entered
        missing = np.abs(self.reservoir + self.free + self.bound + self.lost - given)
        return np.asarray(np.divide(missing, given, out=np.zeros_like(missing), where=given > 0))


@dataclass(frozen=True, slots=True, kw_only=True)
class MigrationHistory:
    """What ``simulate_migration`` found; concentrations are relative to the cloth's own full shade.

    Attributes
    ----------
    output_times : array, shape (d,)
        [s]
    cell_thickness : array, shape (sample, cell)
        Cells from the cloth upwards [m].
    cell_layer : array of int, shape (cell,)
        Layer that a cell lies in.
    free, bound : array, shape (sample, d, cell)
        Mean concentration of mobile and of bound dye in each cell.
    reservoir : array, shape (sample, d)
        Concentration left in the cloth's surface zone.
    balance : DyeBalance
        Ledger of all dye.
    steps, refused_steps : array of int, shape (sample,)
        Time steps taken, and those thrown away because their error was too large.
    """

    output_times: Floats
    cell_thickness: Floats
    cell_layer: NDArray[np.int64]
    free: Floats
    bound: Floats
    reservoir: Floats
    balance: DyeBalance
    steps: NDArray[np.int64]
    refused_steps: NDArray[np.int64]

    def top_zone(self, depth: float = 10e-6) -> Floats:
        """Mean dye, free and bound, in the top of the film, where it is seen.

        Parameters
        ----------
        depth : float
            Thickness of the zone [m], above zero; a film that is thinner is taken whole.

        Returns
        -------
        array, shape (sample, d)
            Relative concentration.
        """
        if not depth > 0:
            raise InvalidInput(f"must be above zero, but is {depth:g} m", where="depth")
        return zone_mean(self.cell_thickness, self.cell_layer, self.free + self.bound, depth)
