"""The calibration figure of the study: how often the truth lay below each level of the forecasts."""

from __future__ import annotations

from collections.abc import Sequence

from tools.lab.virtual_cloths.one_cloth import DAYS, LEVELS, Outcome
from tools.lab.virtual_cloths.scores import shares_below

from laydown.lab.proportion import exact_interval
from laydown.report.chart_style import BAND, FONT_SIZE, Spec, draw, layer

SIDE, GAP, LEFT, BELOW, ABOVE, RIGHT = 130.0, 26.0, 34.0, 28.0, 14.0, 6.0

PANELS = (("prior", "order, before the test"), ("order", "order, after the test"), ("swatch", "the swatch itself"))


def calibration_figure(outcomes: Sequence[Outcome], day: int = 0) -> str:
    """Draw a panel a forecast, as SVG; the grey field is where 90 % of well calibrated studies of this size lie."""
    axis = {"values": [0, 0.25, 0.5, 0.75, 1], "format": ".2", "grid": False}
    x: Spec = {"field": "level", "type": "quantitative", "scale": {"domain": [0, 1], "nice": False}}
    y: Spec = {"field": "share", "type": "quantitative", "scale": {"domain": [0, 1], "nice": False}}
    n = len(outcomes)
    chance = [
        {"level": level, "low": exact_interval(round(level * n), n)[0], "high": exact_interval(round(level * n), n)[1]}
        for level in [0.0, *LEVELS.tolist(), 1.0]
    ]
    panels = []
    for i, (which, words) in enumerate(PANELS):
        shares = shares_below(outcomes, which, day)
        rows = [{"level": float(a), "share": float(b)} for a, b in zip(LEVELS, shares, strict=True)]
        title = {"x": "forecast says: so likely below", "y": "truth lay below so often"}
        xa, ya = (
            {**x, "axis": axis | {"title": title["x"]}},
            {**y, "axis": axis | {"title": title["y"] if i == 0 else None}},
        )
        panels.append(
            {
                "width": SIDE,
                "height": SIDE,
                "layer": [
                    layer(
                        {"type": "area", "color": BAND}, chance, x=xa, y={**ya, "field": "low"}, y2={"field": "high"}
                    ),
                    layer(
                        {"type": "line", "strokeWidth": 0.5, "strokeDash": [2, 2]},
                        [{"level": 0.0, "share": 0.0}, {"level": 1.0, "share": 1.0}],
                        x=xa,
                        y=ya,
                    ),
                    layer({"type": "line", "point": {"color": "#000000", "size": 8}}, rows, x=xa, y=ya),
                    layer(
                        {"type": "text", "align": "left", "x": 2, "y": -6, "fontSize": FONT_SIZE},
                        [{}],
                        text={"value": words},
                    ),
                ],
            }
        )
    spec: Spec = {
        "hconcat": panels,
        "spacing": GAP,
        "autosize": {"type": "pad"},
        "padding": {"left": 2, "right": RIGHT, "top": ABOVE, "bottom": 2},
    }
    return draw(
        spec,
        slug="virtual-cloths",
        title=f"Calibration of the forecasts for day {DAYS[day]:g}",
        description="For each level of the forecasts, how often the truth of a virtual cloth lay below it: "
        "before the test, after it, and for the swatch itself. On the diagonal the forecasts are calibrated.",
    )
