"""Which screen and which flash stands at which head, and in how many revolutions a stack is printed."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from laydown.domain.press import Press
from laydown.domain.stack import Stack
from laydown.errors import InvalidInput
from laydown.planning.head_search import FLASH, Station, deal_heads
from laydown.production.placement import Placed, Placement, plate_numbers


@dataclass(frozen=True, slots=True, kw_only=True)
class NoPlace:
    """Why a stack cannot be printed on a press, in a printer's words."""

    press: str
    reason: str


def place(
    stack: Stack,
    press: Press,
    *,
    print_width: float,
    print_height: float,
    revolutions: tuple[int, ...] = (1, 2),
) -> Placement | NoPlace:
    """Place passes and flashes on a press.

    Parameters
    ----------
    stack : Stack
    press : Press
    print_width, print_height : float
        [m].
    revolutions : tuple of int
        Numbers of revolutions that are allowed, tried in this order; a manual press has none and ignores them.
        More than one: the pallets pass all heads again before they are unloaded. A screen keeps its head, and
        passes that need the same plate (see `same_plate`) may share one.

    Returns
    -------
    Placement or NoPlace
        For the first number of revolutions that works, the placement with the fewest screens, then the fewest flash
        units, then the flash nearest behind the pass it dries, then the lowest heads. Otherwise the reason.

    Raises
    ------
    InvalidInput
        When ``revolutions`` is empty or holds a number outside 1 to 3.

    Notes
    -----
    On an automatic press a flash takes one of the press's ``flash_heads``, after its pass and before the next; a
    unit may work in every revolution. On a manual press it swings over the pallet and takes no head.
    """
    if not revolutions or not all(1 <= number <= 3 for number in revolutions):
        raise InvalidInput(f"revolutions are {list(revolutions)}; allowed are one or more numbers from 1 to 3")
    plates = plate_numbers(stack.passes)
    turns = max(revolutions)
    reason = _too_large(stack, press, print_width, print_height)
    if not reason and press.automatic:
        reason = (
            _too_few_flashes(stack, press, turns)
            or _too_few_screens(stack, press, _fewest(plates, turns), turns)
            or _too_few_heads(stack, press, _fewest(plates, turns), turns)
        )
    elif not reason:
        # A manual press swings any screen in at any time, so a plate serves all passes that can share it.
        reason = _too_few_flashes(stack, press, stack.flashes) or _too_few_screens(
            stack, press, len(set(plates)), len(stack.passes)
        )
    if reason:
        return NoPlace(press=press.name, reason=reason)
    if not press.automatic:
        return _manual(stack, press, plates)
    for number in revolutions:
        stations = _deal(stack, press, plates, number)
        if stations is not None:
            return _automatic(stack, press, stations, number)
    return NoPlace(press=press.name, reason=_no_order(stack, press, turns))


def _too_large(stack: Stack, press: Press, width: float, height: float) -> str:
    """Say which side of the print is larger than the pallet prints, or than a frame is inside."""
    limits = [("pallet prints", press.print_width, press.print_height)]
    for printed in stack.passes:
        screen = printed.screen
        limits.append((f"frame of screen {screen.name} is inside", screen.frame_width, screen.frame_height))
    for what, wide, high in limits:
        for side, size, limit in (("wide", width, wide), ("high", height, high)):
            if size > limit * (1 + 1e-9):
                return f"the print is {1e3 * size:.0f} mm {side}, the {what} {1e3 * limit:.0f} mm"
    return ""


def _too_few_flashes(stack: Stack, press: Press, turns: int) -> str:
    units = len(press.flashes)
    if stack.flashes <= units * turns:
        return ""
    if not units:
        return f"needs {_count(stack.flashes, 'flash')}; the press has no flash unit"
    often = f" that can flash {units * turns} times in {turns} revolutions" if turns > 1 else ""
    return f"needs {_count(stack.flashes, 'flash')}; the press has {_count(units, 'unit')}{often}"


def _too_few_screens(stack: Stack, press: Press, screens: int, turns: int) -> str:
    """Say which screens are missing at the press or in the rack when a plate may print ``turns`` times."""
    if screens > press.heads:
        return f"needs {_count(screens, 'screen')}; the press has {_count(press.heads, 'head')}"
    for screen in {printed.screen.name: printed.screen for printed in stack.passes}.values():
        alike = tuple(printed for printed in stack.passes if printed.screen.name == screen.name)
        wanted = _fewest(plate_numbers(alike), turns)
        if wanted > screen.count:
            return f"needs {_count(wanted, 'screen')} of {screen.name}; the rack has {screen.count}"
    return ""


def _too_few_heads(stack: Stack, press: Press, screens: int, turns: int) -> str:
    flashes = -(-stack.flashes // turns)
    if screens + flashes <= press.heads:
        return ""
    together = f"{_count(screens, 'screen')} and {_count(flashes, 'flash')}"
    return f"needs {screens + flashes} heads for {together}; the press has {press.heads}"


def _no_order(stack: Stack, press: Press, turns: int) -> str:
    tried = f"{turns} revolutions" if turns > 1 else "one revolution"
    reason = f"the passes do not fit in this order on {press.heads} heads in {tried}"
    if not stack.flashes:
        return reason
    stands = " or ".join(str(head) for head in press.flash_heads)
    return f"{reason}: a flash may stand only at head {stands}, and the press has {_count(len(press.flashes), 'unit')}"


def _fewest(plates: tuple[int, ...], turns: int) -> int:
    """Fewest screens for these plates when each prints at most ``turns`` times."""
    return sum(-(-times // turns) for times in Counter(plates).values())


def _manual(stack: Stack, press: Press, plates: tuple[int, ...]) -> Placement:
    placed = tuple(
        Placed(head=plate + 1, revolution=1, flash_revolution=1 if printed.flash_after else None)
        for plate, printed in zip(plates, stack.passes, strict=True)
    )
    return _summed(stack, press, placed, revolutions=1, flash_units=min(stack.flashes, 1))


def _deal(stack: Stack, press: Press, plates: tuple[int, ...], turns: int) -> tuple[Station, ...] | None:
    steps: list[int] = []
    for plate, printed in zip(plates, stack.passes, strict=True):
        steps += [plate, FLASH] if printed.flash_after else [plate]
    return deal_heads(
        tuple(steps),
        turns=turns,
        heads=press.heads,
        flash_heads=press.flash_heads,
        units=len(press.flashes),
        kinds={plate: printed.screen.name for plate, printed in zip(plates, stack.passes, strict=True)},
        rack={printed.screen.name: printed.screen.count for printed in stack.passes},
    )


def _automatic(stack: Stack, press: Press, stations: tuple[Station, ...], turns: int) -> Placement:
    upcoming = iter(stations)
    placed: list[Placed] = []
    for printed in stack.passes:
        head, turn = next(upcoming)
        flash = next(upcoming) if printed.flash_after else (None, None)
        placed.append(Placed(head=head, revolution=turn, flash_head=flash[0], flash_revolution=flash[1]))
    units = len({p.flash_head for p in placed if p.flash_head is not None})
    return _summed(stack, press, tuple(placed), revolutions=turns, flash_units=units)


def _summed(stack: Stack, press: Press, placed: tuple[Placed, ...], *, revolutions: int, flash_units: int) -> Placement:
    inked = {p.head for p, printed in zip(placed, stack.passes, strict=True) if printed.ink is not None}
    return Placement(
        press=press.name,
        passes=placed,
        revolutions=revolutions,
        screens=len({p.head for p in placed}),
        burned=len(inked),
        flash_units=flash_units,
    )


def _count(number: int, word: str) -> str:
    if number == 1:
        return f"1 {word}"
    return f"{number} {word}es" if word.endswith("sh") else f"{number} {word}s"
