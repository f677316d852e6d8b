"""Candidate stacks for one print, from what stands on the shop's shelves."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from laydown.domain.ink import Ink, InkKind
from laydown.domain.order import Print
from laydown.domain.screen import Screen, ScreenState
from laydown.domain.shop import Shop
from laydown.domain.stack import Pass, Role, Stack
from laydown.errors import InvalidInput
from laydown.units import from_threads_per_inch, to_threads_per_inch

WHITE_PLATE = "white"
"""What the plate of the white is called among the measured ones, whichever white is printed through it."""

ADDITIVE_SHARE = 0.25
"""Share of stretch additive that a candidate carries, or the additive's own limit where that is lower."""

REDUCER_SHARE = 0.05
"""Share of reducer that a candidate carries, or the reducer's own limit where that is lower."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshSpan:
    """Mesh counts that suit a role [threads per inch], and where that is written."""

    role: Role
    low: float
    high: float
    source: str


# Supply-house article: 86/in heavy ink, 110/in block-letter underbase, 156/in general, 196/in multicolour on lights,
# 230/in underbase for simulated process, 305/in process; Printwear, Sep 2017: underbase 125-140/in, overprints 110-230.
MESH_SPANS = (
    MeshSpan(role=Role.BARRIER, low=100, high=160, source="Printwear 2017; supply-house article"),
    MeshSpan(role=Role.UNDERBASE, low=86, high=160, source="Printwear 2017; supply-house article"),
    MeshSpan(role=Role.WHITE, low=86, high=200, source="supply-house article"),
    MeshSpan(role=Role.COLOUR, low=150, high=310, source="Printwear 2017; supply-house article"),
    MeshSpan(role=Role.HIGHLIGHT, low=120, high=235, source="Printwear 2017"),
)

# The same article for pictures in dots: 230/in under simulated process, 305/in for process and overprints.
HALFTONE_SPANS = (
    MeshSpan(role=Role.UNDERBASE, low=150, high=235, source="supply-house article"),
    MeshSpan(role=Role.WHITE, low=150, high=310, source="supply-house article"),
    MeshSpan(role=Role.COLOUR, low=190, high=310, source="supply-house article"),
    MeshSpan(role=Role.HIGHLIGHT, low=190, high=310, source="supply-house article"),
)

MESH_PER_LINE = 3.5
"""Threads for each line of a halftone, at least; Coudray 2003 (3.5 or 4), who warns that no exact ratio holds."""

MESHES_PER_ROLE = {Role.BARRIER: 1, Role.UNDERBASE: 4, Role.WHITE: 1, Role.COLOUR: 2, Role.HIGHLIGHT: 1}
"""How many of the suitable meshes are tried: the coarsest, the finest and what lies between."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """The print's colours as shelf inks.

    Attributes
    ----------
    white_coverage : float
        Share of the rectangle where white is the visible colour.
    whites : tuple of Ink
        Whites that may be used.
    colours : tuple of (Ink, float)
        Colour inks and the share each covers.
    underbase : float or None
        Share under which the art needs white; None: under all of it.
    on_cloth : frozenset of str
        Colours that lie straight on the cloth.
    edges : tuple of (str, float)
        Edge per inked area [1/m] of the inks whose plates were measured.
    """

    white_coverage: float
    whites: tuple[Ink, ...]
    colours: tuple[tuple[Ink, float], ...]
    underbase: float | None = None
    on_cloth: frozenset[str] = frozenset()
    edges: tuple[tuple[str, float], ...] = ()

    @property
    def coverage(self) -> float:
        """Share of the rectangle on which white is laid when the stack holds one."""
        if self.underbase is not None:
            return min(1.0, self.underbase)
        return self.white_coverage + sum(share for _, share in self.colours)

    def edge(self, ink: str) -> float:
        """Edge of an ink's plate per inked area [1/m]; 0 when it was not measured."""
        return dict(self.edges).get(ink, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Layout:
    """How the white is built up: hits of the first pass, and whether a flash and a second pass follow."""

    hits: int
    second: bool
    smooth: bool


LAYOUTS = (
    _Layout(hits=1, second=False, smooth=False),
    _Layout(hits=2, second=False, smooth=False),
    _Layout(hits=1, second=True, smooth=False),
    _Layout(hits=1, second=True, smooth=True),
)


def suitable_screens(shop: Shop, role: Role, print_: Print) -> tuple[Screen, ...]:
    """Screens of the rack that suit a role, coarsest first, at most `MESHES_PER_ROLE` of them.

    Of screens with the same mesh the smallest frame that holds the print is taken (the largest when none does).

    Raises
    ------
    InvalidInput
        When the rack holds no screen of a suitable mesh.
    """
    span = span_for(role, print_)
    low, high = from_threads_per_inch(span.low), from_threads_per_inch(span.high)
    fit = sorted(
        (
            s
            for s in shop.screens
            if s.mesh is not None
            and s.count > 0
            and s.state is not ScreenState.IN_USE
            and 0.99 * low <= s.mesh.count <= 1.01 * high
        ),
        key=lambda s: s.mesh.count if s.mesh else 0.0,
    )
    if print_.ruling is not None and role is not Role.BARRIER:
        # Where no mesh is fine enough for the ruling, the finest is the nearest thing; the dots are warned of.
        fine = [s for s in fit if s.mesh is not None and s.mesh.count >= MESH_PER_LINE * print_.ruling]
        fit = fine or [s for s in fit if s.mesh is not None and s.mesh.name == fit[-1].mesh.name]  # type: ignore[union-attr]
    by_mesh: dict[str, list[Screen]] = {}
    for screen in fit:
        by_mesh.setdefault(screen.mesh.name if screen.mesh else "", []).append(screen)
    fit = [_frame_for(print_, alike) for alike in by_mesh.values()]
    if not fit:
        owned = ", ".join(f"{to_threads_per_inch(s.mesh.count):.0f}" for s in shop.screens if s.mesh)
        raise InvalidInput(
            f"no screen in the rack suits the {role.value} ({span.low:g} to {span.high:g} threads per inch); "
            f"{f'owned are {owned} per inch' if owned else 'there is none in it'}",
            where="screens.csv",
        )
    wanted = MESHES_PER_ROLE[role]
    if wanted == 1:
        return (fit[len(fit) // 2],)
    if len(fit) <= wanted:
        return tuple(fit)
    steps = [round(i * (len(fit) - 1) / (wanted - 1)) for i in range(wanted)]
    return tuple(fit[i] for i in steps)


def span_for(role: Role, print_: Print) -> MeshSpan:
    """Mesh counts that suit a role: finer ones where the print is made of dots."""
    spans = HALFTONE_SPANS + MESH_SPANS if print_.ruling is not None else MESH_SPANS
    return next(s for s in spans if s.role is role)


def _screens_if_any(shop: Shop, role: Role, print_: Print) -> tuple[Screen, ...]:
    """Screens for a role that a print can do without; empty when the rack holds none."""
    try:
        return suitable_screens(shop, role, print_)
    except InvalidInput:
        return ()


def _frame_for(print_: Print, screens: list[Screen]) -> Screen:
    holding = [s for s in screens if s.frame_width >= print_.width and s.frame_height >= print_.height]
    if holding:
        return min(holding, key=lambda s: s.frame_width * s.frame_height)
    return max(screens, key=lambda s: s.frame_width * s.frame_height)


def treatments(shop: Shop, white: Ink) -> Iterator[tuple[Ink | None, float]]:
    """A white as it is, with stretch additive, and with reducer."""
    yield None, 0.0
    for kind, share in ((InkKind.STRETCH_ADDITIVE, ADDITIVE_SHARE), (InkKind.REDUCER, REDUCER_SHARE)):
        for additive in shop.inks_of(kind):
            if additive.family is white.family:
                yield additive, min(share, additive.share_limit)


def candidate_stacks(shop: Shop, print_: Print, wanted: Wanted) -> tuple[Stack, ...]:
    """Every stack worth a thought for this print, cheapest kinds first.

    Parameters
    ----------
    shop : Shop
    print_ : Print
    wanted : Wanted
        The print's colours as shelf inks.

    Raises
    ------
    InvalidInput
        When the shelves lack a white, a suitable screen, or a white of the colours' chemistry: water-based, discharge
        and silicone inks do not hold on plastisol, nor plastisol on them (from memory).
    """
    if wanted.white_coverage > 0 and not wanted.whites:
        raise InvalidInput("the ink shelf holds no white, and this print needs one", where="inks.toml")
    families = {ink.family: ink for ink, _ in wanted.colours}
    if len(families) > 1:
        names = " and ".join(f"{ink.name} is {family.value}" for family, ink in families.items())
        raise InvalidInput(f"{names}: inks of one print are of one chemistry", where=f"print {print_.place!r}")
    whites = tuple(w for w in wanted.whites if not families or w.family in families)
    if wanted.white_coverage > 0 and not whites:
        (family, ink), *_ = families.items()
        raise InvalidInput(
            f"{ink.name} is {family.value}, and the shelf holds no {family.value} white to print it with",
            where=f"print {print_.place!r}",
        )
    stacks: dict[str, Stack] = {}
    if wanted.colours and wanted.white_coverage == 0:
        for screen in suitable_screens(shop, Role.COLOUR, print_):
            for hits in (1, 2):
                _keep(stacks, _colour_passes(wanted, screen, hits=hits, flash_last=False))
    for white in whites:
        for additive, share in treatments(shop, white):
            for barrier in (None, *(b for b in shop.inks_of(InkKind.BARRIER) if b.family is white.family)):
                for passes in _white_builds(shop, print_, wanted, white, additive, share, barrier):
                    _keep(stacks, passes)
    return tuple(stacks.values())


def _keep(stacks: dict[str, Stack], passes: tuple[Pass, ...]) -> None:
    stack = Stack(passes=passes)
    stacks.setdefault(stack.label, stack)


def _colour_passes(wanted: Wanted, screen: Screen, *, hits: int, flash_last: bool) -> tuple[Pass, ...]:
    last = len(wanted.colours) - 1
    return tuple(
        Pass(
            role=Role.COLOUR,
            ink=ink,
            screen=screen,
            hits=hits,
            coverage=share,
            flash_after=flash_last and i == last,
            shows=share,
            on_cloth=ink.name in wanted.on_cloth,
            edge_length=wanted.edge(ink.name),
        )
        for i, (ink, share) in enumerate(wanted.colours)
    )


def _white_builds(
    shop: Shop, print_: Print, wanted: Wanted, white: Ink, additive: Ink | None, share: float, barrier: Ink | None
) -> Iterator[tuple[Pass, ...]]:
    free = (s for s in shop.screens if s.smooths and s.count > 0 and s.state is not ScreenState.IN_USE)
    closed = next(free, None)
    colours = bool(wanted.colours)

    # Where colours lie beside each other on the white, it shows only in its own part.
    shows = wanted.white_coverage

    def white_pass(role: Role, screen: Screen, *, hits: int = 1, flash: bool, coverage: float) -> Pass:
        return Pass(
            role=role,
            ink=white,
            additive=additive,
            additive_share=share,
            screen=screen,
            hits=hits,
            flash_after=flash,
            coverage=coverage,
            shows=shows,
            edge_length=wanted.edge(WHITE_PLATE),
        )

    first_down: tuple[Pass, ...] = ()
    if barrier is not None:
        for screen in _screens_if_any(shop, Role.BARRIER, print_):
            first_down = (
                Pass(
                    role=Role.BARRIER,
                    ink=barrier,
                    screen=screen,
                    flash_after=True,
                    coverage=wanted.coverage,
                    shows=0.0,
                    edge_length=wanted.edge(WHITE_PLATE),
                ),
            )
        if not first_down:
            return
    tops = _screens_if_any(shop, Role.HIGHLIGHT, print_)

    for base in suitable_screens(shop, Role.UNDERBASE, print_):
        for layout in LAYOUTS:
            if layout.smooth and closed is None:
                continue
            flash_first = layout.second or colours
            role = Role.UNDERBASE if flash_first else Role.WHITE
            passes = [white_pass(role, base, hits=layout.hits, flash=flash_first, coverage=wanted.coverage)]
            if layout.smooth and closed is not None:
                passes.append(Pass(role=Role.SMOOTHING, ink=None, screen=closed, coverage=wanted.coverage))
            seconds: tuple[Screen | None, ...] = tuple(dict.fromkeys((base, *tops))) if layout.second else (None,)
            for top in seconds:
                built = [*first_down, *passes]
                if top is not None:
                    second_role = Role.UNDERBASE if colours else Role.WHITE
                    built.append(white_pass(second_role, top, flash=colours, coverage=wanted.coverage))
                if not colours:
                    yield tuple(built)
                    continue
                for screen in suitable_screens(shop, Role.COLOUR, print_):
                    yield (*built, *_colour_passes(wanted, screen, hits=1, flash_last=False))
                    if wanted.white_coverage > 0 and not layout.second:
                        for light in tops:
                            yield (
                                *built,
                                *_colour_passes(wanted, screen, hits=1, flash_last=True),
                                white_pass(Role.HIGHLIGHT, light, flash=False, coverage=wanted.white_coverage),
                            )
