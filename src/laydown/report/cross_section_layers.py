"""Where each film of a stack lies in a drawing: geometry only, nothing is drawn here."""

from __future__ import annotations

import math
from dataclasses import dataclass

from laydown.domain.forecast import Forecast, PassLaydown
from laydown.domain.stack import Pass, Role, Stack
from laydown.errors import InvalidInput
from laydown.report.display_units import percent
from laydown.report.hatches import hatch_names
from laydown.report.swatch_colour import srgb_of

Points = tuple[tuple[float, float], ...]

FIBRE = 15e-6
"""Diameter of the drawn fibres [m]: cotton and polyester of ordinary fineness (common practice)."""
_SIDE_BY_SIDE = frozenset({Role.COLOUR, Role.HIGHLIGHT})
_SAMPLES = 96
_MOST_FIBRES = 420
_ARC = tuple(n / 4 for n in range(-4, 5))


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One film: outline, looks and name. ``middle`` is a point inside it and the room there for a number."""

    number: int
    role: str
    ink: str
    hits: int
    thickness: float
    fill: str
    hatch: str
    beside: bool
    lower: Points
    upper: Points

    @property
    def middle(self) -> tuple[float, float, float]:
        """Middle of a colour; of a ground the place in its middle half where it is thickest. And the room there."""
        quarter = len(self.lower) // (2 if self.beside else 4)
        at = max(
            range(quarter, len(self.lower) - quarter),
            key=lambda n: (round(self.lower[n][1] - self.upper[n][1], 1), -abs(n - len(self.lower) // 2)),
        )
        (x, low), (_, high) = self.lower[at], self.upper[at]
        return x, (low + high) / 2, min(low - high, self.upper[-1][0] - self.upper[0][0])

    @property
    def edge(self) -> float:
        """Height of the middle of its right edge."""
        return (self.lower[-1][1] + self.upper[-1][1]) / 2

    @property
    def top_middle(self) -> float:
        """Height of a point just under the middle of the upper face."""
        _, middle, _ = self.middle
        high = self.upper[len(self.upper) // 2][1]
        return high + min(1.5, middle - high)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pressed:
    """Line along which a smoothing pass pressed the film."""

    number: int
    line: Points


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A whole drawing's geometry [pt]; ``scale`` in points a metre, ``bus`` between levels of leaders."""

    left: float
    right: float
    top: float
    bottom: float
    scale: float
    bus: float
    surface: Points
    fibres: tuple[tuple[float, float, float], ...]
    layers: tuple[Layer, ...]
    pressed: tuple[Pressed, ...]
    cloth_edge: float


def build_section(stack: Stack, forecast: Forecast, *, left: float, right: float, top: float, bottom: float) -> Section:
    """Lay out the films over the cloth.

    Grounds (barrier, underbase, white) lie one on another over the whole width; colours and highlights stand side by
    side on them, as wide as their coverage asks, in the order they are printed.

    Raises
    ------
    InvalidInput
        The forecast has another number of passes than the stack.
    """
    films = _films(stack, forecast)
    hatches = hatch_names(stack.passes)
    beside = [n for n, p in enumerate(stack.passes) if p.role in _SIDE_BY_SIDE]
    ground = math.fsum(film for n, film in enumerate(films) if n not in beside)
    total = max(ground + max((films[n] for n in beside), default=0.0), 1e-9)

    bus = min(3.0, 0.2 * (bottom - top) / max(len(beside), 1))
    sky = top + bus * max(len(beside) - 1, 0) + 4.0
    scale = min(0.56 * (bottom - sky) / total, 1.1e6)
    base = bottom - max(0.3 * (bottom - sky), min(bottom - sky - total * scale, 0.5 * (bottom - sky)))
    wave = _Wave(left, right, _amplitude(forecast, total) * scale)

    def face(height: float, start: float = left, end: float = right) -> Points:
        """Upper face of what is ``height`` thick in all; the thicker the film below, the flatter."""
        flat = 1 - min(height / total, 1.0)
        return tuple((x, base - height * scale - flat * wave.at(x)) for x in _steps(start, end))

    edges = _columns([stack.passes[n].coverage for n in beside], left, right)
    layers, pressed, reached = [], [], 0.0
    for n, (p, film) in enumerate(zip(stack.passes, films, strict=True)):
        if p.ink is None:
            pressed.append(Pressed(number=n + 1, line=face(_pressed_height(stack, n, reached, ground, total))))
            continue
        start, end = edges[beside.index(n)] if n in beside else (left, right)
        under = ground if n in beside else reached
        layers.append(
            Layer(
                number=n + 1,
                role=p.role.value,
                ink=_ink_name(p),
                hits=p.hits,
                thickness=film,
                fill=srgb_of(p.ink.optics.colour if p.ink.optics else None),
                hatch=hatches[n],
                beside=n in beside,
                lower=face(under, start, end),
                upper=face(under + film, start, end),
            )
        )
        reached += 0.0 if n in beside else film
    surface = face(0.0)
    return Section(
        left=left,
        right=right,
        top=top,
        bottom=bottom,
        scale=scale,
        bus=bus,
        surface=surface,
        fibres=_fibres(wave, base, left, right, bottom, FIBRE * scale / 2),
        layers=tuple(layers),
        pressed=tuple(pressed),
        cloth_edge=(surface[-1][1] + bottom) / 2,
    )


def _films(stack: Stack, forecast: Forecast) -> tuple[float, ...]:
    """Median film of every pass [m]; none for a smoothing pass."""
    known: dict[int, PassLaydown] = {}
    if len(forecast.passes) == len(stack.passes):
        known = dict(enumerate(forecast.passes))
    elif len(forecast.passes) == len(stack.inked):
        inked = [n for n, p in enumerate(stack.passes) if p.ink is not None]
        known = dict(zip(inked, forecast.passes, strict=True))
    else:
        raise InvalidInput(
            f"the forecast has {len(forecast.passes)} passes, the stack has {len(stack.passes)}; they must agree"
        )
    return tuple(max(known[n].film.p50, 0.0) if p.ink is not None else 0.0 for n, p in enumerate(stack.passes))


def _amplitude(forecast: Forecast, total: float) -> float:
    """Root mean square of the cloth's waves [m]: the share by which the film varies, times the film."""
    return min(max(forecast.film_variation, 0.0), 0.45) * total


def _pressed_height(stack: Stack, n: int, reached: float, ground: float, total: float) -> float:
    """How high the film stands that a smoothing pass presses: what has been printed before it."""
    if any(p.role in _SIDE_BY_SIDE for p in stack.passes[:n]):
        return total
    return ground if all(p.role in _SIDE_BY_SIDE or p.ink is None for p in stack.passes[n:]) else reached


def _ink_name(p: Pass) -> str:
    name = p.ink.name if p.ink else ""
    return f"{name} + {percent(p.additive_share)} {p.additive.name}" if p.additive else name


def _columns(coverages: list[float], left: float, right: float) -> list[tuple[float, float]]:
    """Left and right edge of each colour; even a small one stays wide enough to see."""
    least = 0.55 / max(len(coverages), 1)
    shares = [max(coverage / (sum(coverages) or 1.0), least) for coverage in coverages]
    total = sum(shares) or 1.0
    edges, x = [], left
    for share in shares:
        end = x + share / total * (right - left)
        edges.append((x, end))
        x = end
    return edges


def _steps(start: float, end: float) -> tuple[float, ...]:
    return tuple(start + (end - start) * n / _SAMPLES for n in range(_SAMPLES + 1))


class _Wave:
    """An irregular surface with a given root mean square, the same every time."""

    _PARTS = ((2, 1.0, 0.9), (3, 0.6, 2.6), (7, 0.2, 4.4))

    def __init__(self, left: float, right: float, rms: float) -> None:
        self._left, self._span = left, right - left
        self._gain = rms / math.sqrt(sum(strength**2 for _, strength, _ in self._PARTS) / 2)

    def at(self, x: float) -> float:
        turn = 2 * math.pi * (x - self._left) / self._span
        return self._gain * sum(s * math.sin(cycles * turn + phase) for cycles, s, phase in self._PARTS)


def _fibres(
    wave: _Wave, base: float, left: float, right: float, bottom: float, radius: float
) -> tuple[tuple[float, float, float], ...]:
    """Cut fibres under the surface, loosely packed, none over another; the jitter comes from a fixed sequence."""
    fibres: list[tuple[float, float, float]] = []
    pitch = 2.4 * radius
    state = 12345
    for row in range(int((bottom - base + 6 * radius) / (0.87 * pitch)) + 1):
        x = left - (row % 2) * pitch / 2
        while x < right + radius and len(fibres) < _MOST_FIBRES:
            state = (1103515245 * state + 12345) % 2**31
            shift, size = (state >> 8) % 101 / 100 - 0.5, (state >> 16) % 101 / 100
            r = radius * (0.82 + 0.18 * size)
            across = x + 0.4 * radius * shift
            highest = max(base - wave.at(across + part * r) + math.sqrt(1 - part * part) * r for part in _ARC)
            down = max(highest + 0.05 * radius, base - 3 * radius + row * 0.87 * pitch)
            if down - r < bottom and not any(
                math.hypot(across - x0, down - y0) < 1.04 * (r + r0) for x0, y0, r0 in fibres
            ):
                fibres.append((across, down, r))
            x += pitch / 3
        # Rows thin out by the test for overlap; thirds of the pitch let a fibre drop into each gap.
    return tuple(fibres)
