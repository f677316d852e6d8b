"""Colour difference of a swatch over time: what was read as marks, what was forecast as a band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from laydown.report.chart_style import BAND, Spec, draw, layer
from laydown.report.display_units import number

SHAPES = ("circle", "square", "triangle-up", "diamond", "cross")
SHAPE_WORDS = ("filled circle", "open square", "open triangle", "open diamond", "open cross")


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A difference that was read: ``series`` says of which part, against what."""

    series: str
    days: float
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A forecast over days: median, and the ends of the middle eight of ten."""

    name: str
    days: tuple[float, ...]
    low: tuple[float, ...]
    middle: tuple[float, ...]
    high: tuple[float, ...]


def swatch_chart(marks: Sequence[Mark], bands: Sequence[Band], *, width: float = 420.0, height: float = 190.0) -> str:
    """Draw readings against a forecast.

    Parameters
    ----------
    marks : sequence of Mark
        At least one.
    bands : sequence of Band
        Up to two are drawn behind the marks, the second dashed.
    width, height : float
        Size of the whole drawing [pt].

    Returns
    -------
    str
        SVG. Days stand on a square-root scale, on which spreading dye is close to a straight line.
    """
    last = max([mark.days for mark in marks] + [band.days[-1] for band in bands if band.days] + [1.0])
    top = max([mark.value for mark in marks] + [high for band in bands for high in band.high] + [1.0])
    x: Spec = {
        "field": "days",
        "type": "quantitative",
        "scale": {"type": "sqrt", "domain": [0, last * 1.02], "nice": False},
        "axis": {"title": "days after the dryer", "grid": False, "tickCount": 7},
    }
    y: Spec = {
        "field": "value",
        "type": "quantitative",
        "scale": {"domain": [0, top * 1.08], "nice": False},
        "axis": {"title": "colour difference, CIEDE2000", "tickCount": 5},
    }
    layers = []
    for place, band in enumerate(bands[:2]):
        rows = [
            {"days": day, "low": low, "value": middle, "high": high}
            for day, low, middle, high in zip(band.days, band.low, band.middle, band.high, strict=True)
        ]
        area = {"type": "area", "color": BAND, "opacity": 0.6}
        layers.append(layer(area, rows, x=x, y={**y, "field": "low"}, y2={"field": "high"}))
        layers.append(layer({"type": "line", "strokeDash": [3, 2] if place else [1, 0]}, rows, x=x, y=y))
    names = list(dict.fromkeys(mark.series for mark in marks))
    for place, name in enumerate(names):
        rows = [{"days": mark.days, "value": mark.value} for mark in marks if mark.series == name]
        shape = SHAPES[place % len(SHAPES)]
        point = {"type": "point", "shape": shape, "filled": place == 0, "color": "#000000", "size": 34, "opacity": 1}
        layers.append(layer(point, rows, x=x, y=y))
    spec: Spec = {
        "width": width - 60,
        "height": height - 46,
        "padding": {"left": 42, "right": 14, "top": 6, "bottom": 38},
        "layer": layers,
    }
    told = "; ".join(f"{mark.series}, day {mark.days:.3g}: {number(mark.value, 2)}" for mark in marks)
    beside = "".join(f" Band: {band.name}." for band in bands[:2])
    return draw(spec, slug="swatch", title="Colour difference over time", description=f"{told}.{beside}")


def legend(marks: Sequence[Mark]) -> tuple[tuple[str, str], ...]:
    """Shape and words of each series, in the order of the drawing."""
    names = list(dict.fromkeys(mark.series for mark in marks))
    return tuple((SHAPE_WORDS[place % len(SHAPES)], name) for place, name in enumerate(names))
