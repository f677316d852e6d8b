"""Run rules: what is unlikely of a process that only varies by chance.

The eight tests of L. S. Nelson, "The Shewhart control chart - tests for special causes", Journal of Quality Technology
16 (1984) 237-239, which ISO 7870-2 (earlier ISO 8258) takes up. Zones C, B and A lie within one, two and three standard
deviations of the centre line.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

BEYOND, SAME_SIDE, TREND, ALTERNATING, TWO_OF_THREE, FOUR_OF_FIVE, HUGGING, AVOIDING = range(1, 9)


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """A rule that is broken.

    Attributes
    ----------
    rule : int
        1 to 8, as Nelson numbers them.
    first, last : int
        Places of the first and last check that break it, counted from 0.
    side : int
        1 above the centre line (or climbing), -1 below it (or falling), 0 neither.
    grave : bool
        Whether the process is out of control; otherwise the chart's own limits are in doubt.
    """

    rule: int
    first: int
    last: int
    side: int
    grave: bool


def broken_rules(scores: Sequence[float]) -> tuple[Finding, ...]:
    """Every run that breaks a rule, the longest each.

    Parameters
    ----------
    scores : sequence of float
        Values less the centre line, by the standard deviation.
    """
    found: list[Finding] = []
    found += _runs(scores, lambda z: _side(z) if abs(z) > 3 else 0, BEYOND, least=1)
    found += _runs(scores, _side, SAME_SIDE, least=9)
    found += _trends(scores)
    found += _shares(scores, 2.0, TWO_OF_THREE, of=3, least=2)
    found += _shares(scores, 1.0, FOUR_OF_FIVE, of=5, least=4)
    found += _alternating(scores)
    found += _runs(scores, lambda z: 1 if abs(z) < 1 else 0, HUGGING, least=15, sided=False)
    found += _runs(scores, lambda z: 1 if abs(z) > 1 else 0, AVOIDING, least=8, sided=False)
    return tuple(sorted(found, key=lambda one: (one.last, one.rule)))


def _side(z: float) -> int:
    return (z > 0) - (z < 0)


def _runs(
    scores: Sequence[float], mark: Callable[[float], int], rule: int, *, least: int, sided: bool = True
) -> list[Finding]:
    found, start = [], 0
    marks = [mark(z) for z in scores]
    for i in range(1, len(marks) + 1):
        if i < len(marks) and marks[i] == marks[start]:
            continue
        if marks[start] and i - start >= least:
            side = marks[start] if sided else 0
            found.append(Finding(rule=rule, first=start, last=i - 1, side=side, grave=sided))
        start = i
    return found


def _trends(scores: Sequence[float], least: int = 6) -> list[Finding]:
    """Six checks in a row, each higher (or lower) than the one before."""
    found, start = [], 0
    steps = [_side(later - earlier) for earlier, later in itertools.pairwise(scores)]
    for i in range(1, len(steps) + 1):
        if i < len(steps) and steps[i] == steps[start]:
            continue
        if steps and steps[start] and i - start + 1 >= least:
            found.append(Finding(rule=TREND, first=start, last=i, side=steps[start], grave=True))
        start = i
    return found


def _shares(scores: Sequence[float], bound: float, rule: int, *, of: int, least: int) -> list[Finding]:
    """So many of so many in a row beyond a bound, on one side; windows that touch are told as one."""
    found: list[Finding] = []
    for side in (1, -1):
        windows: list[tuple[int, int]] = []
        for end in range(least - 1, len(scores)):
            begin = max(0, end - of + 1)
            beyond = [i for i in range(begin, end + 1) if scores[i] * side > bound]
            if len(beyond) < least or beyond[-1] != end:
                continue
            if windows and beyond[0] <= windows[-1][1]:
                windows[-1] = (windows[-1][0], end)
            else:
                windows.append((beyond[0], end))
        found += [Finding(rule=rule, first=first, last=last, side=side, grave=True) for first, last in windows]
    return found


def _alternating(scores: Sequence[float], least: int = 14) -> list[Finding]:
    steps = [_side(later - earlier) for earlier, later in itertools.pairwise(scores)]
    found, start = [], 0
    for i in range(1, len(steps) + 1):
        if i < len(steps) and steps[i] and steps[i] == -steps[i - 1]:
            continue
        if i - start + 1 >= least and steps[start]:
            found.append(Finding(rule=ALTERNATING, first=start, last=i, side=0, grave=False))
        start = i
    return found
