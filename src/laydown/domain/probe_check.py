"""Daily checks of dryers and flash units."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum

from laydown.domain.validity import named, within
from laydown.errors import InvalidInput


class CheckKind(StrEnum):
    """What is checked."""

    PANEL = "panel"
    PEAK = "peak"
    BELT = "belt"
    FLASH = "flash"


BOUNDS: dict[CheckKind, tuple[float, float, str]] = {
    CheckKind.PANEL: (280.0, 1500.0, "K"),
    CheckKind.PEAK: (280.0, 600.0, "K"),
    CheckKind.BELT: (1e-4, 2.0, "m/s"),
    CheckKind.FLASH: (280.0, 600.0, "K"),
}
"""What a check can read, and its unit."""

WORDS: dict[CheckKind, str] = {
    CheckKind.PANEL: "the panel temperature",
    CheckKind.PEAK: "the peak under the print",
    CheckKind.BELT: "the belt speed",
    CheckKind.FLASH: "the print under the flash",
}
"""Beginnings of sentences about it."""

FINEST: dict[CheckKind, float] = {
    CheckKind.PANEL: 0.5,
    CheckKind.PEAK: 0.5,
    CheckKind.BELT: 2e-4,
    CheckKind.FLASH: 0.5,
}
"""Standard deviation that chance has at least, as gauges tell no less apart (K, m/s). Assumed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeCheck:
    """One check.

    Attributes
    ----------
    machine : str
        Dryer or flash unit, by its name on the shelf.
    value : float
        [K], belts in [m/s].
    happened_at : datetime
        With its time zone.
    anew : bool
        Whether limits are reckoned anew from this check on: after maintenance, or at another setting.
    """

    machine: str
    kind: CheckKind
    value: float
    happened_at: dt.datetime
    note: str = ""
    anew: bool = False

    def __post_init__(self) -> None:
        named("the machine of a check", self.machine)
        low, high, unit = BOUNDS[self.kind]
        within(WORDS[self.kind], self.value, low, high, unit)
        if self.happened_at.tzinfo is None:
            raise InvalidInput("the moment of a check names no time zone", where="happened_at")
        if len(self.note) > 2000:
            raise InvalidInput(f"the note has {len(self.note)} characters; allowed are up to 2000")
