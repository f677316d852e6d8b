"""Temperatures of a print from the press to the end of the dryer, against what the ink needs and the cloth bears."""

from __future__ import annotations

import math

from laydown.domain.forecast import CureForecast, TemperatureHistory
from laydown.domain.shop import Preferences
from laydown.report.chart_style import FONT_SIZE, Spec, draw, layer, names_at_end
from laydown.report.display_units import temperature, temperature_number, temperature_unit
from laydown.report.lettering import text_width

_MOST_POINTS = 240
_BELOW, _LEFT, _ABOVE = 24.0, 34.0, 5.0
_DASHES = ((1, 0), (5, 2), (1.5, 1.5))


def temperature_chart(
    heat: TemperatureHistory, cure: CureForecast, prefs: Preferences, *, width: float = 330.0, height: float = 120.0
) -> str:
    """Draw the temperatures of film surface, film-cloth interface and cloth back over time.

    Parameters
    ----------
    heat : TemperatureHistory
    cure : CureForecast
        Its needed temperature and cloth limit are drawn as rules.
    prefs : Preferences
        °C or °F.
    width, height : float
        Size of the whole drawing [pt].

    Returns
    -------
    str
        SVG. Curves and rules differ by their dashes and are named at their ends, so nothing rests on colour.
    """
    unit = temperature_unit(prefs)
    curves = tuple(
        (name, tuple(temperature_number(k, prefs) for k in kelvins))
        for name, kelvins in (
            ("film surface", heat.film_surface),
            ("film on cloth", heat.interface),
            ("back of cloth", heat.cloth_back),
        )
    )
    rules = tuple(
        (f"{words} {temperature(kelvin, prefs)}", temperature_number(kelvin, prefs))
        for words, kelvin in (("ink fuses at", cure.needed_temperature), ("cloth bears", cure.cloth_limit))
    )
    every = [value for _, values in curves for value in values] + [value for _, value in rules]
    plot = height - _BELOW - _ABOVE
    low, high = _domain(min(every), max(every))
    named = [
        *((f"{name}, peak {max(values):.0f}", values[-1]) for name, values in curves),
        *rules,
    ]
    right = max(text_width(name, FONT_SIZE) for name, _ in named) + 12
    box = _Box(plot=plot, low=low, high=high)
    end = max(heat.times[-1], 1e-9)
    x: Spec = {
        "field": "t",
        "type": "quantitative",
        "scale": {"domain": [0, end], "nice": False},
        "axis": {"title": "seconds from the start", "grid": False, "tickCount": 8},
    }
    y: Spec = {
        "field": "T",
        "type": "quantitative",
        "scale": {"domain": [low, high], "nice": False},
        "axis": {"title": None, "grid": False, "tickCount": 5, "labelExpr": f"datum.label + ' {unit}'"},
    }
    layers = [
        *_rules(rules, y),
        *(
            layer({"type": "line", "strokeDash": list(dash)}, _thinned(heat.times, values), x=x, y=y)
            for (_, values), dash in zip(curves, _DASHES, strict=True)
        ),
        *names_at_end(named, end, box.y, box.value, box.plot, x, y),
    ]
    spec: Spec = {
        "width": width - _LEFT - right,
        "height": plot,
        "padding": {"left": _LEFT, "right": right, "top": _ABOVE, "bottom": _BELOW},
        "layer": layers,
    }
    return draw(
        spec,
        slug="heat",
        title="Temperatures on the press and through the dryer",
        description=_description(curves, cure, prefs),
    )


class _Box:
    """Turns temperatures into heights on paper and back."""

    def __init__(self, plot: float, low: float, high: float) -> None:
        self.plot, self.low, self.high = plot, low, high

    def y(self, value: float) -> float:
        return self.plot * (self.high - value) / (self.high - self.low)

    def value(self, y: float) -> float:
        return self.high - y / self.plot * (self.high - self.low)


def _description(curves: tuple[tuple[str, tuple[float, ...]], ...], cure: CureForecast, prefs: Preferences) -> str:
    unit = temperature_unit(prefs)
    peaks = ", ".join(f"{name} {max(values):.0f} {unit}" for name, values in curves)
    return (
        f"Highest temperatures: {peaks}. The ink fuses at {temperature(cure.needed_temperature, prefs)}; "
        f"the cloth bears {temperature(cure.cloth_limit, prefs)} ({cure.cloth_limit_reason})."
    )


def _domain(low: float, high: float) -> tuple[float, float]:
    """Round ends of the axis."""
    step = 10.0
    return step * math.floor(low / step), step * math.ceil(high / step)


def _thinned(times: tuple[float, ...], values: tuple[float, ...]) -> list[Spec]:
    """Points of a curve, no more than can be seen; the highest one always stays."""
    stride = max(1, math.ceil(len(times) / _MOST_POINTS))
    kept = sorted({*range(0, len(times), stride), len(times) - 1, values.index(max(values))})
    return [{"t": round(times[n], 3), "T": round(values[n], 3)} for n in kept]


def _rules(rules: tuple[tuple[str, float], ...], y: Spec) -> list[Spec]:
    """Horizontal rules; they are named at their ends like the curves, where no curve can cross the words."""
    rule: Spec = {"type": "rule", "strokeDash": [7, 2, 1, 2]}
    return [layer(rule, [{"T": value}], y=y) for _, value in rules]
