"""Daily checks over time, against their limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from laydown.report.chart_style import BAND, FAINT, FONT_SIZE, INK, Spec, draw, layer, names_at_end
from laydown.report.lettering import text_width

_BELOW, _ABOVE = 24.0, 6.0
_MOST_LABELS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckSeries:
    """Checks as they are drawn, in the unit of whoever reads.

    Attributes
    ----------
    values : sequence of float
    days : sequence of str
        Day of each, as it is written on the axis.
    bad : frozenset of int
        Places of checks at which something was out of control.
    limits : (float, float, float) or None
        Lower limit, centre, upper limit.
    means, mean_low, mean_high : sequence of float
        Weighted mean with its limits; empty without limits.
    """

    values: Sequence[float]
    days: Sequence[str]
    bad: frozenset[int]
    limits: tuple[float, float, float] | None
    means: Sequence[float] = ()
    mean_low: Sequence[float] = ()
    mean_high: Sequence[float] = ()


def check_chart(
    series: CheckSeries, *, slug: str, title: str, unit: str, verdict: str, width: float = 460.0, height: float = 150.0
) -> str:
    """Draw individuals with their limits, and the weighted mean in its band.

    Parameters
    ----------
    series : CheckSeries
        At least one check.
    slug : str
        Start of all ids in the drawing.
    title, unit, verdict : str
        What is checked, its unit, and how it stands: the text alternative.
    width, height : float
        Size of the whole drawing [pt].

    Returns
    -------
    str
        SVG. Checks out of control are squares, the others dots, so nothing rests on colour.
    """
    low, high = _domain(series)
    plot = height - _BELOW - _ABOVE

    def to_paper(value: float) -> float:
        return plot * (high - value) / (high - low)

    def from_paper(place: float) -> float:
        return high - place / plot * (high - low)

    named = list(zip(("lower limit", "mean", "upper limit"), series.limits, strict=True)) if series.limits else []
    if series.means:
        named.append(("weighted mean", series.means[-1]))
    left = max(text_width(f"{value:.2f} {unit}", FONT_SIZE) for value in (low, high)) + 8
    right = max((text_width(name, FONT_SIZE) for name, _ in named), default=0.0) + 12
    count = len(series.values)
    x: Spec = {
        "field": "n",
        "type": "quantitative",
        "scale": {"domain": [0.5, max(count, 8) + 0.5], "nice": False},
        "axis": {
            "title": None,
            "grid": False,
            "values": _labelled(count),
            "labelExpr": f"{['', *series.days]!r}[datum.value]",
        },
    }
    y: Spec = {
        "field": "v",
        "type": "quantitative",
        "scale": {"domain": [low, high], "nice": False},
        "axis": {"title": None, "grid": False, "tickCount": 5, "labelExpr": f"datum.label + ' {unit}'"},
    }
    rows = [{"n": n, "v": round(value, 4)} for n, value in enumerate(series.values, start=1)]
    good = [row for i, row in enumerate(rows) if i not in series.bad]
    bad = [row for i, row in enumerate(rows) if i in series.bad]
    layers: list[Spec] = []
    if series.means:
        band = [
            {"n": n, "v": a, "v2": b}
            for n, (a, b) in enumerate(zip(series.mean_low, series.mean_high, strict=True), start=1)
        ]
        layers.append(layer({"type": "area", "color": BAND}, band, x=x, y=y, y2={"field": "v2"}))
    if series.limits:
        dashes = ((7, 2, 1, 2), (1, 0), (7, 2, 1, 2))
        layers += [
            layer({"type": "rule", "strokeDash": list(dash), "color": INK}, [{"v": value}], y=y)
            for value, dash in zip(series.limits, dashes, strict=True)
        ]
    layers.append(layer({"type": "line", "strokeWidth": 0.7, "color": FAINT}, rows, x=x, y=y))
    if series.means:
        means = [{"n": n, "v": round(value, 4)} for n, value in enumerate(series.means, start=1)]
        layers.append(layer({"type": "line", "strokeDash": [3, 2]}, means, x=x, y=y))
    layers += [
        layer({"type": "point", "shape": "circle", "filled": True, "size": 18, "color": INK}, good, x=x, y=y),
        layer({"type": "point", "shape": "square", "filled": True, "size": 46, "color": INK}, bad, x=x, y=y),
    ]
    if named:
        layers += names_at_end(named, max(count, 8) + 0.5, to_paper, from_paper, plot, x, y)
    spec: Spec = {
        "width": width - left - right,
        "height": plot,
        "padding": {"left": left, "right": right, "top": _ABOVE, "bottom": _BELOW},
        "layer": layers,
    }
    return draw(spec, slug=slug, title=title, description=f"{count} checks; {verdict}.")


def _domain(series: CheckSeries) -> tuple[float, float]:
    every = [*series.values, *(series.limits or ()), *series.mean_low, *series.mean_high]
    low, high = min(every), max(every)
    room = 0.06 * (high - low) or max(abs(high) * 0.01, 0.01)
    return low - room, high + room


def _labelled(count: int) -> list[int]:
    """Places whose day is written, so that no two touch."""
    stride = max(1, -(-count // _MOST_LABELS))
    return list(range(1, count + 1, stride))
