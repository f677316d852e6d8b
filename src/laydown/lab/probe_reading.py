"""What a probe log says: peaks, time at temperature, lanes, rates, belt speed, and whether it can be believed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from laydown.domain.probe_log import Lane, ProbeChannel, ProbeLog, Spot
from laydown.domain.quantity import Grade, Quantity
from laydown.lab.probe_doubts import doubts_of
from laydown.lab.probe_edges import Edge, find_entry, find_exit
from laydown.models.sampling import Z95

Values = NDArray[np.float64]

END_SD = 0.03
"""How far heat spills out of the ends of a tunnel, as a standard deviation of each end's place [m]. Assumed."""

RATE_SPAN = 3.0
"""Rates of rise and fall are means over this many seconds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChannelReading:
    """What one thermocouple says.

    Attributes
    ----------
    peak : float
        [K], reached at ``peak_time`` [s].
    seconds_above, longest_above : float
        Time at or above the asked temperature [s], in all and without a break.
    rise, fall : float
        Steepest rise, and steepest cooling as a negative number [K/s].
    """

    channel: ProbeChannel
    peak: float
    peak_time: float
    seconds_above: float
    longest_above: float
    rise: float
    fall: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeReading:
    """What a log says.

    Attributes
    ----------
    above : float
        Temperature that times are counted from [K].
    channels : tuple of ChannelReading
    coolest, hottest : ChannelReading or None
        By peak, among those that touch the print; None when none does.
    entry, exit : Edge or None
        When the garment passed the tunnel's ends; None when the curve does not show it.
    speed : Quantity or None
        Belt speed found from them [m/s].
    doubts : tuple of str
        Why the log may not be what it seems; empty when nothing speaks against it.
    """

    above: float
    channels: tuple[ChannelReading, ...]
    coolest: ChannelReading | None
    hottest: ChannelReading | None
    entry: Edge | None
    exit: Edge | None
    speed: Quantity | None
    doubts: tuple[str, ...]

    @property
    def plausible(self) -> bool:
        """Whether nothing speaks against the log."""
        return not self.doubts

    @property
    def dwell(self) -> float | None:
        """Time in the tunnel [s]."""
        return self.exit.time - self.entry.time if self.entry and self.exit else None


def read_probe(
    log: ProbeLog, *, above: float, tunnel_length: float | None, dialled_speed: float | None = None
) -> ProbeReading:
    """Read a log.

    Parameters
    ----------
    log : ProbeLog
    above : float
        Temperature that times are counted from [K], for example what the ink fuses at.
    tunnel_length : float
        Heated length of the dryer [m]; None under a flash, which has none.
    dialled_speed : float or None
        Belt speed as dialled [m/s]; one that does not agree with the curve is told.
    """
    channels = tuple(_channel(channel, above) for channel in log.channels)
    touching = [one for one in channels if one.channel.spot is not Spot.AIR]
    entry, leaving = _edges(log)
    speed = _speed(entry, leaving, tunnel_length)
    return ProbeReading(
        above=above,
        channels=channels,
        coolest=min(touching, key=lambda one: one.peak) if touching else None,
        hottest=max(touching, key=lambda one: one.peak) if touching else None,
        entry=entry,
        exit=leaving,
        speed=speed,
        doubts=doubts_of(log, entry, leaving, speed=speed, dialled_speed=dialled_speed),
    )


def seconds_above(times: Values, temperature: Values, level: float) -> tuple[float, float]:
    """Time at or above a level [s], in all and the longest without a break; straight between readings.

    Parameters
    ----------
    times, temperature : ndarray, shape (k,)
    level : float
    """
    total = longest = run = 0.0
    for i in range(times.size - 1):
        width = float(times[i + 1] - times[i])
        a, b = float(temperature[i]) - level, float(temperature[i + 1]) - level
        if a >= 0 and b >= 0:
            run += width
            total += width
        elif a < 0 <= b:
            run = width * b / (b - a)
            total += run
        elif b < 0 <= a:
            part = width * a / (a - b)
            total += part
            longest = max(longest, run + part)
            run = 0.0
    return total, max(longest, run)


def lane_name(lane: Lane) -> str:
    """Name of a lane in a sentence."""
    return f"the {lane} lane" if lane is not Lane.CENTRE else "the centre"


def _channel(channel: ProbeChannel, above: float) -> ChannelReading:
    times, kelvin = np.array(channel.times), np.array(channel.temperatures)
    total, longest = seconds_above(times, kelvin, above)
    rates = _rates(times, kelvin)
    top = int(kelvin.argmax())
    return ChannelReading(
        channel=channel,
        peak=float(kelvin[top]),
        peak_time=float(times[top]),
        seconds_above=total,
        longest_above=longest,
        rise=max(0.0, float(rates.max())),
        fall=min(0.0, float(rates.min())),
    )


def _rates(times: Values, kelvin: Values) -> Values:
    """Mean rates over `RATE_SPAN`, or from reading to reading where they are farther apart."""
    ends = times + RATE_SPAN
    inside = ends <= times[-1]
    if not inside.any():
        return np.asarray(np.diff(kelvin) / np.diff(times))
    later = np.interp(ends[inside], times, kelvin)
    return np.asarray((later - kelvin[inside]) / RATE_SPAN)


def _edges(log: ProbeLog) -> tuple[Edge | None, Edge | None]:
    """Edges of every channel that touches the print, each weighted by how surely it shows them."""
    entries, exits = [], []
    for channel in log.on_garment or log.channels:
        times, kelvin = np.array(channel.times), np.array(channel.temperatures)
        entry = find_entry(times, kelvin)
        if entry is not None:
            entries.append(entry)
        start = entry.time if entry is not None else float(times[0])
        leaving = find_exit(times, kelvin, start)
        if leaving is not None:
            exits.append(leaving)
    return _together(entries), _together(exits)


def _together(edges: list[Edge]) -> Edge | None:
    if not edges:
        return None
    weight = np.array([edge.sd**-2 for edge in edges])
    places = np.array([edge.time for edge in edges])
    mean = float((weight * places).sum() / weight.sum())
    spread = float(np.sqrt(((places - mean) ** 2).mean() / len(edges))) if len(edges) > 1 else 0.0
    return Edge(time=mean, sd=max(float(weight.sum() ** -0.5), spread))


def _speed(entry: Edge | None, leaving: Edge | None, tunnel_length: float | None) -> Quantity | None:
    if tunnel_length is None or entry is None or leaving is None or leaving.time - entry.time < 1.0:
        return None
    dwell = leaving.time - entry.time
    value = tunnel_length / dwell
    share = np.sqrt((entry.sd**2 + leaving.sd**2) / dwell**2 + 2 * END_SD**2 / tunnel_length**2)
    factor = float(np.exp(Z95 * share))
    return Quantity(
        value=value,
        low=value / factor,
        high=value * factor,
        grade=Grade.MEASURED,
        source="tunnel length by the time between the bends of the probe's curve",
    )
