"""Which fibres a cloth is made of, as its care label declares them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from laydown.errors import InvalidInput

# Generic names of ISO 2076 and of Regulation (EU) No 1007/2011, Annex I, in English. Where the two and the trade
# know several (polyamide, nylon), the one that printers say stands here; the rest are read by the care label.
FIBRES = (
    "cotton",
    "polyester",
    "nylon",
    "elastane",
    "viscose",
    "modal",
    "lyocell",
    "acrylic",
    "wool",
    "silk",
    "flax",
    "hemp",
    "polypropylene",
    "acetate",
    "alpaca",
    "angora",
    "aramid",
    "camel",
    "cashmere",
    "chlorofibre",
    "cupro",
    "elastodiene",
    "elastolefin",
    "elastomultiester",
    "jute",
    "kapok",
    "metal fibre",
    "modacrylic",
    "mohair",
    "polyethylene",
    "polylactide",
    "ramie",
    "sisal",
    "triacetate",
    "other fibres",
)

SUM_TOLERANCE = 0.005
"""Labels round their shares (33.3 % three times); more than this from one is a mistake, not rounding."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FibreContent:
    """Fibres of a cloth and their shares by mass.

    Parameters
    ----------
    shares : tuple of (str, float)
        Generic fibre name, one of `FIBRES`, and its share by mass [1], above 0; each fibre once.
        The shares add up to 1 within `SUM_TOLERANCE`.

    Raises
    ------
    InvalidInput
        When a name is unknown or stands twice, a share is not a positive number, or the sum is not 1.
    """

    shares: tuple[tuple[str, float], ...]

    def __post_init__(self) -> None:
        if not self.shares:
            raise InvalidInput("a fibre content needs at least one fibre")
        seen: set[str] = set()
        for name, share in self.shares:
            if name not in FIBRES:
                raise InvalidInput(f"{name!r} is no generic fibre name; known are {', '.join(FIBRES)}")
            if name in seen:
                raise InvalidInput(f"{name} stands twice; each fibre may stand once")
            seen.add(name)
            if not math.isfinite(share) or share <= 0:
                raise InvalidInput(f"the share of {name} is {100 * share:g} %; it must be above 0 %")
        total = math.fsum(share for _, share in self.shares)
        # The last digit of a decimal share is not exact in binary: 99.5 % must still pass.
        if abs(total - 1) > SUM_TOLERANCE + 1e-9:
            raise InvalidInput(
                f"the fibre shares add up to {100 * total:g} %; they must add up to 100 % "
                f"within {100 * SUM_TOLERANCE:g} %"
            )

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the fibres, in the order of the label."""
        return tuple(name for name, _ in self.shares)

    def share(self, name: str) -> float:
        """Share by mass of one fibre [1]; 0 when the cloth has none of it.

        Raises
        ------
        InvalidInput
            When ``name`` is no generic fibre name, so that a slip of the pen never reads as "none".
        """
        if name not in FIBRES:
            raise InvalidInput(f"{name!r} is no generic fibre name; known are {', '.join(FIBRES)}")
        return dict(self.shares).get(name, 0.0)

    def __str__(self) -> str:
        return ", ".join(f"{100 * share:g} % {name}" for name, share in self.shares)
