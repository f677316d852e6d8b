"""Temperature histories that are drawn by hand, for tests that need no heat model."""

from __future__ import annotations

import numpy as np

from laydown.models.heat import HeatRun
from laydown.models.sampling import SampleSet
from laydown.units import ZERO_CELSIUS


def ramp_hold_cool(
    samples: SampleSet, peak_c: float = 165.0, *, held: float = 20.0, ends_c: float = 60.0, cloth_hotter: float = 0.0
) -> HeatRun:
    """Build a passage of a minute: warm up in 20 s, hold, cool. The surface is 5 K above the interface, the back below.

    The bare or printed cloth may be some kelvin hotter than the interface.
    """
    times = np.linspace(0.0, 60.0, 121)
    curve = np.interp(times, [0, 20, 20 + held, 60], [30.0, peak_c, peak_c, ends_c]) + ZERO_CELSIUS
    every = np.broadcast_to(curve, (samples.size, times.size)).copy()
    return HeatRun(
        times=times,
        surface=every + 5,
        interface=every,
        back=every - 5,
        coolest=every,
        cloth_hottest=every + cloth_hotter,
        tunnel_end=20 + held,
    )
