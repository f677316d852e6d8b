"""Candidate stacks from the shelves."""

from dataclasses import replace

import pytest

from laydown.domain.ink import InkFamily
from laydown.domain.screen import ScreenState
from laydown.domain.stack import Role
from laydown.errors import InvalidInput
from laydown.planning.candidates import (
    ADDITIVE_SHARE,
    MESH_SPANS,
    MESHES_PER_ROLE,
    REDUCER_SHARE,
    Wanted,
    candidate_stacks,
    suitable_screens,
    treatments,
)
from laydown.units import to_threads_per_inch
from small_shop import (
    a_print,
    additive,
    barrier,
    blocking_white,
    closed_screen,
    colour,
    mesh,
    reducer,
    screen,
    shop,
    white,
)

PRINT = a_print()
RED, BLUE = colour("Red"), colour("Blue", "#1f4e9c")
RACK = tuple(screen(name) for name in ("34/100", "43/80", "61/64", "77/55", "120/34"))


WHITES = (white(),)


def wanted(*colours, whites=WHITES, share=0.4):
    return Wanted(white_coverage=share, whites=whites, colours=tuple((ink, 0.2) for ink in colours))


def stacks(shop_=None, want=None, print_=PRINT):
    return candidate_stacks(shop_ or shop(), print_, want or wanted())


def roles(stack):
    return tuple(p.role for p in stack.passes)


def meshes(found):
    return [s.mesh.name for s in found]


# --- screens -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("role", [span.role for span in MESH_SPANS])
def test_screens_of_a_role_lie_in_its_span_and_number_no_more_than_allowed(role):
    span = next(s for s in MESH_SPANS if s.role is role)

    found = suitable_screens(shop(screens=RACK), role, PRINT)

    assert 1 <= len(found) <= MESHES_PER_ROLE[role]
    for one in found:
        assert 0.99 * span.low <= to_threads_per_inch(one.mesh.count) <= 1.01 * span.high
    assert [s.mesh.count for s in found] == sorted(s.mesh.count for s in found)


def test_every_span_names_where_it_is_written():
    assert all(span.source and span.low < span.high for span in MESH_SPANS)
    assert {span.role for span in MESH_SPANS} == set(MESHES_PER_ROLE)


def test_of_many_meshes_the_coarsest_and_the_finest_are_tried():
    rack = tuple(
        screen("43/80", name=f"s{n}", mesh=mesh("43/80", name=f"m{n}", count=100.0 * n)) for n in range(40, 60)
    )

    found = suitable_screens(shop(screens=rack), Role.UNDERBASE, PRINT)

    assert len(found) == MESHES_PER_ROLE[Role.UNDERBASE]
    assert (found[0].name, found[-1].name) == ("s40", "s59")


def test_where_one_mesh_is_tried_it_is_the_middle_one():
    assert meshes(suitable_screens(shop(screens=RACK), Role.WHITE, PRINT)) == ["61/64"]


@pytest.mark.parametrize("changes", [{"count": 0}, {"state": ScreenState.IN_USE}])
def test_screens_that_are_gone_or_in_use_are_not_counted(changes):
    rack = (screen("34/100", **changes), screen("43/80"))

    assert meshes(suitable_screens(shop(screens=rack), Role.UNDERBASE, PRINT)) == ["43/80"]


@pytest.mark.parametrize("state", [ScreenState.READY, ScreenState.COATED, ScreenState.RECLAIM])
def test_screens_that_need_work_first_are_counted(state):
    rack = (screen("43/80", state=state),)

    assert meshes(suitable_screens(shop(screens=rack), Role.UNDERBASE, PRINT)) == ["43/80"]


def framed(name, width, height):
    return screen("43/80", name=name, frame_width=width, frame_height=height)


def test_the_smallest_frame_that_holds_the_print_is_taken():
    rack = (framed("large", 0.6, 0.8), framed("small", 0.2, 0.3), framed("right", 0.45, 0.5))

    (found,) = suitable_screens(shop(screens=rack), Role.UNDERBASE, a_print(width=0.3, height=0.4))

    assert found.name == "right"


def test_the_largest_frame_is_taken_when_none_holds_the_print():
    rack = (framed("small", 0.2, 0.3), framed("large", 0.6, 0.8))

    (found,) = suitable_screens(shop(screens=rack), Role.UNDERBASE, a_print(width=0.3, height=0.9))

    assert found.name == "large"


def test_an_empty_rack_is_told_with_what_would_be_allowed():
    with pytest.raises(
        InvalidInput, match=r"screens\.csv: no screen .* underbase \(86 to 160 .*\); there is none in it$"
    ):
        stacks(shop(screens=()))


def test_a_rack_without_the_right_mesh_is_told_with_what_is_owned():
    with pytest.raises(InvalidInput, match="owned are 305 per inch"):
        stacks(shop(screens=(screen("120/34"),)))


# --- inks ----------------------------------------------------------------------------------------------------------


def test_a_white_is_tried_as_it_is_with_additive_and_with_reducer():
    owner = shop(inks=(white(), additive(), reducer()))

    tried = [(ink.name if ink else "", share) for ink, share in treatments(owner, white())]

    assert tried == [("", 0.0), ("Stretch Additive", ADDITIVE_SHARE), ("Reducer", REDUCER_SHARE)]


def test_no_more_is_stirred_in_than_its_own_sheet_allows():
    owner = shop(inks=(white(), additive(share_limit=0.1)))

    assert [share for _, share in treatments(owner, white())] == [0.0, 0.1]


def test_nothing_of_another_chemistry_is_stirred_in():
    owner = shop(inks=(white(), additive(family=InkFamily.SILICONE)))

    assert [ink for ink, _ in treatments(owner, white())] == [None]


def test_a_print_that_needs_a_white_is_refused_without_one():
    with pytest.raises(InvalidInput, match=r"inks\.toml: the ink shelf holds no white"):
        stacks(want=wanted(whites=()))


def test_colours_alone_need_no_white():
    only = wanted(RED, BLUE, whites=(), share=0.0)

    found = stacks(want=only)

    assert {roles(s) for s in found} == {(Role.COLOUR, Role.COLOUR)}
    assert {p.hits for s in found for p in s.passes} == {1, 2}


def test_colours_may_still_go_on_a_white():
    found = stacks(want=wanted(RED, share=0.0))

    assert (Role.COLOUR,) in {roles(s) for s in found}
    assert (Role.UNDERBASE, Role.COLOUR) in {roles(s) for s in found}


def test_a_white_of_another_chemistry_is_not_put_under_a_colour():
    water = colour("Water Blue", family=InkFamily.WATER_BASED)
    water_white = white("Water White", family=InkFamily.WATER_BASED)

    found = stacks(want=wanted(water, whites=(white(), water_white)))

    assert {p.ink.name for s in found for p in s.inked} == {"Water Blue", "Water White"}


def test_a_colour_that_no_white_goes_with_is_told():
    water = colour("Water Blue", family=InkFamily.WATER_BASED)

    with pytest.raises(InvalidInput, match="Water Blue is water-based, and the shelf holds no water-based white"):
        stacks(want=wanted(water))


def test_a_colour_that_no_white_goes_with_may_be_printed_alone():
    water = colour("Water Blue", family=InkFamily.WATER_BASED)

    assert {roles(s) for s in stacks(want=wanted(water, share=0.0))} == {(Role.COLOUR,)}


def test_two_chemistries_in_one_print_are_refused():
    water = colour("Water Blue", family=InkFamily.WATER_BASED)

    with pytest.raises(InvalidInput, match="Red is plastisol and Water Blue is water-based: inks of one print"):
        stacks(want=wanted(RED, water))


# --- stacks --------------------------------------------------------------------------------------------------------


def test_a_white_print_is_tried_in_every_layout():
    owner = shop(screens=(*RACK, closed_screen()))

    found = {(roles(s), s.passes[0].hits, s.flashes) for s in stacks(owner)}

    assert found == {
        ((Role.WHITE,), 1, 0),
        ((Role.WHITE,), 2, 0),
        ((Role.UNDERBASE, Role.WHITE), 1, 1),
        ((Role.UNDERBASE, Role.SMOOTHING, Role.WHITE), 1, 1),
    }


@pytest.mark.parametrize("closed", [(), (closed_screen(count=0),), (closed_screen(state=ScreenState.IN_USE),)])
def test_without_a_closed_screen_nothing_is_smoothed(closed):
    found = stacks(shop(screens=(*RACK, *closed)))

    assert not any(Role.SMOOTHING in roles(s) for s in found)


def test_every_stack_is_offered_once():
    labels = [s.label for s in stacks(shop(screens=(*RACK, closed_screen()), inks=(white(), additive())))]

    assert len(labels) == len(set(labels))


def test_a_barrier_goes_first_and_is_flashed():
    owner = shop(inks=(white(), barrier()))
    with_barrier = [s for s in stacks(owner) if s.passes[0].role is Role.BARRIER]

    assert with_barrier
    assert len(with_barrier) == len(stacks(owner)) / 2
    for one in with_barrier:
        assert one.passes[0].flash_after
        assert one.passes[0].ink.name == "Dark Barrier"
        assert Role.BARRIER not in roles(one)[1:]


def test_a_barrier_of_another_chemistry_is_left_out():
    owner = shop(inks=(white(), barrier(family=InkFamily.SILICONE)))

    assert not any(Role.BARRIER in roles(s) for s in stacks(owner))


def test_a_rack_without_a_mesh_for_a_barrier_is_planned_without_one():
    owner = shop(inks=(white(), barrier()), screens=(screen("34/100"),))

    found = stacks(owner)

    assert found
    assert not any(Role.BARRIER in roles(s) for s in found)


def test_a_rack_with_one_mesh_is_enough_for_a_white():
    found = stacks(shop(screens=(screen("43/80"),)))

    assert {meshname for s in found for meshname in meshes(p.screen for p in s.passes)} == {"43/80"}
    assert any(s.flashes for s in found)


def test_colours_lie_on_a_flashed_underbase():
    for one in stacks(want=wanted(RED, BLUE, share=0.0)):
        if one.passes[0].role is Role.COLOUR:
            continue
        below = [p for p in one.inked if p.role is Role.UNDERBASE]
        assert below[-1].flash_after
        assert all(p.coverage == pytest.approx(0.4) for p in below)
        assert [p.ink.name for p in one.passes if p.role is Role.COLOUR] == ["Red", "Blue"]


def test_white_among_colours_may_be_a_highlight_on_top():
    found = stacks(shop(screens=RACK), wanted(RED, share=0.3))
    topped = [s for s in found if roles(s)[-1] is Role.HIGHLIGHT]

    assert topped
    for one in topped:
        assert one.passes[-2].role is Role.COLOUR
        assert one.passes[-2].flash_after
        assert one.passes[-1].coverage == pytest.approx(0.3)


def test_without_a_mesh_for_highlights_colours_are_planned_all_the_same():
    found = stacks(shop(screens=(screen("43/80"), screen("120/34"))), wanted(RED, share=0.3))

    assert found
    assert not any(Role.HIGHLIGHT in roles(s) for s in found)


def test_one_print_goes_through_one_white_mixed_one_way():
    owner = shop(inks=(white(), blocking_white(), additive()), screens=RACK)

    for one in stacks(owner, wanted(whites=(white(), blocking_white()))):
        whites = {(p.ink.name, p.additive.name if p.additive else "") for p in one.inked}
        assert len(whites) == 1


def test_the_print_is_covered_by_what_is_wanted():
    want = wanted(RED, BLUE, share=0.25)

    assert want.coverage == pytest.approx(0.65)
    for one in stacks(want=want):
        assert max(p.coverage for p in one.passes) == pytest.approx(0.65)


def test_the_usual_white_stays_as_it_was():
    # The shelves are records: trying candidates changes nothing on them.
    owner = shop()
    before = replace(owner)
    stacks(owner)

    assert owner == before
