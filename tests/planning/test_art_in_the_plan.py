"""What was measured on the art reaches the candidates: white, meshes, detail, edges."""

from dataclasses import replace

import pytest

from laydown.domain.art import Art, ArtRequest, PlateMeasure
from laydown.domain.stack import Pass, Role, Stack
from laydown.models.appearance import visible_areas
from laydown.models.film import finest_detail
from laydown.planning.candidates import MESH_PER_LINE, candidate_stacks, span_for, suitable_screens
from laydown.planning.detail import detail_notes, details, worst_detail
from laydown.planning.wanted import resolve_inks
from laydown.production.ink_use import edge_laydown
from small_shop import a_print, colour, mesh, screen, shop, white

RED, BLACK = colour("Red"), colour("Black", "#151515")
RACK = tuple(screen(name) for name in ("34/100", "43/80", "61/64", "77/55", "120/34"))
SHOP = shop(inks=(white(), RED, BLACK), screens=RACK)


def plate(ink, coverage, *, finest=None, area=0.02, edge=3.0, name="", toned=0.0):
    return PlateMeasure(
        plate=name or ink,
        ink=ink,
        coverage=coverage,
        solid=coverage,
        toned=toned,
        edge_length=edge,
        finest_line=finest,
        finest_gap=None,
        area=area,
    )


def art(*plates, underbase=0.3, on_cloth=(), request=None, inked=0.5):
    return Art(request=request or ArtRequest(), plates=plates, inked=inked, underbase=underbase, on_cloth=on_cloth)


def print_with(of, *inks, **changes):
    return replace(a_print(*inks, **changes), art=of)


ON_WHITE = print_with(
    art(
        plate("white", 0.3, finest=0.4e-3, name="underbase"),
        plate("Red", 0.2),
        plate("Black", 0.2),
        on_cloth=("Black",),
    ),
    ("white", 0.1),
    ("Red", 0.2),
    ("Black", 0.2),
)


def stacks_of(print_, owner=SHOP):
    wanted, _ = resolve_inks(owner, print_, condition="D65/10")
    return candidate_stacks(owner, print_, wanted)


def test_white_is_laid_only_where_the_art_needs_it():
    for stack in stacks_of(ON_WHITE):
        for p in stack.inked:
            if p.role in {Role.UNDERBASE, Role.WHITE}:
                assert p.coverage == 0.3


def test_an_ink_on_the_cloth_is_seen_without_white_below_and_the_others_with_it():
    for stack in stacks_of(ON_WHITE):
        rows = {area.name: area.rows for area in visible_areas(stack)}
        names = [p.ink.name for p in stack.inked]

        assert rows["Black"] == (names.index("Black"),)
        assert rows["Red"][0] == 0
        assert len(rows["Red"]) > 1


def test_white_that_only_lies_below_is_not_an_area_of_its_own():
    below = print_with(art(plate("white", 0.4, name="underbase"), plate("Red", 0.3), underbase=0.4), ("Red", 0.3))
    shown = print_with(
        art(plate("white", 0.2, name="underbase"), plate("Red", 0.3), underbase=0.2), ("white", 0.1), ("Red", 0.3)
    )

    assert all([a.name for a in visible_areas(s)] == ["Red"] for s in stacks_of(below) if len(s.inked) > 1)
    assert all("white" in [a.name for a in visible_areas(s)] for s in stacks_of(shown))


def test_warnings_of_the_art_reach_the_plan():
    noted = replace(ON_WHITE, art=replace(ON_WHITE.art, warnings=("the red is 4.0 away",)))

    assert "the red is 4.0 away" in resolve_inks(SHOP, noted, condition="D65/10")[1]


def test_dots_are_printed_through_finer_meshes():
    toned = a_print(ruling=45 / 0.0254)

    for role in (Role.UNDERBASE, Role.COLOUR):
        assert span_for(role, toned).low > span_for(role, a_print()).low
        for one in suitable_screens(SHOP, role, toned):
            assert one.mesh.count >= MESH_PER_LINE * toned.ruling


def test_a_ruling_beyond_every_mesh_gets_the_finest_there_is():
    (one,) = suitable_screens(SHOP, Role.UNDERBASE, a_print(ruling=150 / 0.0254))

    assert one.mesh.name == "77/55"


def passes(*meshes, ink=None):
    return Stack(passes=tuple(Pass(role=Role.WHITE, ink=ink or white(), screen=screen(m)) for m in meshes))


def test_measured_detail_is_asked_for_as_far_as_the_rack_goes():
    tiny = print_with(art(plate("white", 0.3, finest=20e-6)), ("white", 0.3))
    worst_mesh = mesh("34/100")

    (coarse,) = details(SHOP, tiny, passes("34/100"))
    (fine,) = details(SHOP, tiny, passes("77/55"))

    assert coarse.held == pytest.approx(finest_detail(worst_mesh))
    assert coarse.asked == fine.asked == pytest.approx(finest_detail(mesh("77/55")))
    assert not coarse.met
    assert fine.met


def test_detail_that_no_mesh_holds_is_said_in_words():
    tiny = print_with(art(plate("white", 0.3, finest=50e-6, name="underbase")), ("white", 0.3))

    (said,) = detail_notes(SHOP, tiny, passes("77/55"))

    assert "underbase detail down to 0.05 mm; mesh 77/55 holds" in said


def test_detail_that_the_order_states_binds_every_mesh():
    stated = print_with(art(plate("white", 0.3, finest=5e-3), request=ArtRequest(finest_detail=50e-6)), ("white", 0.3))

    assert not worst_detail(SHOP, stated, passes("77/55")).met


def test_without_a_known_detail_every_mesh_will_do():
    assert worst_detail(SHOP, print_with(art(plate("white", 0.3)), ("white", 0.3)), passes("34/100")) is None


def test_edges_take_the_ink_that_the_stencil_holds_there():
    # Lines of 1 mm have 2 m of edge for each mm·m, 2000 1/m; a band of 0.3 mm at each edge, falling linearly, fills
    # 0.3 of the stencil's height on average.
    line = Pass(
        role=Role.WHITE, ink=white(), screen=replace(screen("43/80"), emulsion_over_mesh=20e-6), edge_length=2000.0
    )

    assert edge_laydown(line) == pytest.approx(6e-6)
    assert edge_laydown(replace(line, hits=2)) == pytest.approx(12e-6)
    assert edge_laydown(replace(line, edge_length=0.0)) == 0
