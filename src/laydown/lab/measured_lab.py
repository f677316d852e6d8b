"""The colour of a measurement in the terms that the model predicts it in."""

from __future__ import annotations

import numpy as np

from laydown.domain.measurement import ColourMeasurement
from laydown.models.colour import lab_of

BANDS_NM = np.arange(380.0, 731.0, 10.0)

CONDITIONS = ("D65/10", "D65/2", "D50/2", "A/10")
"""Illuminants and observers that a colour can be predicted for."""


def measured_lab(measured: ColourMeasurement, condition: str) -> tuple[tuple[float, float, float], str, str]:
    """CIELAB of a measurement, illuminant and observer it holds for, and why it cannot be used (empty: it can).

    Parameters
    ----------
    measured : ColourMeasurement
        A spectrum is weighed for ``condition``; between its bands it is taken as linear, beyond them as constant.
        L*, a*, b* alone are left in their own condition, as the model predicts in any of `CONDITIONS`; without one
        they are taken as read under ``condition``.
    condition : str
        Illuminant and observer of the shop.
    """
    spectrum = measured.spectrum
    if spectrum is not None:
        at = spectrum.start_nm + spectrum.step_nm * np.arange(len(spectrum.values))
        if at[0] > 420 or at[-1] < 680:
            why = f"its spectrum runs from {at[0]:g} to {at[-1]:g} nm; 420 to 680 nm are needed at least"
            return (0.0, 0.0, 0.0), condition, why
        lab = lab_of(np.maximum(np.interp(BANDS_NM, at, spectrum.values), 0.0), condition)
        return (float(lab[0]), float(lab[1]), float(lab[2])), condition, ""
    assert measured.lab is not None  # a measurement has one of both
    own = measured.conditions.condition or condition
    if own not in CONDITIONS:
        why = f"L*, a*, b* under {own} cannot be predicted; possible are {', '.join(CONDITIONS)}, or a spectrum"
        return measured.lab, own, why
    return measured.lab, own, ""
