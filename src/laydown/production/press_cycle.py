"""How long a press takes for one piece, and what it waits for.

Automatic: all heads work at once, so the slowest of them sets the pace; manual: one thing after the other.
"""

from __future__ import annotations

from dataclasses import dataclass

from laydown.domain.press import Press
from laydown.domain.stack import Stack
from laydown.domain.validity import positive, within
from laydown.errors import InvalidInput

FLOOD_SHARE = 1.0
"""Time of the flood or return stroke as a share of the print stroke's. Assumed: both travel at one speed."""

LONGEST_FLASH = 120.0
"""Longest dwell under a flash that is believed [s]; longer means that something was read wrongly."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PressCycle:
    """Time of one piece at the press.

    Attributes
    ----------
    seconds : float
        Per piece, all revolutions included [s].
    terms : tuple of (str, float)
        Named parts that add up to ``seconds`` [s].
    rules : str
        The work that sets the pace: the slowest station of an automatic press, the longest work of a manual one.
    stations : tuple of (str, float)
        Everything that has to be done to a piece, and how long each takes on its own [s].
    revolutions : int
    """

    seconds: float
    terms: tuple[tuple[str, float], ...]
    rules: str
    stations: tuple[tuple[str, float], ...]
    revolutions: int

    @property
    def rate(self) -> float:
        """Pieces per second."""
        return 1 / self.seconds


def hit_time(print_height: float, stroke_speed: float, flood_share: float = FLOOD_SHARE) -> float:
    """Time of one hit: the print stroke over the height of the print, then the flood or return stroke [s].

    Parameters
    ----------
    print_height : float
        Squeegee travel [m], > 0.
    stroke_speed : float
        [m/s], > 0.
    flood_share : float
        Time of the flood stroke over that of the print stroke, >= 0.

    Raises
    ------
    InvalidInput
        When a value is not a number within these bounds.
    """
    positive("height of the print", print_height)
    positive("stroke speed", stroke_speed)
    within("flood share", flood_share, 0.0, 10.0, "")
    return (1 + flood_share) * print_height / stroke_speed


def press_cycle(
    press: Press,
    stack: Stack,
    *,
    print_height: float,
    flash_seconds: tuple[float, ...],
    revolutions: int = 1,
    flood_share: float = FLOOD_SHARE,
) -> PressCycle:
    """Time that one piece takes at the press.

    Parameters
    ----------
    press : Press
    stack : Stack
    print_height : float
        Height of the print, along the stroke [m].
    flash_seconds : tuple of float
        Dwell under the flash [s], one for each flash of the stack, in its order.
    revolutions : int
        Turns of the pallets for one print (automatic; a manual press has 1).
    flood_share : float
        See `hit_time`.

    Returns
    -------
    PressCycle

    Raises
    ------
    InvalidInput
        When the number of dwell times is not that of the flashes, or a value is out of its bounds.

    Notes
    -----
    Automatic: ``revolutions x (index + max over stations of hits x hit time, flash dwell, loading)``; each index
    delivers a piece, and the slowest station sets the pace of every revolution (an upper bound where it works in
    one of them only). Manual: the sum of loading, all hits, all dwells and one index by hand for every screen that
    is swung in and every flash; a crew of two that overlaps flashing and printing is faster.
    """
    if len(flash_seconds) != stack.flashes:
        raise InvalidInput(
            f"{len(flash_seconds)} flash dwell times are given, but the stack is flashed {stack.flashes} times"
        )
    for seconds in flash_seconds:
        within("flash dwell", seconds, 0.0, LONGEST_FLASH, "s")
    within("revolutions", revolutions, 1, 10, "")
    stations = _stations(press, stack, hit_time(print_height, press.stroke_speed, flood_share), flash_seconds)
    if press.automatic:
        return _automatic(press, stations, revolutions)
    if revolutions != 1:
        raise InvalidInput(f"{press.name} is a manual press, which knows no revolutions; allowed is 1")
    return _manual(press, stack, stations)


def _stations(
    press: Press, stack: Stack, one_hit: float, flash_seconds: tuple[float, ...]
) -> tuple[tuple[str, float], ...]:
    stations = [("loading", press.load_time)]
    dwells = iter(flash_seconds)
    for number, printed in enumerate(stack.passes, start=1):
        hits = f"{printed.hits} hits" if printed.hits > 1 else "1 hit"
        stations.append((f"pass {number}, {printed.role}: {hits}", printed.hits * one_hit))
        if printed.flash_after:
            stations.append((f"flash after pass {number}, {printed.role}", next(dwells)))
    return tuple(stations)


def _automatic(press: Press, stations: tuple[tuple[str, float], ...], revolutions: int) -> PressCycle:
    rules, slowest = max(stations, key=lambda station: station[1])
    terms = (("index", revolutions * press.index_time), (rules, revolutions * slowest))
    return PressCycle(
        seconds=revolutions * (press.index_time + slowest),
        terms=terms,
        rules=rules,
        stations=stations,
        revolutions=revolutions,
    )


def _manual(press: Press, stack: Stack, stations: tuple[tuple[str, float], ...]) -> PressCycle:
    by_hand = (len(stack.passes) + stack.flashes) * press.index_time
    terms = (("index by hand", by_hand), *stations)
    rules, _ = max(terms, key=lambda term: term[1])
    return PressCycle(
        seconds=sum(seconds for _, seconds in terms), terms=terms, rules=rules, stations=stations, revolutions=1
    )
