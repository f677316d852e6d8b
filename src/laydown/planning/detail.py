"""Whether the meshes of a stack hold the art's finest lines and gaps."""

from __future__ import annotations

from dataclasses import dataclass

from laydown.domain.order import Print
from laydown.domain.screen import Mesh
from laydown.domain.shop import Shop
from laydown.domain.stack import Pass, Role, Stack
from laydown.models.film import finest_detail
from laydown.planning.candidates import WHITE_PLATE, span_for
from laydown.units import from_threads_per_inch, to_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Detail:
    """What one pass is asked to hold; lengths in metres.

    Attributes
    ----------
    asked : float
        Finest line or gap of its plate, as far as the shop's rack can hold it at all.
    art : float
        Finest line or gap that the art has.
    held : float
        Finest line that the mesh holds.
    """

    plate: str
    asked: float
    art: float
    held: float
    mesh: str

    @property
    def met(self) -> bool:
        """Whether the mesh holds what it is asked to hold."""
        return self.held <= self.asked


def details(shop: Shop, print_: Print, stack: Stack) -> tuple[Detail, ...]:
    """Look at every inked pass whose plate has a known finest detail.

    An order that states its finest detail asks every mesh to hold it. Detail that was only measured on the art is
    asked for as far as the finest suitable mesh of the rack goes: a finer one cannot be had here, so no stack is
    struck out for it, but the plan says what will be lost (`detail_notes`).
    """
    found: list[Detail] = []
    stated = print_.finest_detail if print_.art is None else print_.art.request.finest_detail
    for pass_ in stack.inked:
        mesh = pass_.screen.mesh
        if mesh is None:
            continue
        plate, measured = _plate(print_, pass_)
        art = stated if stated is not None else measured
        if art is None:
            continue
        asked = art if stated is not None else max(art, _best(shop, print_, pass_.role, mesh))
        found.append(Detail(plate=plate, asked=asked, art=art, held=finest_detail(mesh), mesh=mesh.name))
    return tuple(found)


def worst_detail(shop: Shop, print_: Print, stack: Stack) -> Detail | None:
    """Return the pass that holds least of what it is asked to; None where no detail is known."""
    return max(details(shop, print_, stack), key=lambda d: d.held / d.asked, default=None)


def detail_notes(shop: Shop, print_: Print, stack: Stack) -> tuple[str, ...]:
    """Say what of the measured art a chosen stack will not hold, one sentence a plate."""
    said: dict[str, str] = {}
    for d in details(shop, print_, stack):
        if d.art < d.held:
            said.setdefault(
                d.plate,
                f"The art of the {print_.place} has {_article(d.plate)}detail down to {to_mm(d.art):.2f} mm; mesh "
                f"{d.mesh} holds {to_mm(d.held):.2f} mm, so finer lines and gaps may break up or fill in. Thicken "
                "them in the art, or burn a finer mesh.",
            )
    return tuple(said.values())


def _article(plate: str) -> str:
    return f"{plate} " if plate else ""


def _plate(print_: Print, pass_: Pass) -> tuple[str, float | None]:
    """Name and finest detail of the plate that a pass prints; the print's own where the art was not measured."""
    if print_.art is None or pass_.ink is None:
        return "", print_.finest_detail
    plate = print_.art.plate(pass_.ink.name if pass_.role is Role.COLOUR else WHITE_PLATE)
    if plate is None:
        return "", None
    known = [size for size in (plate.finest_line, plate.finest_gap) if size is not None]
    return plate.plate, min(known, default=None)


def _best(shop: Shop, print_: Print, role: Role, own: Mesh) -> float:
    """Finest detail that any suitable mesh of the rack holds for a role."""
    span = span_for(role, print_)
    low, high = from_threads_per_inch(span.low), from_threads_per_inch(span.high)
    fit = [s.mesh for s in shop.screens if s.mesh is not None and 0.99 * low <= s.mesh.count <= 1.01 * high]
    return min(finest_detail(mesh) for mesh in (*fit, own))
