"""Two intervals beside each other, before and after, as bars of a page."""

from __future__ import annotations

import math
from collections.abc import Sequence

from laydown.report.display_units import number

WIDTH = 100.0
"""Units across a bar."""

EDGE = 4.0


def bar(before: Sequence[float], after: Sequence[float]) -> dict[str, list[float]]:
    """Places of low, middle and high of both across a bar; logarithmic where they span more than a factor of five."""
    low, high = min(before[0], after[0]), max(before[2], after[2])
    logarithmic = low > 0 and high / low > 5

    def place(value: float) -> float:
        if high <= low:
            return WIDTH / 2
        at = math.log(value / low) / math.log(high / low) if logarithmic else (value - low) / (high - low)
        return round(EDGE + at * (WIDTH - 2 * EDGE), 2)

    return {"prior_at": [place(value) for value in before], "posterior_at": [place(value) for value in after]}


def plainly(value: float) -> str:
    """Three figures without a power of ten."""
    return number(value, max(0, 2 - math.floor(math.log10(abs(value)))) if value else 0)


def signed(value: float, digits: int) -> str:
    """Deviation with its sign."""
    return f"{value:+.{digits}f}".replace("-", "−")
