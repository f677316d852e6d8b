"""Forecast risks against what happened: promised on one axis, seen on the other."""

from __future__ import annotations

from laydown.domain.reliability import Reliability
from laydown.report.chart_style import FAINT, FONT_SIZE, Spec, draw, layer

_BELOW, _LEFT, _ABOVE, _RIGHT = 26.0, 34.0, 14.0, 8.0

LEAST_SHOWN = 0.2
"""The axes reach at least so far."""

TICKS = (0.0, 0.01, 0.05, 0.1, 0.2, 0.3, 0.5, 0.75, 1.0)


def reliability_chart(found: Reliability, *, width: float = 230.0, height: float = 190.0) -> str:
    """Draw the bins of a comparison.

    Parameters
    ----------
    found : Reliability
        Without bins only the axes and the diagonal are drawn.
    width, height : float
        Size of the whole drawing [pt].

    Returns
    -------
    str
        SVG. Each dot is a bin: its mean forecast risk across, the share that missed upwards, the exact 90 % interval as
        a bar, and its number of orders on top. On the diagonal what was promised is what came. Both axes are square
        roots, as most risks are small.
    """
    most = max([LEAST_SHOWN, *(one.expected for one in found.bins), *(one.interval[1] for one in found.bins)])
    end = min(1.0, most + 0.02)
    scale = {"type": "sqrt", "domain": [0, round(end, 6)], "nice": False}
    axis = {"grid": False, "format": ".0%", "values": [at for at in TICKS if at <= end], "labelOverlap": False}
    x: Spec = {
        "field": "expected",
        "type": "quantitative",
        "scale": scale,
        "axis": axis | {"title": "forecast risk"},
    }
    y: Spec = {
        "field": "observed",
        "type": "quantitative",
        "scale": scale,
        "axis": axis | {"title": "orders that missed"},
    }
    rows = [
        {
            "expected": one.expected,
            "observed": one.observed,
            "low": one.interval[0],
            "high": min(one.interval[1], end),
            "orders": str(one.orders),
        }
        for one in found.bins
    ]
    diagonal = [{"expected": 0.0, "observed": 0.0}, {"expected": end, "observed": end}]
    layers = [
        layer({"type": "line", "color": FAINT, "strokeWidth": 0.6, "strokeDash": [2, 2]}, diagonal, x=x, y=y),
        layer({"type": "rule", "strokeWidth": 0.8}, rows, x=x, y={**y, "field": "low"}, y2={"field": "high"}),
        layer({"type": "point", "filled": True, "color": "#000000", "opacity": 1, "size": 18}, rows, x=x, y=y),
        layer(
            {"type": "text", "align": "center", "dy": -6, "fontSize": FONT_SIZE},
            rows,
            x=x,
            y={**y, "field": "high"},
            text={"field": "orders", "type": "nominal"},
        ),
    ]
    spec: Spec = {
        "width": width - _LEFT - _RIGHT,
        "height": height - _BELOW - _ABOVE,
        "padding": {"left": _LEFT, "right": _RIGHT, "top": _ABOVE, "bottom": _BELOW},
        "layer": layers,
    }
    return draw(
        spec,
        slug="reliability",
        title=f"Forecast risk and outcome: {found.requirement.value}",
        description=" ".join(found.words),
    )
