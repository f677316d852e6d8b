"""What was measured on a plate of the artwork."""

from __future__ import annotations

from dataclasses import dataclass

from laydown.domain.validity import named, positive, share
from laydown.errors import InvalidInput


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateMeasure:
    """A plate in figures; lengths in metres, shares of the print's rectangle.

    Attributes
    ----------
    plate : str
    ink : str
    coverage : float
        Mean tone over the rectangle: the share of it that is inked, dots counted by their area.
    solid, toned : float
        Shares of the rectangle printed solid, and printed as dots (whatever their tone).
    edge_length : float
        Length of all edges between ink and no ink in solid parts.
    finest_line, finest_gap : float or None
        Width of the narrowest inked and of the narrowest open detail; None where the plate has none.
    area : float
        Inked area [m2].
    """

    plate: str
    ink: str
    coverage: float
    solid: float
    toned: float
    edge_length: float
    finest_line: float | None
    finest_gap: float | None
    area: float

    def __post_init__(self) -> None:
        named("a plate", self.plate)
        for label, value in (("coverage", self.coverage), ("solid share", self.solid), ("toned share", self.toned)):
            share(f"{label} of the plate {self.plate!r}", value)
        for label, length in (("finest line", self.finest_line), ("finest gap", self.finest_gap)):
            if length is not None:
                positive(f"{label} of the plate {self.plate!r}", length)
        if self.edge_length < 0 or self.area < 0:
            raise InvalidInput(f"the plate {self.plate!r} has a negative length or area")


__all__ = ["PlateMeasure"]
