"""Where each pass stands on a press: the record that the planner fills and the press cycle and the ticket read."""

from __future__ import annotations

from dataclasses import dataclass

from laydown.domain.stack import Pass, Role

_FULL_WHITES = frozenset({Role.UNDERBASE, Role.WHITE})


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """Station of one pass; heads and revolutions count from 1.

    Attributes
    ----------
    head, revolution : int
        Where the screen stands and in which turn of the pallets it prints.
    flash_head, flash_revolution : int or None
        Where and when the flash after it works. None without a flash; ``flash_head`` is None as well on a manual
        press, where the flash swings over the pallet and takes no head.
    """

    head: int
    revolution: int
    flash_head: int | None = None
    flash_revolution: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """A stack that stands on a press.

    Attributes
    ----------
    passes : tuple of Placed
        One for each pass of the stack, in its order.
    revolutions : int
        Turns of the pallets that one print takes.
    screens : int
        Screens to set up, the closed screen of a smoothing pass included.
    burned : int
        Screens to coat and burn; a closed screen carries no stencil.
    flash_units : int
        Flash units in use.
    """

    press: str
    passes: tuple[Placed, ...]
    revolutions: int
    screens: int
    burned: int
    flash_units: int


def same_plate(first: Pass, second: Pass) -> bool:
    """Whether two passes can go through one and the same burned screen with the ink that is already in it.

    The ink and what is stirred into it, the screen and the covered share must agree. Underbase and white count as
    the same art when they cover the same share; a highlight white or a colour never shares its plate.
    """
    same_art = first.role is second.role or {first.role, second.role} <= _FULL_WHITES
    return (
        same_art
        and _mixture(first) == _mixture(second)
        and first.screen.name == second.screen.name
        and first.coverage == second.coverage
    )


def plate_numbers(passes: tuple[Pass, ...]) -> tuple[int, ...]:
    """Give each pass the number of its plate, from 0; passes that can share a plate get the same one."""
    plates: list[Pass] = []
    numbers: list[int] = []
    for printed in passes:
        known = next((n for n, plate in enumerate(plates) if same_plate(plate, printed)), None)
        if known is None:
            known = len(plates)
            plates.append(printed)
        numbers.append(known)
    return tuple(numbers)


def _mixture(printed: Pass) -> tuple[str, str, float]:
    ink = "" if printed.ink is None else printed.ink.name
    additive = "" if printed.additive is None else printed.additive.name
    return ink, additive, printed.additive_share
