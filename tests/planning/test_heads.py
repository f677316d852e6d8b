import itertools
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from laydown.domain.stack import Role
from laydown.errors import InvalidInput
from laydown.planning.head_search import FLASH, deal_heads
from laydown.planning.heads import NoPlace, place
from laydown.production.placement import Placement, same_plate
from production_records import colour_pass, manual_press, press, screen, smoothing_pass, stack, white_pass

UNDERBASE = white_pass(Role.UNDERBASE, flash_after=True)
PRINT_FLASH_PRINT = stack(UNDERBASE, white_pass())


def put(printed, machine, **changes):
    return place(printed, machine, **({"print_width": 0.3, "print_height": 0.35} | changes))


def heads(placement):
    return [(p.head, p.revolution) for p in placement.passes]


def test_screens_and_the_flash_stand_in_printing_order():
    result = put(stack(UNDERBASE, colour_pass("red"), colour_pass("blue")), press())

    assert heads(result) == [(1, 1), (3, 1), (4, 1)]
    assert (result.passes[0].flash_head, result.passes[0].flash_revolution) == (2, 1)
    assert (result.revolutions, result.screens, result.burned, result.flash_units) == (1, 3, 3, 1)


def test_a_pass_stands_right_before_its_flash_even_when_the_flash_stands_far_down():
    result = put(stack(UNDERBASE, colour_pass("red")), press(flash_heads=(5,), units=1))

    assert heads(result) == [(4, 1), (6, 1)]
    assert result.passes[0].flash_head == 5


def test_print_flash_print_takes_two_screens_in_one_revolution_when_the_heads_allow_it():
    result = put(PRINT_FLASH_PRINT, press())

    assert (result.revolutions, result.screens) == (1, 2)


def test_print_flash_print_through_one_screen_takes_two_revolutions():
    for result in (
        put(PRINT_FLASH_PRINT, press(), revolutions=(2,)),
        put(PRINT_FLASH_PRINT, press(heads=2, flash_heads=(2,), units=1)),
        put(stack(*(white_pass(role, screen=screen(count=1), flash_after=role is Role.UNDERBASE)
                    for role in (Role.UNDERBASE, Role.WHITE))), press()),
    ):  # fmt: skip
        assert (result.revolutions, result.screens, result.burned) == (2, 1, 1)
        assert heads(result) == [(1, 1), (1, 2)]
        assert result.passes[0].flash_head == 2


def test_one_flash_serves_two_flashes_in_two_revolutions():
    printed = stack(white_pass(Role.BARRIER, flash_after=True, coverage=0.9), UNDERBASE, colour_pass("red"))
    result = put(printed, press(flash_heads=(3,), units=1))

    assert isinstance(result, Placement)
    assert (result.revolutions, result.flash_units, result.screens) == (2, 1, 3)
    assert [p.flash_head for p in result.passes] == [3, 3, None]


def test_a_smoothing_screen_is_set_up_but_not_burned():
    result = put(stack(UNDERBASE, smoothing_pass(), colour_pass("red")), press())

    assert (result.screens, result.burned) == (3, 2)


def test_on_a_manual_press_the_flash_takes_no_head_and_a_plate_serves_again():
    result = put(stack(UNDERBASE, white_pass(), colour_pass("red")), manual_press())

    assert heads(result) == [(1, 1), (1, 1), (2, 1)]
    assert all(p.flash_head is None for p in result.passes)
    assert (result.revolutions, result.screens, result.flash_units) == (1, 2, 1)


FOUR_COLOURS = tuple(colour_pass(name) for name in ("red", "blue", "green", "gold"))
THREE_FLASHES = stack(
    white_pass(Role.BARRIER, flash_after=True, coverage=0.9), UNDERBASE, colour_pass("red", flash_after=True),
    colour_pass("blue"),
)  # fmt: skip


@pytest.mark.parametrize(
    ("printed", "machine", "changes", "reason"),
    [
        (PRINT_FLASH_PRINT, press(), {"print_width": 0.42}, "the print is 420 mm wide, the pallet prints 380 mm"),
        (PRINT_FLASH_PRINT, press(), {"print_height": 0.5}, "the print is 500 mm high, the pallet prints 450 mm"),
        (
            stack(white_pass(screen=screen("small", frame_width=0.25))),
            press(),
            {},
            "the print is 300 mm wide, the frame of screen small is inside 250 mm",
        ),
        (THREE_FLASHES, press(), {"revolutions": (1,)}, "needs 3 flashes; the press has 2 units"),
        (
            THREE_FLASHES,
            press(units=1),
            {},
            "needs 3 flashes; the press has 1 unit that can flash 2 times in 2 revolutions",
        ),
        (
            PRINT_FLASH_PRINT,
            press(flash_heads=(), units=0),
            {},
            "needs 1 flash; the press has no flash unit",
        ),
        (PRINT_FLASH_PRINT, manual_press(units=0), {}, "needs 1 flash; the press has no flash unit"),
        (
            stack(UNDERBASE, *FOUR_COLOURS),
            press(heads=4, flash_heads=(2,)),
            {},
            "needs 5 screens; the press has 4 heads",
        ),
        (stack(UNDERBASE, *FOUR_COLOURS), manual_press(), {}, "needs 5 screens; the press has 4 heads"),
        (
            stack(UNDERBASE, *FOUR_COLOURS),
            press(heads=5, flash_heads=(2,)),
            {},
            "needs 6 heads for 5 screens and 1 flash; the press has 5",
        ),
        (
            stack(*(colour_pass(name, screen=screen("120/34", count=1)) for name in ("red", "blue"))),
            press(),
            {},
            "needs 2 screens of 120/34; the rack has 1",
        ),
        (
            stack(*(colour_pass(name) for name in ("red", "blue", "blue", "red"))),
            press(heads=2, flash_heads=(2,)),
            {},
            "the passes do not fit in this order on 2 heads in 2 revolutions",
        ),
        (
            stack(UNDERBASE, colour_pass("red"), colour_pass("blue")),
            press(heads=4, flash_heads=(4,)),
            {"revolutions": (1,)},
            (
                "the passes do not fit in this order on 4 heads in one revolution: a flash may stand only at head 4, "
                "and the press has 2 units"
            ),
        ),
    ],
)
def test_the_reason_why_a_stack_cannot_stand_is_in_printers_words(printed, machine, changes, reason):
    assert put(printed, machine, **changes) == NoPlace(press=machine.name, reason=reason)


def test_a_print_as_large_as_the_pallet_fits():
    assert isinstance(put(PRINT_FLASH_PRINT, press(), print_width=0.38, print_height=0.45), Placement)


@pytest.mark.parametrize("revolutions", [(), (0,), (1, 4)])
def test_odd_numbers_of_revolutions_are_refused(revolutions):
    with pytest.raises(InvalidInput, match="allowed are one or more numbers from 1 to 3"):
        put(PRINT_FLASH_PRINT, press(), revolutions=revolutions)


@st.composite
def cases(draw):
    inks = draw(st.lists(st.integers(0, 3), min_size=1, max_size=6))
    owned = screen("120/34", count=draw(st.integers(1, 4)))
    passes = [colour_pass(f"ink {n}", screen=owned, flash_after=draw(st.booleans())) for n in inks]
    size = draw(st.integers(1, 9))
    where = tuple(sorted(draw(st.sets(st.integers(1, size), min_size=1))))
    return stack(*passes), press(heads=size, flash_heads=where, units=draw(st.integers(1, 3)))


@settings(deadline=None)
@given(cases())
def test_every_placement_keeps_the_order_and_the_limits_of_the_press(case):
    printed, machine = case
    result = put(printed, machine)
    if isinstance(result, NoPlace):
        return
    walk = []
    for p, one in zip(result.passes, printed.passes, strict=True):
        walk.append((p.revolution, p.head))
        if one.flash_after:
            walk.append((p.flash_revolution, p.flash_head))
            assert p.flash_head in machine.flash_heads
    flashes = {p.flash_head for p in result.passes} - {None}
    screens = {p.head for p in result.passes}

    assert walk == sorted(set(walk))
    assert {head for _, head in walk} <= set(range(1, machine.heads + 1))
    assert {turn for turn, _ in walk} == set(range(1, result.revolutions + 1))
    assert len(flashes) <= len(machine.flashes)
    assert not flashes & screens
    for (a, first), (b, second) in itertools.combinations(zip(result.passes, printed.passes, strict=True), 2):
        assert a.head != b.head or same_plate(first, second)


def brute_force(steps, turns, size, flash_heads, units, owned):
    """Fewest screens, units by trying every station for every step; None when nothing fits."""
    slots = [(turn, head) for turn in range(turns) for head in range(1, size + 1)]
    best = None
    for walk in itertools.combinations(slots, len(steps)):
        at = {}
        for (_, head), step in zip(walk, steps, strict=True):
            at.setdefault(head, set()).add(step)
        if len({turn for turn, _ in walk}) < turns or any(len(found) > 1 for found in at.values()):
            continue
        flashes = [head for head, found in at.items() if found == {FLASH}]
        screens = len(at) - len(flashes)
        if set(flashes) <= set(flash_heads) and len(flashes) <= units and screens <= owned:
            best = min(best or (99, 99), (screens, len(flashes)))
    return best


@pytest.mark.parametrize("seed", range(60))
def test_the_search_finds_a_place_exactly_when_trying_everything_does(seed):
    rng = random.Random(seed)
    turns = rng.choice((1, 2))
    size = rng.randint(2, 5)
    steps = []
    for _ in range(rng.randint(1, 3)):
        steps += [rng.randint(0, 2), *([FLASH] if rng.random() < 0.6 else [])]
    flash_heads = tuple(h for h in range(1, size + 1) if rng.random() < 0.5)
    units, owned = rng.randint(1, 2), rng.randint(1, 3)
    found = deal_heads(
        tuple(steps), turns=turns, heads=size, flash_heads=flash_heads, units=units,
        kinds=dict.fromkeys(range(3), "mesh"), rack={"mesh": owned},
    )  # fmt: skip
    expected = brute_force(steps, turns, size, flash_heads, units, owned)

    if expected is None:
        assert found is None
    else:
        flashes = {head for (head, _), step in zip(found, steps, strict=True) if step == FLASH}
        screens = {head for (head, _), step in zip(found, steps, strict=True) if step != FLASH}
        assert (len(screens), len(flashes)) == expected
