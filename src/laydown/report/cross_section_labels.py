"""Names beside a cross-section, with leader lines that never cross or overlap."""

from __future__ import annotations

from dataclasses import dataclass

from laydown.domain.garment import Garment
from laydown.report.cross_section_layers import Layer, Section
from laydown.report.display_units import micron
from laydown.report.lettering import wrap
from laydown.report.spread_labels import spread_labels
from laydown.report.svg_text import text_at

SIZE = 6.4
LEADING = 7.6
GAP = 3.0


@dataclass(frozen=True, slots=True)
class Label:
    """Text beside the drawing, wordiest version first, and the point it belongs to.

    ``rise`` is the level that the leader climbs to before it turns to the side.
    """

    versions: tuple[tuple[str, ...], ...]
    x: float
    y: float
    rise: float | None = None


def section_labels(section: Section, garment: Garment, room: float) -> tuple[Label, ...]:
    """Labels from the top down, in the order in which their leaders leave the drawing."""
    labels = []
    beside = [layer for layer in section.layers if layer.beside]
    for n, layer in enumerate(beside):
        if n < len(beside) - 1:
            rise = section.top + 1.0 + n * section.bus
            across = layer.middle[0]
            labels.append(Label(versions=_layer_words(layer, room), x=across, y=layer.top_middle, rise=rise))
    at_edge = [(layer.edge, _layer_words(layer, room)) for layer in section.layers if layer not in beside[:-1]]
    at_edge += [(pressed.line[-1][1], _smoothing_words(pressed.number, room)) for pressed in section.pressed]
    at_edge.append((section.cloth_edge, _cloth_words(f"{garment.content}, {garment.structure.value}", room)))
    at_edge.sort(key=lambda label: label[0])
    labels += [Label(versions=versions, x=section.right, y=y) for y, versions in at_edge]
    return tuple(labels)


def _layer_words(layer: Layer, room: float) -> tuple[tuple[str, ...], ...]:
    thickness = micron(layer.thickness)
    hits = f", {layer.hits} hits" if layer.hits > 1 else ""
    head = wrap(f"{layer.number} · {thickness} {layer.role}{hits}", room, SIZE, 1)
    return (
        (*head, *wrap(layer.ink, room, SIZE, 2)),
        (*head, *wrap(layer.ink, room, SIZE, 1)),
        wrap(f"{layer.number} · {thickness} {layer.ink}", room, SIZE, 2),
        wrap(f"{layer.number} · {thickness} {layer.ink}", room, SIZE, 1),
    )


def _smoothing_words(number: int, room: float) -> tuple[tuple[str, ...], ...]:
    full = (f"{number} · smoothing pass", *wrap("no ink, presses the film flat", room, SIZE, 1))
    return full, full, full[:1], full[:1]


def _cloth_words(cloth: str, room: float) -> tuple[tuple[str, ...], ...]:
    return ("cloth", *wrap(cloth, room, SIZE, 2)), ("cloth", *wrap(cloth, room, SIZE, 1)), ("cloth",), ("cloth",)


def labelled(labels: tuple[Label, ...], section: Section, x: float, height: float) -> str:
    """Names and the lines that lead to them, in the wordiest version that fits beside the drawing."""
    room = height - 2.0
    for version in range(4):
        lines = [label.versions[version] for label in labels]
        heights = [len(words) * LEADING + GAP for words in lines]
        if sum(heights) <= room:
            break
    shrink = min(1.0, room / sum(heights))
    levels = [label.y if label.rise is None else label.rise for label in labels]
    centres = spread_labels(levels, heights, 1.0, height - 1.0)
    drawn = []
    for label, words, level, centre in zip(labels, lines, levels, centres, strict=True):
        first = centre - shrink * len(words) * LEADING / 2 + shrink * 0.77 * LEADING
        drawn += [
            text_at(
                line,
                x + 2,
                first + n * LEADING * shrink,
                SIZE * min(1, shrink * 1.1),
                weight=600 if n == 0 and version < 2 else 400,
            )
            for n, line in enumerate(words)
        ]
        climb = "" if label.rise is None else f"V{level:.2f}H{section.right + 1:.2f}"
        drawn.append(
            f'<path d="M{label.x:.2f} {label.y:.2f}{climb}L{x - 3.5:.2f} {centre:.2f}H{x:.2f}" fill="none" '
            'stroke="#000000" stroke-width="0.45"/>'
            f'<circle cx="{label.x:.2f}" cy="{label.y:.2f}" r="0.9"/>'
        )
    return "".join(drawn)
