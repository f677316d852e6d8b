"""The stack in cross-section: cloth, every film at its real thickness, names at the side."""

from __future__ import annotations

from laydown.domain.forecast import Forecast
from laydown.domain.garment import Garment
from laydown.domain.stack import Stack
from laydown.report.cross_section_labels import labelled, section_labels
from laydown.report.cross_section_layers import Layer, Section, build_section
from laydown.report.display_units import micron
from laydown.report.hatches import hatch
from laydown.report.lettering import text_width
from laydown.report.svg_text import figure, line_through, text_at
from laydown.report.swatch_colour import srgb_of

_BARS_UM = (5, 10, 20, 50, 100, 200, 500)


def cross_section(
    stack: Stack, forecast: Forecast, garment: Garment, *, width: float = 204.0, height: float = 150.0
) -> str:
    """Draw a stack to scale.

    Parameters
    ----------
    stack : Stack
    forecast : Forecast
        Its median films and the variation of their local thickness are drawn; one `PassLaydown` for each pass, or
        for each pass that lays ink.
    garment : Garment
        Cloth that carries the print: its colour and its name.
    width, height : float
        Size of the drawing [pt].

    Returns
    -------
    str
        SVG with title and description. Heights are to scale, and so are the fibres; the widths of colours side by
        side follow their coverage. The waves of the cloth have the root mean square that makes the film's local
        thickness vary as forecast.

    Raises
    ------
    InvalidInput
        The forecast has another number of passes than the stack.
    """
    section = build_section(stack, forecast, left=17.0, right=0.47 * width, top=4.0, bottom=height - 3.0)
    names = section.right + 14.0
    labels = section_labels(section, garment, width - names - 2.0)
    body = "".join(
        (
            _definitions(section),
            _cloth(section, garment),
            *(_film(layer, n) for n, layer in enumerate(section.layers)),
            *(_number(layer) for layer in section.layers),
            _smoothing(section),
            _scale_bar(section),
            labelled(labels, section, names, height),
        )
    )
    return figure(
        "section", "Cross-section of the print, to scale", _description(section, garment), width, height, body
    )


def _description(section: Section, garment: Garment) -> str:
    layers = "; ".join(
        f"pass {layer.number}, {layer.role}, {layer.ink}, {micron(layer.thickness)}" for layer in section.layers
    )
    beside = ", the colours side by side" if sum(layer.beside for layer in section.layers) > 1 else ""
    return f"Films above {garment.content} cloth, from the cloth up{beside}: {layers}."


def _definitions(section: Section) -> str:
    hatches = "".join(hatch(f"section-hatch{n}", layer.hatch, layer.fill) for n, layer in enumerate(section.layers))
    frame = (
        f'<clipPath id="section-frame"><rect x="{section.left:.2f}" y="0" '
        f'width="{section.right - section.left:.2f}" height="{section.bottom:.2f}"/></clipPath>'
    )
    return f"<defs>{hatches}{frame}</defs>"


def _cloth(section: Section, garment: Garment) -> str:
    fill = srgb_of(garment.colour)
    edge = "#000000" if fill != "#000000" else "#555555"
    circles = "".join(
        f"M{x - r:.1f} {y:.1f}a{r:.1f} {r:.1f} 0 1 0 {2 * r:.1f} 0a{r:.1f} {r:.1f} 0 1 0 {-2 * r:.1f} 0"
        for x, y, r in section.fibres
    )
    surface = line_through(section.surface)
    return (
        '<g clip-path="url(#section-frame)">'
        f'<path d="{circles}" fill="{fill}" stroke="{edge}" stroke-width="0.35"/></g>'
        f'<path d="M{surface}" fill="none" stroke="#000000" stroke-width="0.7"/>'
    )


def _film(layer: Layer, n: int) -> str:
    outline = f"M{line_through(layer.lower)}L{line_through(tuple(reversed(layer.upper)))}Z"
    return (
        f'<path d="{outline}" fill="{layer.fill}" stroke="#000000" stroke-width="0.6" stroke-linejoin="round"/>'
        f'<path d="{outline}" fill="url(#section-hatch{n})"/>'
    )


def _number(layer: Layer) -> str:
    x, y, room = layer.middle
    size = min(5.6, 0.62 * room)
    if size < 3.0:
        return ""
    half = max(text_width(str(layer.number), size) / 2 + 1.1, 0.62 * size)
    return (
        f'<rect x="{x - half:.2f}" y="{y - 0.62 * size:.2f}" width="{2 * half:.2f}" height="{1.24 * size:.2f}" '
        f'rx="{0.62 * size:.2f}" fill="#ffffff" stroke="#000000" stroke-width="0.35"/>'
        f"{text_at(str(layer.number), x, y + 0.36 * size, size, weight=600, anchor='middle')}"
    )


def _smoothing(section: Section) -> str:
    return "".join(
        f'<path d="M{line_through(pressed.line)}" fill="none" stroke="#000000" stroke-width="1.5"/>'
        for pressed in section.pressed
    )


def _scale_bar(section: Section) -> str:
    tall = 0.42 * (section.bottom - section.top)
    fitting = [um for um in _BARS_UM if um * 1e-6 * section.scale <= tall]
    um = fitting[-1] if fitting else _BARS_UM[0]
    x, low = 10.0, section.bottom
    high = low - um * 1e-6 * section.scale
    return (
        f'<path d="M{x - 2:.2f} {low:.2f}h4M{x:.2f} {low:.2f}V{high:.2f}M{x - 2:.2f} {high:.2f}h4" fill="none" '
        'stroke="#000000" stroke-width="0.8"/>'
        f'<g transform="translate({x - 3.4:.2f} {(low + high) / 2:.2f}) rotate(-90)">'
        f"{text_at(f'{um} µm', 0, 0, 5.8, anchor='middle')}</g>"
    )
