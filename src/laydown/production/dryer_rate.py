"""How many pieces a conveyor dryer takes in a second."""

from __future__ import annotations

import math

from laydown.domain.dryer import Dryer
from laydown.domain.garment import Garment
from laydown.domain.validity import positive, within
from laydown.errors import InvalidInput, OutOfRange


def belt_speed(chamber_length: float, dwell: float) -> float:
    """Belt speed at which a garment stays in the chamber for ``dwell`` [m/s].

    Parameters
    ----------
    chamber_length : float
        Heated length [m], > 0.
    dwell : float
        [s], > 0.
    """
    positive("chamber length", chamber_length)
    positive("dwell", dwell)
    return chamber_length / dwell


def chamber_rate(pieces_in_chamber: float, dwell: float) -> float:
    """Pieces per second of a chamber that holds so many at once, each for ``dwell`` [s]."""
    positive("pieces in the chamber", pieces_in_chamber)
    positive("dwell", dwell)
    return pieces_in_chamber / dwell


def lanes(belt_width: float, garment_width: float) -> int:
    """How many garments lie side by side on the belt.

    Raises
    ------
    InvalidInput
        When not even one fits.
    """
    positive("belt width", belt_width)
    positive("width of the garment on the belt", garment_width)
    # A belt of 1.2 m takes two of 0.6 m although their quotient may fall just short of 2 in binary.
    count = math.floor(belt_width / garment_width + 1e-9)
    if count < 1:
        raise InvalidInput(
            f"the garment takes {1e3 * garment_width:.0f} mm across the belt, which is {1e3 * belt_width:.0f} mm wide; "
            "fold it narrower or use a wider dryer"
        )
    return count


def lane_rate(speed: float, belt_width: float, garment_width: float, garment_length: float, gap: float = 0.0) -> float:
    """Pieces per second from belt and garment sizes: lanes times speed over pitch.

    Parameters
    ----------
    speed : float
        Belt speed [m/s], > 0.
    belt_width : float
        [m].
    garment_width, garment_length : float
        What a garment takes across and along the belt [m].
    gap : float
        Free belt between two garments [m]; 0: laid edge to edge, the most that the belt can take.
    """
    positive("belt speed", speed)
    positive("length of the garment on the belt", garment_length)
    within("gap between garments", gap, 0.0, 5.0, "m")
    return lanes(belt_width, garment_width) * speed / (garment_length + gap)


def dryer_rate(dryer: Dryer, garment: Garment, speed: float, gap: float = 0.0) -> float:
    """Pieces per second that a dryer takes at a belt speed.

    Parameters
    ----------
    dryer : Dryer
    garment : Garment
        Its ``width`` and ``size`` are what it takes of the belt.
    speed : float
        Belt speed [m/s], within what the dryer can be set to.
    gap : float
        Free belt between two garments [m].

    Raises
    ------
    OutOfRange
        When the dryer cannot run at that speed.
    InvalidInput
        When the garment is wider than the belt.
    """
    slack = 1e-9 * dryer.speed_high
    if not dryer.speed_low - slack <= speed <= dryer.speed_high + slack:
        raise OutOfRange(f"dryer {dryer.name}", "belt speed", speed, dryer.speed_low, dryer.speed_high, "m/s")
    return lane_rate(speed, dryer.belt_width, garment.width, garment.size, gap)
