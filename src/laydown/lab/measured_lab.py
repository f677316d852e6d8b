"""The colour of a measurement in the terms that the model predicts it in."""

from __future__ import annotations

from laydown.data.colorimetric import CONDITIONS
from laydown.domain.measurement import ColourMeasurement
from laydown.errors import InvalidInput
from laydown.models.measured_colour import lab_under


def measured_lab(measured: ColourMeasurement, condition: str) -> tuple[tuple[float, float, float], str, str]:
    """CIELAB of a measurement, illuminant and observer it holds for, and why it cannot be used (empty: it can).

    Parameters
    ----------
    measured : ColourMeasurement
        A spectrum is weighed for ``condition``. L*, a*, b* alone are left in their own illuminant and observer, as the
        model predicts under any that there are weights of; without one they are taken as read under ``condition``.
    condition : str
        Illuminant and observer of the shop.
    """
    if measured.spectrum is not None:
        try:
            return lab_under(measured, condition).lab, condition, ""
        except InvalidInput as error:
            return (0.0, 0.0, 0.0), condition, error.what
    assert measured.lab is not None  # a measurement has one of both
    own = measured.conditions.condition or condition
    known = [name for name, _ in CONDITIONS]
    if own not in known:
        why = f"L*, a*, b* under {own} cannot be predicted; possible are {', '.join(known)}, or a spectrum"
        return measured.lab, own, why
    return measured.lab, own, ""
