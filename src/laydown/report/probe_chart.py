"""Curves of a probe that ran through a dryer: as they were read, and beside what a dryer foretells."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from laydown.domain.shop import Preferences
from laydown.report.chart_style import BAND, FAINT, FONT_SIZE, INK, Spec, draw, layer, names_at_end
from laydown.report.display_units import temperature, temperature_number, temperature_unit
from laydown.report.lettering import text_width

DASHES = ((1, 0), (5, 2), (1.5, 1.5), (7, 2, 1, 2), (3, 3), (9, 3))
_MOST_POINTS = 260
_BELOW, _LEFT, _ABOVE = 24.0, 34.0, 12.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeCurve:
    """Curve of one wire.

    Attributes
    ----------
    name : str
        Shown at its end.
    times, kelvins : sequence of float
        [s], [K].
    """

    name: str
    times: Sequence[float]
    kelvins: Sequence[float]


def probe_chart(
    curves: Sequence[ProbeCurve],
    prefs: Preferences,
    *,
    above: float,
    entry: float | None = None,
    leaving: float | None = None,
    width: float = 460.0,
    height: float = 190.0,
) -> str:
    """Draw the curves of a log.

    Parameters
    ----------
    curves : sequence of ProbeCurve
        One to six.
    prefs : Preferences
        °C or °F.
    above : float
        Temperature that times are counted from, drawn as a rule [K].
    entry, leaving : float or None
        When the garment passed the ends of the tunnel [s].
    width, height : float
        Size of the whole drawing [pt].

    Returns
    -------
    str
        SVG; curves differ by their dashes and are named at their ends.
    """
    shown = [(one.name, one.times, [temperature_number(k, prefs) for k in one.kelvins]) for one in curves]
    level = temperature_number(above, prefs)
    named = [
        *((f"{name}, peak {max(values):.0f}", values[-1]) for name, _, values in shown),
        (f"above {temperature(above, prefs)}", level),
    ]
    box = _Box([*(v for _, _, values in shown for v in values), level], height=height)
    right = max(text_width(name, FONT_SIZE) for name, _ in named) + 12
    end = max(times[-1] for _, times, _ in shown)
    x, y = _axes(end, box, temperature_unit(prefs))
    layers = [
        layer({"type": "rule", "strokeDash": [7, 2, 1, 2]}, [{"T": level}], y=y),
        *_edges(entry, leaving, x, y, box),
        *(
            layer({"type": "line", "strokeDash": list(dash)}, _rows(times, values), x=x, y=y)
            for (_, times, values), dash in zip(shown, DASHES, strict=False)
        ),
        *names_at_end(named, end, box.y, box.value, box.plot, x, y),
    ]
    peaks = ", ".join(f"{name} {max(values):.0f} {temperature_unit(prefs)}" for name, _, values in shown)
    return draw(
        _whole(layers, box, width=width, right=right),
        slug="probe",
        title="Temperatures that the probe read through the dryer",
        description=f"Peaks: {peaks}.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ForetoldCurve:
    """One wire, read and foretold; all of the same length [s], [K]."""

    name: str
    times: Sequence[float]
    read: Sequence[float]
    before: Sequence[float]
    after: Sequence[float]
    low: Sequence[float]
    high: Sequence[float]


def foretold_chart(
    curve: ForetoldCurve, prefs: Preferences, *, slug: str, width: float = 460.0, height: float = 170.0
) -> str:
    """Draw what a wire read over what the fitted dryer foretells, with its band, and what the shelf foretold.

    Parameters
    ----------
    curve : ForetoldCurve
    prefs : Preferences
    slug : str
        Start of all ids in the drawing.
    width, height : float
        Size of the whole drawing [pt].
    """
    read, before, after, low, high = (
        [temperature_number(k, prefs) for k in values]
        for values in (curve.read, curve.before, curve.after, curve.low, curve.high)
    )
    box = _Box([*read, *before, *low, *high], height=height)
    named = [("fitted", after[-1]), ("shelf before", before[-1])]
    right = max(text_width(name, FONT_SIZE) for name, _ in named) + 12
    end = curve.times[-1]
    x, y = _axes(end, box, temperature_unit(prefs), start=curve.times[0])
    bands = [{"t": t, "T": a, "T2": b} for t, a, b in zip(curve.times, low, high, strict=True)]
    layers = [
        layer({"type": "area", "color": BAND}, bands, x=x, y=y, y2={"field": "T2"}),
        layer({"type": "line", "strokeDash": [4, 2], "color": FAINT}, _rows(curve.times, before), x=x, y=y),
        layer({"type": "line", "strokeWidth": 0.8}, _rows(curve.times, after), x=x, y=y),
        layer({"type": "point", "size": 5, "filled": True, "color": INK}, _rows(curve.times, read), x=x, y=y),
        *names_at_end(named, end, box.y, box.value, box.plot, x, y),
    ]
    most = max(abs(a - b) for a, b in zip(read, after, strict=True))
    return draw(
        _whole(layers, box, width=width, right=right),
        slug=slug,
        title=f"{curve.name}: read and foretold",
        description=f"Readings differ from the fitted dryer by up to {most:.1f} {temperature_unit(prefs)}.",
    )


def residual_chart(
    curves: Sequence[tuple[str, Sequence[float], Sequence[float]]],
    prefs: Preferences,
    *,
    slug: str,
    width: float = 460.0,
    height: float = 110.0,
) -> str:
    """Draw what was read less what the fitted dryer foretells.

    Parameters
    ----------
    curves : sequence of (str, sequence, sequence)
        Name of a wire, times [s] and differences [K].
    """
    factor = 1.8 if prefs.temperature == "F" else 1.0
    shown = [(name, times, [factor * k for k in values]) for name, times, values in curves]
    most = max(1.0, *(abs(v) for _, _, values in shown for v in values))
    box = _Box([-most, most], height=height, step=1.0)
    named = [(name, values[-1]) for name, _, values in shown]
    right = max(text_width(name, FONT_SIZE) for name, _ in named) + 12
    end = max(times[-1] for _, times, _ in shown)
    x, y = _axes(end, box, temperature_unit(prefs), start=min(times[0] for _, times, _ in shown))
    layers = [
        layer({"type": "rule", "color": FAINT}, [{"T": 0.0}], y=y),
        *(
            layer({"type": "line", "strokeWidth": 0.8, "strokeDash": list(dash)}, _rows(times, values), x=x, y=y)
            for (_, times, values), dash in zip(shown, DASHES, strict=False)
        ),
        *names_at_end(named, end, box.y, box.value, box.plot, x, y),
    ]
    return draw(
        _whole(layers, box, width=width, right=right),
        slug=slug,
        title="Read less foretold",
        description=f"Differences reach {most:.1f} {temperature_unit(prefs)}.",
    )


class _Box:
    """Turns values into heights on paper and back."""

    def __init__(self, values: Sequence[float], *, height: float, step: float = 10.0) -> None:
        self.plot = height - _BELOW - _ABOVE
        self.low = step * math.floor(min(values) / step)
        self.high = step * math.ceil(max(values) / step)

    def y(self, value: float) -> float:
        return self.plot * (self.high - value) / (self.high - self.low)

    def value(self, y: float) -> float:
        return self.high - y / self.plot * (self.high - self.low)


def _axes(end: float, box: _Box, unit: str, *, start: float = 0.0) -> tuple[Spec, Spec]:
    x: Spec = {
        "field": "t",
        "type": "quantitative",
        "scale": {"domain": [start, max(end, start + 1e-6)], "nice": False},
        "axis": {"title": "seconds from the start", "grid": False, "tickCount": 8},
    }
    y: Spec = {
        "field": "T",
        "type": "quantitative",
        "scale": {"domain": [box.low, box.high], "nice": False},
        "axis": {"title": None, "grid": False, "tickCount": 5, "labelExpr": f"datum.label + ' {unit}'"},
    }
    return x, y


def _whole(layers: list[Spec], box: _Box, *, width: float, right: float) -> Spec:
    return {
        "width": width - _LEFT - right,
        "height": box.plot,
        "padding": {"left": _LEFT, "right": right, "top": _ABOVE, "bottom": _BELOW},
        "layer": layers,
    }


def _edges(entry: float | None, leaving: float | None, x: Spec, y: Spec, box: _Box) -> list[Spec]:
    """Vertical rules at the ends of the tunnel, named above the plot."""
    made: list[Spec] = []
    for name, moment in (("in", entry), ("out", leaving)):
        if moment is not None:
            row = [{"t": moment, "T": box.high}]
            made += [
                layer({"type": "rule", "color": FAINT, "strokeWidth": 0.6}, row, x=x),
                layer({"type": "text", "dy": -5, "color": INK}, row, x=x, y=y, text={"value": name}),
            ]
    return made


def _rows(times: Sequence[float], values: Sequence[float]) -> list[Spec]:
    """Points of a curve, no more than can be seen; the highest one always stays."""
    stride = max(1, math.ceil(len(times) / _MOST_POINTS))
    kept = sorted({*range(0, len(times), stride), len(times) - 1, max(range(len(values)), key=lambda i: values[i])})
    return [{"t": round(float(times[n]), 3), "T": round(float(values[n]), 3)} for n in kept]
