"""What a shop's own tests say of a cloth: draws of the bleed model's inputs that agree with the readings."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from enum import StrEnum

from laydown.domain.garment import Dye
from laydown.errors import InvalidInput


class Level(StrEnum):
    """How near to a garment the tests lie that a finding rests on, nearest first."""

    LOT = "lot"
    CLOTH = "cloth"
    DYE_CLASS = "dye class"
    FILM = "ink film"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClothFinding:
    """Joint draws of uncertain inputs, as standard normal positions along named directions.

    What is kept of a fit rests on the readings of one lot alone; what a plan uses takes the other lots in
    (`laydown.models.bleed_pooling.finding_for`).

    Attributes
    ----------
    level : Level
        ``lot``: this lot was tested. ``cloth``: other lots of this cloth were, the lot's own part is drawn anew.
        ``dye class``: other cloths of its dye class were. ``ink film``: only what belongs to the film is known.
    garment : str
        Shelf name of the cloth; empty from the dye class on.
    lot : str
        Empty unless the level is ``lot``.
    dye : Dye
        Dye class; without meaning at the level ``ink film``.
    dimensions : tuple of str
        Names of the directions (`laydown.models.sampling.DIMENSIONS`), one for each number of a draw.
    draws : tuple of tuple of float
        All alike in weight.
    swatches : tuple of int
        Numbers of the swatches that it rests on.
    readings : int
        How many readings of them were used.
    fitted_at : datetime
        With its time zone.
    priors : str
        Fingerprint of the priors that the positions refer to; under others they mean something else.
    effective : float
        Independent draws that the draws are worth.
    notes : tuple of str
        What the fit has to say against itself.
    """

    level: Level
    dimensions: tuple[str, ...]
    draws: tuple[tuple[float, ...], ...]
    swatches: tuple[int, ...]
    readings: int
    fitted_at: dt.datetime
    priors: str
    garment: str = ""
    lot: str = ""
    dye: Dye = Dye.UNKNOWN
    effective: float = 0.0
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.fitted_at.tzinfo is None:
            raise InvalidInput("the moment of a fit needs its time zone")
        if not self.dimensions or len(set(self.dimensions)) < len(self.dimensions):
            raise InvalidInput("a finding names each of its directions once, and at least one")
        if len(self.draws) < 2:
            raise InvalidInput(f"a finding needs at least 2 draws, not {len(self.draws)}")
        if any(len(draw) != len(self.dimensions) for draw in self.draws):
            raise InvalidInput(f"each draw of this finding needs {len(self.dimensions)} numbers")
        if not all(math.isfinite(number) for draw in self.draws for number in draw):
            raise InvalidInput("a finding holds a number that is not finite")
        if self.level in {Level.LOT, Level.CLOTH} and not self.garment.strip():
            raise InvalidInput(f"a finding of a {self.level.value} names its garment")
        if (self.level is Level.LOT) != bool(self.lot.strip()):
            raise InvalidInput("a finding of a lot names the lot, and no other finding does")

    @property
    def about(self) -> str:
        """What it is about, in words."""
        return {
            Level.LOT: f"lot {self.lot} of {self.garment}",
            Level.CLOTH: f"other lots of {self.garment}",
            Level.DYE_CLASS: f"other cloths dyed {self.dye.value}",
            Level.FILM: "prints on other cloths",
        }[self.level]
