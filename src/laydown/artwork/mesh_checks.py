"""Whether a mesh can hold what a plate asks of it, in words, with the remedy."""

from __future__ import annotations

import math
from dataclasses import dataclass

from laydown import units
from laydown.artwork import moire
from laydown.artwork.halftone import DotShape, Screening, Stochastic, told_screening
from laydown.artwork.halftone_thresholds import ELLIPSE
from laydown.domain.screen import Mesh
from laydown.physics import mesh as mesh_geometry


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshCheck:
    """One question asked of a mesh.

    Attributes
    ----------
    about : str
        ``line``, ``gap``, ``dots``, ``ruling``, ``moire`` or ``plates``.
    ok : bool
    sentence : str
        What was found, with the numbers.
    remedy : str
        What would help; empty when it is fine.
    """

    about: str
    ok: bool
    sentence: str
    remedy: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DotLimits:
    """Tones between which a mesh holds every dot and every hole.

    Attributes
    ----------
    least, most : float
        Inked share of the smallest dot, and of a plate with the smallest hole; ``least`` above ``most`` when no tone is
        left between them.
    dot : float
        Width of that dot (of that line, for lines) [m].
    """

    least: float
    most: float
    dot: float


def dot_limits(mesh: Mesh, screening: Screening) -> DotLimits:
    """Lightest and darkest tone of which a mesh holds the dots.

    Parameters
    ----------
    mesh : Mesh
    screening : Halftone or Stochastic

    Notes
    -----
    A dot must span two threads and an opening, 2 d + w, a line the larger of 3 d and w + 2 d (rules of the trade, from
    memory); a hole is a dot of stencil and must be as large. The share is that of a disc of this width in a cell; an
    elliptical dot is a little longer than it is wide. Scattered dots are all of one size: either every tone holds or
    none does.
    """
    opening, thread = mesh.opening.value, mesh.thread
    dot = float(mesh_geometry.finest_dot(opening, thread))
    if isinstance(screening, Stochastic):
        # The film's dots may be rounded up to device pixels, never down.
        holds = screening.dot >= dot * (1 - 1e-9)
        return DotLimits(least=0.0 if holds else 1.0, most=1.0 if holds else 0.0, dot=dot)
    if screening.shape is DotShape.LINE:
        line = float(mesh_geometry.finest_line(opening, thread))
        least = min(1.0, line * screening.ruling)
        return DotLimits(least=least, most=1 - least, dot=line)
    longer = 1 / math.sqrt(ELLIPSE) if screening.shape is DotShape.ELLIPTICAL else 1.0
    least = min(1.0, math.pi / 4 * longer * (dot * screening.ruling) ** 2)
    return DotLimits(least=least, most=1 - least, dot=dot)


def check_detail(mesh: Mesh, *, finest_line: float | None, finest_gap: float | None) -> tuple[MeshCheck, ...]:
    """Finest inked and finest open detail of a plate [m] against the mesh; nothing is said of what is None."""
    found = []
    narrowest = float(mesh_geometry.finest_line(mesh.opening.value, mesh.thread))
    for about, word, width in (("line", "line", finest_line), ("gap", "gap", finest_gap)):
        if width is None:
            continue
        ok = width >= narrowest
        verb = "holds" if ok else "does not hold"
        found.append(
            MeshCheck(
                about=about,
                ok=ok,
                sentence=f"Mesh {mesh.name} {verb} the finest {word} of {_mm(width)}: it prints {word}s from "
                f"{_mm(narrowest)} on.",
                remedy=""
                if ok
                else f"Take a mesh with three threads, and an opening and two threads, of at most {_mm(width)}, or "
                f"draw the {word} at least {_mm(narrowest)} wide.",
            )
        )
    return tuple(found)


def check_dots(mesh: Mesh, screening: Screening) -> MeshCheck:
    """Which tones the mesh holds; not fine when less than 15 to 85 % is left."""
    limits = dot_limits(mesh, screening)
    screen = told_screening(screening)
    if isinstance(screening, Stochastic):
        ok = limits.least == 0
        return MeshCheck(
            about="dots",
            ok=ok,
            sentence=f"Mesh {mesh.name} {'holds' if ok else 'does not hold'} scattered dots of "
            f"{_um(screening.dot)}: its smallest dot is {_um(limits.dot)}.",
            remedy="" if ok else f"Make the dots at least {_um(limits.dot)} wide, or take a finer mesh.",
        )
    part = "line" if screening.shape is DotShape.LINE else "dot"
    if limits.least >= limits.most:
        sentence = f"Mesh {mesh.name} holds no tone at {screen}: its smallest {part} is {_um(limits.dot)}."
    else:
        sentence = (
            f"Mesh {mesh.name} holds tones from {_percent(limits.least)} to {_percent(limits.most)} at {screen}: its "
            f"smallest {part} is {_um(limits.dot)}."
        )
    ok = limits.least <= LIGHTEST
    share = LIGHTEST / limits.least
    coarser = units.to_per_inch(screening.ruling) * (share if screening.shape is DotShape.LINE else math.sqrt(share))
    remedy = f"Take a finer mesh or a ruling of at most {math.floor(10 * coarser) / 10:g} lines/in."
    return MeshCheck(about="dots", ok=ok, sentence=sentence, remedy="" if ok else remedy)


def check_ruling(mesh: Mesh, screening: Screening) -> MeshCheck:
    """Threads for each row of dots, against the published rule.

    Notes
    -----
    3.5 to 4 threads a row (Coudray, Screen Printing, April 2003; published). The author stresses that an exact ratio
    cannot be predicted: dots, moire and strike-off decide.
    """
    from laydown.data.read import read_table

    rule = read_table("mesh_selection")["halftone"]["mesh_per_line"]
    if isinstance(screening, Stochastic):
        return MeshCheck(about="ruling", ok=True, sentence="Scattered dots have no ruling that a mesh could disturb.")
    ratio = mesh.count / screening.ruling
    lines, count = units.to_per_inch(screening.ruling), units.to_threads_per_inch(mesh.count)
    words = f"Mesh {mesh.name} has {ratio:.2f} threads for each row of dots at {lines:.4g} lines/in"
    known = f"the rule is {rule.low:g} to {rule.high:g}, and no exact ratio can be predicted"
    if ratio >= rule.low * (1 - 1e-9):
        return MeshCheck(about="ruling", ok=True, sentence=f"{words}; {known}.")
    return MeshCheck(
        about="ruling",
        ok=False,
        sentence=f"{words}; {known}.",
        remedy=f"Take a mesh of at least {rule.low * lines:.0f} threads/in, or a ruling of at most "
        f"{math.floor(10 * count / rule.low) / 10:g} lines/in.",
    )


def check_moire(mesh: Mesh, screening: Screening) -> MeshCheck:
    """Beat of the dots against the threads, and a better angle or ruling when it would be seen."""
    if isinstance(screening, Stochastic):
        return MeshCheck(about="moire", ok=True, sentence="Scattered dots have no period that could beat with threads.")
    beat = moire.mesh_beat(mesh, screening)
    screen = told_screening(screening)
    if not beat.seen:
        return MeshCheck(
            about="moire",
            ok=True,
            sentence=f"No beat of mesh {mesh.name} with {screen} is long and strong enough to be seen.",
        )
    sentence = (
        f"Mesh {mesh.name} and {screen} beat with a period of {_period(beat.period)}; the tone may swing by up to "
        f"{_percent(beat.swing)} of area."
    )
    better, left = moire.quiet_angle(mesh, screening)
    if left.seen:
        better, left = moire.quiet_ruling(mesh, screening)
    if left.swing >= beat.swing:
        remedy = "No angle and no ruling near this one is quieter: take another mesh, or scattered dots."
    else:
        end = "no visible beat is left" if not left.seen else f"it then swings by up to {_percent(left.swing)}"
        remedy = f"Take {told_screening(better)}: {end}. Lay the film on the screen and look before burning."
    return MeshCheck(about="moire", ok=False, sentence=sentence, remedy=remedy)


def check_plates(screenings: dict[str, Screening]) -> tuple[MeshCheck, ...]:
    """Beats of plates against each other, pair by pair, by the plates' names; only what is worth saying."""
    found = []
    names = tuple(screenings)
    for i, first in enumerate(names):
        for second in names[i + 1 :]:
            one, other = screenings[first], screenings[second]
            if isinstance(one, Stochastic) or isinstance(other, Stochastic):
                continue
            beat = moire.plates_beat(one, other)
            pair = f"The plates {first!r} and {second!r}"
            if math.isinf(beat.period):
                sentence = f"{pair} have one ruling and angle: no beat, but their overlap changes with registration."
                found.append(MeshCheck(about="plates", ok=True, sentence=sentence))
            elif beat.seen:
                sentence = (
                    f"{pair} ({told_screening(one)}; {told_screening(other)}) beat with a period of "
                    f"{_period(beat.period)}; where they overlap the area swings by up to {_percent(beat.swing)}."
                )
                remedy = "Turn one of them by 30° against the other, or give both one ruling and angle."
                found.append(MeshCheck(about="plates", ok=False, sentence=sentence, remedy=remedy))
    return tuple(found)


def mesh_checks(
    mesh: Mesh, screening: Screening | None, *, finest_line: float | None = None, finest_gap: float | None = None
) -> tuple[MeshCheck, ...]:
    """Every question that can be asked of one plate and its mesh.

    Parameters
    ----------
    mesh : Mesh
    screening : Halftone, Stochastic or None
        None: the plate has no tones.
    finest_line, finest_gap : float or None
        Of the plate's solid parts [m].
    """
    detail = check_detail(mesh, finest_line=finest_line, finest_gap=finest_gap)
    if screening is None:
        return detail
    return (*detail, check_dots(mesh, screening), check_ruling(mesh, screening), check_moire(mesh, screening))


LIGHTEST = 0.15
"""Lightest tone that a halftone must hold to be worth its name. Assumed."""


def _mm(length: float) -> str:
    return f"{units.to_mm(length):.2g} mm"


def _um(length: float) -> str:
    return f"{units.to_micron(length):.0f} µm"


def _percent(share: float) -> str:
    return f"{units.to_percent(share):.2g} %"


def _period(length: float) -> str:
    return f"{units.to_mm(length):.2g} mm" if length < 1 else "more than a metre"


__all__ = [
    "DotLimits",
    "MeshCheck",
    "check_detail",
    "check_dots",
    "check_moire",
    "check_plates",
    "check_ruling",
    "dot_limits",
    "mesh_checks",
]
