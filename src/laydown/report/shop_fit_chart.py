"""What the shop measured of itself: its tone curve with its band, K and S of an ink over the wavelength."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from laydown.report.chart_style import BAND, Spec, draw, layer
from laydown.report.display_units import number

Rows = Sequence[Mapping[str, Any]]


def tone_chart(rows: Rows, read: Sequence[tuple[float, float]]) -> str:
    """Print tone over film tone, with the band that holds nine of ten curves and the patches that were read.

    Parameters
    ----------
    rows : sequence of mapping
        ``film``, ``print``, ``low``, ``high``, as shares of one.
    read : sequence of (float, float)
        Film tone and print tone of each patch.

    Returns
    -------
    str
        SVG.
    """
    scaled = [{key: 100 * row[key] for key in ("film", "print", "low", "high")} for row in rows]
    x = _axis("film", "tone on the film [%]", [0, 100])
    y = _axis("print", "tone on the print [%]", [0, 105])
    layers = [
        layer({"type": "area", "color": BAND}, scaled, x=x, y={**y, "field": "low"}, y2={"field": "high"}),
        layer({"type": "line", "strokeDash": [2, 2]}, [{"film": 0, "print": 0}, {"film": 100, "print": 100}], x=x, y=y),
        layer("line", scaled, x=x, y=y),
        layer(
            {"type": "point", "filled": True, "color": "#000000", "size": 22, "opacity": 1},
            [{"film": 100 * film, "print": 100 * printed} for film, printed in read],
            x=x,
            y=y,
        ),
    ]
    told = "; ".join(f"film {number(row['film'])} %, print {number(row['print'], 1)} %" for row in scaled)
    return draw(_plot(layers, 300, 200), slug="tone", title="Tone on the print over tone on the film", description=told)


def spectra_chart(rows: Rows) -> str:
    """K and S over the wavelength on a logarithmic scale, with the bands that hold nine of ten.

    Parameters
    ----------
    rows : sequence of mapping
        ``nm``, ``k_low``, ``k``, ``k_high``, ``s_low``, ``s``, ``s_high`` [1/m].

    Returns
    -------
    str
        SVG.
    """
    drawn = [
        {"nm": row["nm"], "name": name, "low": row[f"{key}_low"] / 1e3, "value": row[key] / 1e3}
        | {"high": row[f"{key}_high"] / 1e3}
        for key, name in (("k", "K"), ("s", "S"))
        for row in rows
    ]
    low, high = min(row["low"] for row in drawn), max(row["high"] for row in drawn)
    x = _axis("nm", "wavelength [nm]", [rows[0]["nm"], rows[-1]["nm"]])
    y: Spec = {
        "field": "value",
        "type": "quantitative",
        "scale": {"type": "log", "domain": [low / 1.3, high * 1.3], "nice": False},
        "axis": {"title": "K (dashed) and S [1/mm]", "tickCount": 5},
    }
    layers = []
    for name, dash in (("K", [4, 2]), ("S", [1, 0])):
        mine = [row for row in drawn if row["name"] == name]
        area = {"type": "area", "color": BAND, "opacity": 0.6}
        layers.append(layer(area, mine, x=x, y={**y, "field": "low"}, y2={"field": "high"}))
        layers.append(layer({"type": "line", "strokeDash": dash}, mine, x=x, y=y))
    told = "; ".join(
        f"{row['name']} at {row['nm']} nm {row['value']:.3g} ({row['low']:.3g} to {row['high']:.3g}) 1/mm"
        for row in drawn[::6]
    )
    return draw(_plot(layers, 420, 200), slug="spectra", title="K and S over the wavelength", description=told)


def _axis(field: str, title: str, domain: list[float]) -> Spec:
    return {
        "field": field,
        "type": "quantitative",
        "scale": {"domain": domain, "nice": False},
        "axis": {"title": title, "tickCount": 5},
    }


def _plot(layers: list[Spec], width: float, height: float) -> Spec:
    return {
        "width": width - 60,
        "height": height - 46,
        "padding": {"left": 44, "right": 14, "top": 6, "bottom": 38},
        "layer": layers,
    }
