"""What an order asks of its art file, and what was measured on it."""

from __future__ import annotations

from dataclasses import dataclass

from laydown.domain.validity import named, positive, share, within
from laydown.errors import InvalidInput

MOST_INKS = 16
"""Inks that one print may ask for."""


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


@dataclass(frozen=True, slots=True, kw_only=True)
class ArtRequest:
    """What an order asks of an art file; lengths in metres.

    Attributes
    ----------
    width, height : float or None
        Size of the print; None: from the other by the art's proportions, or from the file.
    inks : tuple of str
        Shelf names, ``white`` or sRGB colours to print with; empty: they are found in the art.
    at_most : int or None
        Inks at most, white included, when they are found; None: as many as the art needs.
    open_cloth : bool
        Colours that equal the garment's are left open, so that the cloth shows through.
    page : int
        Page of a file that has several, counted from 1.
    finest_detail, ruling : float or None
        What the order states itself; None: measured, and chosen where the art has tones.
    """

    width: float | None = None
    height: float | None = None
    inks: tuple[str, ...] = ()
    at_most: int | None = None
    open_cloth: bool = True
    page: int = 1
    finest_detail: float | None = None
    ruling: float | None = None

    def __post_init__(self) -> None:
        within("page of the art", self.page, 1, 10_000, "")
        if self.at_most is not None:
            within("number of inks", self.at_most, 1, MOST_INKS, "inks")
            if self.inks and len(self.inks) > self.at_most:
                raise InvalidInput(f"{len(self.inks)} inks are named, but at most {self.at_most} are asked for")


@dataclass(frozen=True, slots=True, kw_only=True)
class Art:
    """What the art of a print was found to need; shares of the print's rectangle.

    Attributes
    ----------
    request : ArtRequest
    plates : tuple of PlateMeasure
        In printing order, as separated for a white and colours of usual thickness on this cloth.
    inked : float
        Share that carries any ink.
    underbase : float
        Share under which white lies, its dots counted by their area; 0 when nothing needs it.
    on_cloth : tuple of str
        Colour inks that lie mostly straight on the cloth.
    notes : tuple of str
        What prints each colour of the art, and how far it is from it.
    warnings : tuple of str
        What somebody should look at before the run: sizes, resolutions, colours without an ink, thin details.
    """

    request: ArtRequest
    plates: tuple[PlateMeasure, ...]
    inked: float
    underbase: float
    on_cloth: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        share("inked share of the art", self.inked)
        share("underbase share of the art", self.underbase)
        if not self.plates:
            raise InvalidInput("the art needs no ink on this garment: every colour is open or equals the cloth")

    def plate(self, ink: str) -> PlateMeasure | None:
        """Measures of an ink's plate; None when there is none of that ink."""
        return next((plate for plate in self.plates if plate.ink == ink), None)

    @property
    def toned(self) -> float:
        """Largest share that any plate prints as dots."""
        return max(plate.toned for plate in self.plates)


__all__ = ["MOST_INKS", "Art", "ArtRequest", "PlateMeasure"]
