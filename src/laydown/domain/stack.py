"""A stack: the ordered passes of one print."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from laydown.domain.ink import Ink
from laydown.domain.screen import Screen
from laydown.domain.validity import share, within
from laydown.errors import InvalidInput


class Role(StrEnum):
    """What a pass is for."""

    BARRIER = "barrier"
    UNDERBASE = "underbase"
    SMOOTHING = "smoothing pass"
    WHITE = "white"
    COLOUR = "colour"
    HIGHLIGHT = "highlight white"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pass:
    """One ink through one screen.

    Attributes
    ----------
    ink : Ink or None
        None on a smoothing pass, which lays no ink.
    additive : Ink or None
        Stretch additive or reducer stirred in.
    additive_share : float
        Share of the mixture's mass.
    hits : int
        Strokes without a flash between them.
    flash_after : bool
    coverage : float
        Share of the print's rectangle that the plate covers.
    shows : float or None
        Share of the rectangle where this pass is what one sees; None: as the coverages of the stack suggest.
    on_cloth : bool
        A colour that lies straight on the cloth, with no white below.
    edge_length : float
        Edge of the plate per inked area [1/m]; 0 where nobody measured the art.
    """

    role: Role
    ink: Ink | None
    screen: Screen
    hits: int = 1
    flash_after: bool = False
    coverage: float = 1.0
    additive: Ink | None = None
    additive_share: float = 0.0
    shows: float | None = None
    on_cloth: bool = False
    edge_length: float = 0.0

    def __post_init__(self) -> None:
        within("hits", self.hits, 1, 6, "")
        share("coverage of a pass", self.coverage)
        share("additive share", self.additive_share)
        if self.shows is not None:
            share("share of a pass that shows", self.shows)
        if (self.ink is None) != self.screen.smooths:
            raise InvalidInput("a smoothing pass has a closed screen and no ink; every other pass has both")
        if (self.additive is None) != (self.additive_share == 0):
            raise InvalidInput("an additive needs a share above 0, and a share needs an additive")

    @property
    def label(self) -> str:
        """The pass in a few printer's words."""
        if self.ink is None:
            return "smoothing screen"
        mixed = f" + {self.additive_share:.0%} {self.additive.name}" if self.additive else ""
        mesh = self.screen.mesh.name if self.screen.mesh else ""
        hits = f", {self.hits} hits" if self.hits > 1 else ""
        return f"{self.ink.name}{mixed} through {mesh}{hits}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """Passes in the order they are printed."""

    passes: tuple[Pass, ...]

    def __post_init__(self) -> None:
        if not any(p.ink is not None for p in self.passes):
            raise InvalidInput("a stack needs at least one pass with ink")

    @property
    def label(self) -> str:
        """The stack in a printer's words: passes and flashes in order."""
        words: list[str] = []
        for p in self.passes:
            words.append(p.label)
            if p.flash_after:
                words.append("flash")
        return " · ".join(words)

    @property
    def inked(self) -> tuple[Pass, ...]:
        """Passes that lay ink."""
        return tuple(p for p in self.passes if p.ink is not None)

    @property
    def inks(self) -> tuple[Ink, ...]:
        """Every ink and additive used, each once, in order of first use."""
        seen: dict[str, Ink] = {}
        for p in self.inked:
            for ink in (p.ink, p.additive):
                if ink is not None:
                    seen.setdefault(ink.name, ink)
        return tuple(seen.values())

    @property
    def ink_names(self) -> frozenset[str]:
        """Names of every ink and additive used."""
        return frozenset(ink.name for ink in self.inks)

    @property
    def flashes(self) -> int:
        """How often the print is flashed."""
        return sum(p.flash_after for p in self.passes)
