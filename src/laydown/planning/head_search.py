"""The search behind `laydown.planning.heads`: deals screens and flashes to the heads of an automatic press.

A step is the number of a plate, or `FLASH`. Steps are done in their order; within a revolution the heads rise.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache
from itertools import combinations, pairwise

FLASH = -1
"""Stands for a flash where a step is written as the number of its plate."""

Station = tuple[int, int]
"""Head and revolution of one step, both from 1."""

_Cost = tuple[int, int, int, int]
_Heads = tuple[tuple[int, ...], ...]
_Found = tuple[_Cost, _Heads]


def deal_heads(
    steps: tuple[int, ...],
    *,
    turns: int,
    heads: int,
    flash_heads: tuple[int, ...],
    units: int,
    kinds: Mapping[int, str],
    rack: Mapping[str, int],
) -> tuple[Station, ...] | None:
    """Best stations for the steps in exactly so many revolutions.

    Parameters
    ----------
    steps : tuple of int
        Plates and flashes in printing order.
    turns : int
        Revolutions, each with at least one step.
    heads : int
        Heads of the press.
    flash_heads : tuple of int
        Where a flash may stand.
    units : int
        Flash units at hand.
    kinds : mapping of int to str
        Kind of screen that each plate is burned on.
    rack : mapping of str to int
        Screens owned of each kind.

    Returns
    -------
    tuple of Station or None
        One for each step; None when they do not fit. Best is: fewest screens, then fewest flash units, then the
        fewest heads between a pass and its flash, then the lowest heads.
    """
    names = tuple(dict.fromkeys(kinds.values()))
    return _best_stations(
        steps,
        turns,
        heads,
        flash_heads,
        units,
        tuple((plate, names.index(kind)) for plate, kind in sorted(kinds.items())),
        # More screens of a kind than there are steps cannot be used, so racks that differ in them are alike.
        tuple(min(rack[name], len(steps)) for name in names),
    )


@lru_cache(maxsize=1024)
def _best_stations(
    steps: tuple[int, ...],
    turns: int,
    heads: int,
    flash_heads: tuple[int, ...],
    units: int,
    kinds: tuple[tuple[int, int], ...],
    rack: tuple[int, ...],
) -> tuple[Station, ...] | None:
    """Best stations, kinds of screen being numbers: candidates that differ only in their meshes share them."""
    best: _Found | None = None
    for cuts in combinations(range(1, len(steps)), turns - 1):
        parts = tuple(steps[a:b] for a, b in pairwise((0, *cuts, len(steps))))
        found = _deal(parts, heads, flash_heads, units, dict(kinds), rack)
        if found is not None and (best is None or found[0] < best[0]):
            best = found
    if best is None:
        return None
    return tuple((head, turn) for turn, part in enumerate(best[1], start=1) for head in part)


def _deal(
    parts: tuple[tuple[int, ...], ...],
    heads: int,
    flash_heads: tuple[int, ...],
    units: int,
    kinds: Mapping[int, int],
    rack: tuple[int, ...],
) -> _Found | None:
    """Go along the heads once; each takes the next step of one revolution, or of several that can share it."""

    @cache
    def best(head: int, done: tuple[int, ...], units_left: int, rack_left: tuple[int, ...]) -> _Found | None:
        if all(d == len(part) for d, part in zip(done, parts, strict=True)):
            return (0, 0, 0, 0), ((),) * len(parts)
        if head > heads:
            return None
        waiting = [part[d] if d < len(part) else None for d, part in zip(done, parts, strict=True)]
        found: _Found | None = None
        for chosen in _sharers(waiting):
            step = waiting[chosen[0]] if chosen else None
            left, screens = units_left, rack_left
            if step == FLASH:
                if left == 0 or head not in flash_heads:
                    continue
                left -= 1
            elif step is not None:
                at = kinds[step]
                if screens[at] == 0:
                    continue
                screens = (*screens[:at], screens[at] - 1, *screens[at + 1 :])
            rest = best(head + 1, tuple(d + (r in chosen) for r, d in enumerate(done)), left, screens)
            if rest is None:
                continue
            wet = sum(w == FLASH and r not in chosen and done[r] > 0 for r, w in enumerate(waiting))
            (plates, flashes, gaps, depth), later = rest
            is_screen = step is not None and step != FLASH
            cost = (plates + is_screen, flashes + (step == FLASH), gaps + wet, depth + head * len(chosen))
            if found is None or cost < found[0]:
                found = cost, tuple((head, *h) if r in chosen else h for r, h in enumerate(later))
        return found

    return best(1, (0,) * len(parts), units, rack)


def _sharers(waiting: list[int | None]) -> list[tuple[int, ...]]:
    """List the sets of revolutions whose next steps may use one head together; the empty set leaves it free."""
    live = [r for r, step in enumerate(waiting) if step is not None]
    sets: list[tuple[int, ...]] = [()]
    for size in range(1, len(live) + 1):
        sets += [chosen for chosen in combinations(live, size) if len({waiting[r] for r in chosen}) == 1]
    return sets
