"""Readings of every kind that the records allow."""

import datetime as dt

import numpy as np
from hypothesis import strategies as st

from laydown.domain.measurement import Backing, ColourMeasurement, Conditions, Geometry, MeasurementMode, Spectrum

# Letters and marks that files part cells by; a name has no blank at its ends.
NAMES = st.text(st.sampled_from("abcXYZ 0189-_/;,|'\"äé°#€"), min_size=1, max_size=20).map(
    lambda text: " ".join(("n" + text + "e").split())
)
MOMENTS = st.none() | st.datetimes(
    min_value=dt.datetime(2000, 1, 1),  # noqa: DTZ001 - the zone comes from the strategy
    max_value=dt.datetime(2099, 1, 1),  # noqa: DTZ001
    timezones=st.sampled_from([dt.UTC, dt.timezone(dt.timedelta(hours=5, minutes=30))]),
).map(lambda moment: moment.replace(microsecond=0))
GRIDS = st.sampled_from([(380, 10, 36), (400, 10, 31), (360, 20, 22), (400, 5, 61)])
CONDITIONS = st.builds(
    Conditions,
    illuminant=st.sampled_from(["", "D65", "D50", "A", "F11", "C"]),
    observer=st.sampled_from(["", "2", "10"]),
    mode=st.sampled_from(MeasurementMode),
    geometry=st.sampled_from(Geometry),
    backing=st.sampled_from(Backing),
)


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    return st.integers(round(low * 1000), round(high * 1000)).map(lambda whole: whole / 1000)


@st.composite
def spectra(draw, grid):
    start, step, count = grid
    # By a seed: thousands of numbers drawn one by one take seconds. One band is high enough to show that
    # reflectance is a share of one.
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    values = [round(float(value), 3) for value in rng.uniform(0, 1, count) * draw(st.sampled_from([0.05, 0.5, 1.0]))]
    values[int(rng.integers(count))] = 0.999
    return Spectrum(start_nm=float(start), step_nm=float(step), values=tuple(values))


@st.composite
def readings(draw, *, colour=None, spectral=None, most=4):
    """Readings that share wavelengths and forms, as those of one table do."""
    grid = draw(GRIDS)
    spectral = draw(st.booleans()) if spectral is None else spectral
    colour = (draw(st.booleans()) or not spectral) if colour is None else colour
    found = []
    for _ in range(draw(st.integers(1, most))):
        spectrum = draw(spectra(grid)) if spectral else None
        lab = (draw(numbers(0, 100)), draw(numbers(-128, 127)), draw(numbers(-128, 127))) if colour else None
        if spectrum and lab:
            lab = (lightness_of(spectrum), *lab[1:])
        found.append(
            ColourMeasurement(
                name=draw(NAMES), lab=lab, spectrum=spectrum, conditions=draw(CONDITIONS), taken_at=draw(MOMENTS)
            )
        )
    return found


def lightness_of(spectrum: Spectrum) -> float:
    """L* near enough to a spectrum's own that it may stand beside it."""
    from laydown.models.measured_colour import lab_under

    return round(lab_under(ColourMeasurement(name="x", spectrum=spectrum), "D65/10").lab[0], 3)
