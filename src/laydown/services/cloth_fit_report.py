"""How a fit went, as JSON: inputs before and after, readings beside the model, what pulls, what contradicts."""

from __future__ import annotations

import dataclasses
import math
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from laydown.domain.shop import Shop
from laydown.lab.evidence import SwatchRecord

if TYPE_CHECKING:
    from laydown.lab.bleed_fit import BleedFit

DAYS = (0.67, 1.0, 2.0, 4.0, 7.0, 14.0, 21.0, 30.0, 45.0, 60.0)
"""Days that the course of a swatch is told for."""

MOST = 3
"""Swatches whose course is told, the newest."""

JUDGED = 30.0
"""Day by which it is told how far a reading pulls."""


def report_document(shop: Shop, fit: BleedFit, records: tuple[SwatchRecord, ...]) -> dict[str, Any]:
    """JSON of a fit's report: that of `laydown.lab.bleed_fit_report`, and the course of each swatch in days.

    ``forecasts`` tell for each swatch how far a part that was held warm is from one kept at room temperature, and (with
    an empty part) how far the latter is from its own colour at the first of the days.
    """
    from laydown.lab.bleed_fit import forecast_swatch
    from laydown.lab.bleed_fit_report import report_fit

    used = {one.swatch.number for one in fit.evidence.swatches}
    told = [one for one in records if one.swatch.number in used][-MOST:]
    forecasts: list[dict[str, Any]] = []
    judged = None
    for record in told:
        room = forecast_swatch(shop, fit, record, DAYS, model_error=True, curve=True)
        if judged is None:
            judged = room[:, DAYS.index(JUDGED)]
        for part in warm_parts(record):
            warm = forecast_swatch(shop, fit, record, DAYS, part=part, model_error=True, curve=True)
            # The same dye through the same print: how far two halves are apart is how far apart their stains are.
            forecasts.append(_course(record, part, np.abs(warm - room)))
        forecasts.append(_course(record, "", np.abs(room - room[:, :1])))
    report = report_fit(fit, forecast=judged, day=JUDGED)
    document: dict[str, Any] = _plain(dataclasses.asdict(report))
    return document | {"forecasts": forecasts}


def warm_parts(record: SwatchRecord) -> tuple[str, ...]:
    """Parts of a swatch that its test holds warm, where another part is kept cool to compare them with."""
    steps = record.protocol.steps
    warm = dict.fromkeys(one.part for one in steps if one.part and one.temperature is not None and one.duration)
    return tuple(warm) if any(one.part and one.part not in warm for one in steps) else ()


def _course(record: SwatchRecord, part: str, values: NDArray[np.float64]) -> dict[str, Any]:
    low, middle, high = np.percentile(values, (10, 50, 90), axis=0)
    course = {"low": low.tolist(), "middle": middle.tolist(), "high": high.tolist()}
    return {"swatch": record.swatch.number, "part": part, "days": list(DAYS)} | course


def _plain(value: Any) -> Any:
    """Value in JSON types; numbers that are not finite become null."""
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, float | np.floating):
        return float(value) if math.isfinite(value) else None
    return value.item() if isinstance(value, np.generic) else value
