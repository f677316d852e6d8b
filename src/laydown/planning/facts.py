"""Facts that trade rules can ask about: of the order's cloth, of the print, and of a candidate stack."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from laydown.domain.fibre import FIBRES
from laydown.domain.garment import Dye, Structure
from laydown.domain.ink import Bond, InkKind, Viscosity
from laydown.domain.order import Order, Print
from laydown.domain.shop import Shop
from laydown.domain.stack import Role, Stack
from laydown.models.cloth import Cloth
from laydown.models.ghosting import is_earth_tone
from laydown.units import to_threads_per_inch

Value = str | float | bool | frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """All a fact may look at."""

    shop: Shop
    order: Order
    print_: Print
    cloth: Cloth
    stack: Stack


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """A fact's name, what it means, what kind of value it has, and how it is found."""

    name: str
    meaning: str
    kind: str
    of: Callable[[Setting], Value]
    stack_fact: bool = False


def _whites(s: Setting) -> tuple[str, ...]:
    return tuple(i.name for i in s.stack.inks if i.kind is InkKind.WHITE)


def _white(s: Setting, of: Callable[[object], Value], absent: Value) -> Value:
    for ink in s.stack.inks:
        if ink.kind is InkKind.WHITE:
            return of(ink)
    return absent


def _first(s: Setting) -> frozenset[Bond]:
    first = s.stack.inked[0]
    bonds = first.ink.bonds if first.ink else frozenset()
    return bonds | (first.additive.bonds if first.additive else frozenset())


def _share_of(kind: InkKind, s: Setting) -> float:
    shares = [p.additive_share for p in s.stack.passes if p.additive is not None and p.additive.kind is kind]
    return max(shares, default=0.0)


def _white_pass(s: Setting) -> tuple[float, float]:
    """Mesh count per inch of the first white pass, and its hits."""
    for p in s.stack.inked:
        if p.ink is not None and p.ink.kind is InkKind.WHITE and p.screen.mesh is not None:
            return float(to_threads_per_inch(p.screen.mesh.count)), float(p.hits)
    return 0.0, 0.0


def _smoothed_between(s: Setting) -> bool:
    """A smoothing pass right after a flash, with ink still to come."""
    for before, here, after in zip(s.stack.passes, s.stack.passes[1:], s.stack.passes[2:], strict=False):
        if here.role is Role.SMOOTHING and before.flash_after and after.ink is not None:
            return True
    return False


def _flashed(s: Setting, role: Role) -> bool:
    passes = [p for p in s.stack.passes if p.role is role]
    return bool(passes) and all(p.flash_after for p in passes)


def _migrates(s: Setting) -> bool:
    return s.cloth.dye_moves


def _fibre(name: str) -> Callable[[Setting], Value]:
    return lambda s: s.order.garment.content.share(name)


CLOTH_FACTS = (
    *(
        Fact(name=name, meaning=f"share of {name} in the cloth, 0 to 1", kind="number", of=_fibre(name))
        for name in FIBRES
    ),
    Fact(
        name="fibres",
        meaning="how many fibres make up at least a tenth of the cloth each",
        kind="number",
        of=lambda s: float(sum(share >= 0.1 for _, share in s.order.garment.content.shares)),
    ),
    Fact(
        name="structure",
        meaning=f"how the cloth is made: {', '.join(Structure)}",
        kind="text",
        of=lambda s: s.order.garment.structure.value,
    ),
    Fact(name="dye", meaning=f"the cloth's dye: {', '.join(Dye)}", kind="text", of=lambda s: s.order.garment.dye.value),
    Fact(
        name="dye migrates",
        meaning="whether the cloth holds dye that can move into the print: disperse dye in polyester, re-dyed cotton "
        "or nylon",
        kind="yes or no",
        of=_migrates,
    ),
    Fact(name="lightness", meaning="CIELAB L* of the cloth", kind="number", of=lambda s: s.cloth.lightness),
    Fact(name="chroma", meaning="CIELAB chroma of the cloth", kind="number", of=lambda s: s.cloth.chroma),
    Fact(
        name="earth tone",
        meaning="a brown, tan, olive or sand cloth",
        kind="yes or no",
        of=lambda s: is_earth_tone(s.cloth),
    ),
    Fact(
        name="stretch",
        meaning="working stretch of the cloth, 0.25 is 25 %",
        kind="number",
        of=lambda s: s.cloth.working_stretch.value,
    ),
    Fact(name="fibrous", meaning="a cloth with a hairy face", kind="yes or no", of=lambda s: s.cloth.fibrous),
    Fact(
        name="coated", meaning="a water-repellent or coated face", kind="yes or no", of=lambda s: s.order.garment.coated
    ),
    Fact(
        name="history",
        meaning="what the shop knows of this cloth: never printed, printed, tested",
        kind="text",
        of=lambda s: s.order.garment.history.value,
    ),
)

ORDER_FACTS = (
    Fact(name="quantity", meaning="garments in the order", kind="number", of=lambda s: float(s.order.quantity)),
    Fact(
        name="stacked hot",
        meaning="garments are piled as they leave the belt",
        kind="yes or no",
        of=lambda s: s.order.care.stack_hot,
    ),
    Fact(
        name="humidity",
        meaning="relative humidity of the shop, 0 to 1",
        kind="number",
        of=lambda s: s.shop.climate.humidity.value,
    ),
    Fact(
        name="halftone",
        meaning="the print has halftones",
        kind="yes or no",
        of=lambda s: s.print_.ruling is not None,
    ),
    Fact(name="coverage", meaning="share of the rectangle inked", kind="number", of=lambda s: s.print_.coverage),
)

STACK_FACTS = (
    Fact(
        name="white",
        meaning="name of the white in the stack, empty without one",
        kind="text",
        of=lambda s: next(iter(_whites(s)), ""),
        stack_fact=True,
    ),
    Fact(
        name="has white",
        meaning="the stack holds a white",
        kind="yes or no",
        of=lambda s: bool(_whites(s)),
        stack_fact=True,
    ),
    Fact(
        name="white blocks",
        meaning="the white holds back dye",
        kind="yes or no",
        of=lambda s: _white(s, lambda ink: ink.blocks, absent=False),  # type: ignore[attr-defined]
        stack_fact=True,
    ),
    Fact(
        name="white blocker",
        meaning="how the white holds back dye: none, reactive, carbon, binding",
        kind="text",
        of=lambda s: _white(s, lambda ink: ink.blocker.value, absent="none"),  # type: ignore[attr-defined]
        stack_fact=True,
    ),
    Fact(
        name="white capacity",
        meaning="blocking capacity of the white, relative to the dyed cloth",
        kind="number",
        of=lambda s: _white(s, lambda ink: ink.capacity.value, absent=0.0),  # type: ignore[attr-defined]
        stack_fact=True,
    ),
    Fact(
        name="white toughness",
        meaning="toughness class of the white, 1 to 5",
        kind="number",
        of=lambda s: _white(s, lambda ink: float(ink.toughness), absent=5.0),  # type: ignore[attr-defined]
        stack_fact=True,
    ),
    Fact(
        name="white viscosity",
        meaning=f"how thick the white is: {', '.join(Viscosity)}",
        kind="text",
        of=lambda s: _white(s, lambda ink: ink.viscosity.value, absent=""),  # type: ignore[attr-defined]
        stack_fact=True,
    ),
    Fact(
        name="white reducible",
        meaning="the white's sheet allows reducer",
        kind="yes or no",
        of=lambda s: _white(s, lambda ink: ink.reducible, absent=True),  # type: ignore[attr-defined]
        stack_fact=True,
    ),
    Fact(
        name="white elongation",
        meaning="elongation of the white without additive, 0.6 is 60 %",
        kind="number",
        of=lambda s: _white(s, lambda ink: ink.elongation.value, absent=10.0),  # type: ignore[attr-defined]
        stack_fact=True,
    ),
    Fact(
        name="first ink bonds to",
        meaning=f"surfaces the first ink down holds on: {', '.join(Bond)}",
        kind="set",
        of=lambda s: frozenset(b.value for b in _first(s)),
        stack_fact=True,
    ),
    Fact(
        name="reducer",
        meaning="share of reducer stirred in, 0 to 1",
        kind="number",
        of=lambda s: _share_of(InkKind.REDUCER, s),
        stack_fact=True,
    ),
    Fact(
        name="stretch additive",
        meaning="share of stretch additive stirred in, 0 to 1",
        kind="number",
        of=lambda s: _share_of(InkKind.STRETCH_ADDITIVE, s),
        stack_fact=True,
    ),
    Fact(
        name="barrier",
        meaning="the stack starts with a barrier",
        kind="yes or no",
        of=lambda s: s.stack.passes[0].role is Role.BARRIER,
        stack_fact=True,
    ),
    Fact(
        name="barrier flashed",
        meaning="the barrier is flashed before the next ink",
        kind="yes or no",
        of=lambda s: _flashed(s, Role.BARRIER),
        stack_fact=True,
    ),
    Fact(
        name="smoothing pass",
        meaning="a smoothing pass follows a flash and comes before the last ink",
        kind="yes or no",
        of=_smoothed_between,
        stack_fact=True,
    ),
    Fact(
        name="flashes",
        meaning="how often the print is flashed",
        kind="number",
        of=lambda s: float(s.stack.flashes),
        stack_fact=True,
    ),
    Fact(
        name="passes",
        meaning="screens used, smoothing screen included",
        kind="number",
        of=lambda s: float(len(s.stack.passes)),
        stack_fact=True,
    ),
    Fact(
        name="white mesh",
        meaning="mesh count of the first white pass, threads per inch",
        kind="number",
        of=lambda s: _white_pass(s)[0],
        stack_fact=True,
    ),
    Fact(
        name="white hits",
        meaning="hits of the first white pass",
        kind="number",
        of=lambda s: _white_pass(s)[1],
        stack_fact=True,
    ),
)

FACTS: tuple[Fact, ...] = (*CLOTH_FACTS, *ORDER_FACTS, *STACK_FACTS)
