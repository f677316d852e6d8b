"""Hatches that tell the layers of a drawing apart when it is printed in black."""

from __future__ import annotations

from laydown.domain.stack import Pass, Role

# Each: size of the tile, turn in degrees, what is drawn in the tile with a stroke of the hatch's ink.
_TILES = {
    "rising": (4.2, 45, '<path d="M0 0V4.2"/>'),
    "crossed": (3.4, 45, '<path d="M0 0V3.4M0 0H3.4"/>'),
    "dotted": (4.4, 30, '<path d="M1.1 1.1h.01M3.3 3.3h.01" stroke-width="1" stroke-linecap="round"/>'),
    "upright": (3.2, 0, '<path d="M1.6 0V3.2"/>'),
    "falling": (3.4, -45, '<path d="M0 0V3.4"/>'),
    "level": (2.6, 0, '<path d="M0 1.3H2.6"/>'),
    "dashed": (5.2, 0, '<path d="M0 1.3H3M2.6 3.9H5.2M0 3.9H.4"/>'),
    "wide": (7.0, 45, '<path d="M0 0V7"/>'),
    "peaks": (5.0, 0, '<path d="M0 3.7L2.5 1.3L5 3.7" fill="none"/>'),
}
_BY_ROLE = {
    Role.BARRIER: "crossed",
    Role.UNDERBASE: "rising",
    Role.WHITE: "wide",
    Role.HIGHLIGHT: "dotted",
}
_COLOURS = ("upright", "falling", "level", "dashed", "peaks")


def hatch_names(passes: tuple[Pass, ...]) -> tuple[str, ...]:
    """Hatch of each pass: one for each kind of ground, a changing one for colours side by side."""
    names = []
    colours = 0
    for printed in passes:
        if printed.role in _BY_ROLE:
            names.append(_BY_ROLE[printed.role])
        else:
            names.append(_COLOURS[colours % len(_COLOURS)])
            colours += printed.role is Role.COLOUR
    return tuple(names)


def hatch(identifier: str, name: str, ground: str) -> str:
    """SVG pattern that shows on a ground of the given sRGB colour, light or dark."""
    tile, turn, drawn = _TILES[name]
    ink, opacity = ("#ffffff", 0.85) if relative_luminance(ground) < 0.3 else ("#000000", 0.65)
    rotation = f' patternTransform="rotate({turn})"' if turn else ""
    return (
        f'<pattern id="{identifier}" width="{tile}" height="{tile}" patternUnits="userSpaceOnUse"{rotation}>'
        f'<g stroke="{ink}" stroke-opacity="{opacity}" stroke-width="0.6">{drawn}</g></pattern>'
    )


def relative_luminance(srgb: str) -> float:
    """Luminance of a ``#rrggbb`` colour, 0 to 1 (IEC 61966-2-1)."""
    linear = []
    for start in (1, 3, 5):
        value = int(srgb[start : start + 2], 16) / 255
        linear.append(value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4)
    red, green, blue = linear
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
