"""Why a probe log may not be what it seems, one sentence each."""

from __future__ import annotations

import numpy as np

from laydown.domain.probe_log import ProbeChannel, ProbeLog
from laydown.domain.quantity import Quantity
from laydown.lab.probe_edges import Edge
from laydown.units import to_celsius, to_metre_per_minute

LEAST_RISE = 30.0
"""A thermocouple that rises less [K] was not on a garment in a dryer, or was not plugged in."""

JUMP = 60.0
"""Change from one reading to the next, in kelvin a second, that no garment makes."""

HOTTEST = 320.0
"""°C; ink and garment burn before."""

LANES_APART = 30.0
"""Kelvin between lanes from which one of the wires is more likely to have come loose. Assumed."""

COARSEST = 3.0
"""Seconds between readings from which a bend and a peak are missed."""

SPEED_APART = 0.10
"""Share by which dial and curve may disagree on the belt. Assumed."""


def doubts_of(
    log: ProbeLog, entry: Edge | None, leaving: Edge | None, *, speed: Quantity | None, dialled_speed: float | None
) -> tuple[str, ...]:
    """Sentences; empty when nothing speaks against the log."""
    touching = log.on_garment
    found: list[str] = []
    if not touching:
        found.append("every thermocouple hung in the air, so nothing is known of the print")
    for channel in touching:
        found += _channel_doubts(channel)
    if touching and entry is None:
        found.append("the log does not show the entry: start it some seconds before the garment goes in")
    if touching and leaving is None:
        found.append("the log does not show the exit: let it run until the garment has cooled")
    peaks = {channel.name: channel.peak for channel in touching}
    if len(peaks) > 1 and max(peaks.values()) - min(peaks.values()) > LANES_APART:
        low, high = min(peaks, key=lambda name: peaks[name]), max(peaks, key=lambda name: peaks[name])
        found.append(
            f"{low!r} peaks {peaks[high] - peaks[low]:.0f} K below {high!r}; either the belt is that uneven or a wire "
            "came loose"
        )
    if speed is not None and dialled_speed is not None and abs(speed.value / dialled_speed - 1) > SPEED_APART:
        found.append(
            f"the belt was dialled to {to_metre_per_minute(dialled_speed):.2f} m/min, but the curve says "
            f"{to_metre_per_minute(speed.value):.2f} m/min"
        )
    return tuple(found)


def _channel_doubts(channel: ProbeChannel) -> list[str]:
    times, kelvin = np.array(channel.times), np.array(channel.temperatures)
    name = repr(channel.name)
    found: list[str] = []
    if kelvin.max() - kelvin[0] < LEAST_RISE:
        found.append(f"{name} rises by {kelvin.max() - kelvin[0]:.0f} K only; was it plugged in?")
        return found
    if to_celsius(float(kelvin.max())) > HOTTEST:
        found.append(f"{name} reads up to {to_celsius(float(kelvin.max())):.0f} °C, where garments burn")
    steps = np.abs(np.diff(kelvin)) / np.maximum(np.diff(times), 1.0)
    if steps.max() > JUMP:
        at = float(times[int(steps.argmax())])
        found.append(f"{name} jumps by {steps.max():.0f} K within a second at {at:.1f} s, which no garment does")
    middle = float(np.median(np.diff(times)))
    if middle > COARSEST:
        found.append(f"{name} was read every {middle:.0f} s only; peaks fall between readings")
    gap = float(np.diff(times).max())
    if gap > max(6.0, 6 * middle):
        found.append(f"{name} has a gap of {gap:.0f} s")
    return found
