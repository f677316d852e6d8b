"""What reading one art file may cost."""

from __future__ import annotations

from dataclasses import dataclass

from laydown.errors import InvalidInput

MEBI = 1 << 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Bounds for one art file; the defaults are assumed, set for art up to a full shirt front at 600 px/in.

    Attributes
    ----------
    file_bytes : int
        Size of the file.
    text_bytes : int
        Size of an SVG file, all of which is parsed.
    pixels : int
        Pixels of the picture, whether stored or drawn from vectors.
    side : int
        Pixels along one side.
    result_bytes : int
        Picture and spot plates together, as they come back from the worker.
    memory_bytes : int
        Address space of the worker (Linux; macOS does not enforce it).
    cpu : float
        Computing time [s] for each of two steps, header and pixels; rounded up to whole seconds.
    wall : float
        Time [s] for each step, after which the worker is killed.
    resolution_per_inch : float
        Pixels an inch at which vector art is drawn, unless ``pixels`` forces fewer.
    coarse_per_inch : float
        Pixels an inch below which a note says that edges and tones will look coarse.
    spots : int
        Spot plates of one file.
    """

    file_bytes: int = 512 * MEBI
    text_bytes: int = 32 * MEBI
    pixels: int = 120_000_000
    side: int = 60_000
    result_bytes: int = 1024 * MEBI
    memory_bytes: int = 3072 * MEBI
    cpu: float = 60.0
    wall: float = 90.0
    resolution_per_inch: float = 300.0
    coarse_per_inch: float = 150.0
    spots: int = 24

    def __post_init__(self) -> None:
        for name in self.__slots__:
            value = getattr(self, name)
            if not 0 < value < float("inf"):
                raise InvalidInput(f"the limit {name} is {value:g}; it must be a number above 0")


__all__ = ["MEBI", "Limits"]
