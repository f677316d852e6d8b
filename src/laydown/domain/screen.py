"""Meshes as woven and screens as they stand in the rack."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from laydown.domain.quantity import Quantity
from laydown.domain.validity import named, positive, within


class ScreenState(StrEnum):
    """What has to be done before a screen can be burned."""

    READY = "ready"
    COATED = "coated"
    RECLAIM = "reclaim first"
    IN_USE = "in use"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """A woven mesh as bought.

    Attributes
    ----------
    name : str
        Threads per centimetre, thread in micrometres: ``43/80``.
    count : float
        Threads per metre.
    thread, fabric_thickness : float
        [m].
    opening : Quantity
        [m].
    theoretical_volume : Quantity
        Volume of the open cells per area [m3/m2].
    basis : str
        What the maker's figures refer to (relaxed or tensioned, thread before or after weaving).
    """

    name: str
    count: float
    thread: float
    opening: Quantity
    fabric_thickness: Quantity
    theoretical_volume: Quantity
    weave: str = "plain"
    basis: str = ""

    def __post_init__(self) -> None:
        named("a mesh", self.name)
        within(f"mesh count of {self.name}", self.count, 500.0, 25_000.0, "threads per metre")
        within(f"thread of {self.name}", self.thread, 10e-6, 500e-6, "m")
        positive(f"opening of {self.name}", self.opening.value)
        positive(f"fabric thickness of {self.name}", self.fabric_thickness.value)
        positive(f"theoretical volume of {self.name}", self.theoretical_volume.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Screen:
    """Screens of one kind in the rack.

    Attributes
    ----------
    name : str
    mesh : Mesh or None
        None: a closed, smooth screen that lays no ink but presses the print flat.
    emulsion_over_mesh : float
        Stencil height above the mesh on the print side [m].
    tension : float
        [N/m].
    frame_width, frame_height : float
        Inner size [m].
    count : int
        How many of them the shop owns.
    """

    name: str
    mesh: Mesh | None
    emulsion_over_mesh: float = 0.0
    tension: float = 2500.0
    frame_width: float = 0.5
    frame_height: float = 0.6
    state: ScreenState = ScreenState.READY
    count: int = 1

    def __post_init__(self) -> None:
        named("a screen", self.name)
        within(f"emulsion over mesh of {self.name}", self.emulsion_over_mesh, 0.0, 400e-6, "m")
        within(f"tension of {self.name}", self.tension, 0.0, 10_000.0, "N/m")
        within(f"frame width of {self.name}", self.frame_width, 0.05, 3.0, "m")
        within(f"frame height of {self.name}", self.frame_height, 0.05, 3.0, "m")
        within(f"count of {self.name}", self.count, 0, 10_000, "screens")

    @property
    def smooths(self) -> bool:
        """Whether this is the closed screen of a smoothing pass."""
        return self.mesh is None
