"""How charts look, and the one place where they are drawn: Vega-Lite in, SVG out."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Any

from laydown.data.typefaces import font_folder
from laydown.report.lettering import FAMILY
from laydown.report.spread_labels import spread_labels
from laydown.report.svg_text import described

Spec = dict[str, Any]
"""A Vega-Lite specification, or a part of one."""

VEGA_LITE = "5.21"
INK = "#000000"
FAINT = "#8c8c8c"
BAND = "#d4d4d4"
FONT_SIZE = 7.0

_CONFIG: Spec = {
    "background": None,
    "font": FAMILY,
    "padding": 0,
    "view": {"stroke": None},
    "axis": {
        "domainColor": INK,
        "domainWidth": 0.6,
        "tickColor": INK,
        "tickSize": 3,
        "tickWidth": 0.6,
        "gridColor": "#dcdcdc",
        "gridWidth": 0.4,
        "labelColor": INK,
        "labelFontSize": FONT_SIZE,
        "labelPadding": 2,
        "titleColor": INK,
        "titleFontSize": FONT_SIZE,
        "titleFontWeight": "normal",
        "titlePadding": 4,
    },
    "text": {"fontSize": FONT_SIZE, "color": INK},
    "line": {"color": INK, "strokeWidth": 1.1, "strokeCap": "butt"},
    "rule": {"color": INK, "strokeWidth": 0.7},
}


@lru_cache(maxsize=1)
def _learn_fonts() -> None:
    import vl_convert

    vl_convert.register_font_directory(str(font_folder()))


def draw(spec: Spec, *, slug: str, title: str, description: str) -> str:
    """Draw a chart.

    Parameters
    ----------
    spec : dict
        Vega-Lite specification with its data inside; it may reach for nothing outside.
    slug, title, description : str
        Start of all ids in the drawing, and the text alternative.

    Returns
    -------
    str
        SVG, the same text for the same chart.
    """
    import vl_convert

    _learn_fonts()
    svg = vl_convert.vegalite_to_svg(
        {"config": _CONFIG, "autosize": {"type": "none"}} | spec, vl_version=VEGA_LITE, allowed_base_urls=[]
    )
    return described(svg, slug, title, description)


def layer(mark: Spec | str, rows: list[Spec], **encoding: Spec) -> Spec:
    """One layer of a chart with its own rows."""
    return {"data": {"values": rows}, "mark": mark, "encoding": encoding}


def names_at_end(
    named: list[tuple[str, float]],
    end: float,
    to_paper: Callable[[float], float],
    from_paper: Callable[[float], float],
    plot: float,
    x: Spec,
    y: Spec,
) -> list[Spec]:
    """Layers that name curves at their right end, spread so that no name touches another.

    Parameters
    ----------
    named : list of (str, float)
        Name of each curve and its last value.
    end : float
        Last value on the x axis.
    to_paper, from_paper : callable
        From a value of the y axis to points below the top of the plot, and back.
    plot : float
        Height of the plot [pt].
    x, y : dict
        The chart's encodings.
    """
    order = sorted(named, key=lambda pair: to_paper(pair[1]))
    places = spread_labels([to_paper(value) for _, value in order], [FONT_SIZE + 2] * len(order), -4, plot + 4)
    across, up = x["field"], y["field"]
    layers = []
    for (name, value), place in zip(order, places, strict=True):
        row = [{across: end, "far": end, up: value, "to": from_paper(place)}]
        layers += [
            layer(
                {"type": "rule", "color": FAINT, "strokeWidth": 0.5, "xOffset": 1, "x2Offset": 8},
                row,
                x=x,
                x2={"field": "far"},
                y=y,
                y2={"field": "to"},
            ),
            layer({"type": "text", "align": "left", "dx": 10}, row, x=x, y={**y, "field": "to"}, text={"value": name}),
        ]
    return layers
