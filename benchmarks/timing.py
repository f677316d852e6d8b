"""Two sides timed in turns, so that whatever else the machine does hits both."""

from __future__ import annotations

import gc
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import median

ROUNDS = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class Paired:
    """Seconds of both sides, round by round."""

    ours: tuple[float, ...]
    theirs: tuple[float, ...]

    @property
    def ratios(self) -> tuple[float, ...]:
        """How many times longer the other side took."""
        return tuple(b / a for a, b in zip(self.ours, self.theirs, strict=True))

    def row(self, name: str, *, unit: float = 1e-3) -> str:
        """Row of a Markdown table: medians of both sides, median ratio, worst and best round."""
        ratios = sorted(self.ratios)
        return (
            f"| {name} | {median(self.ours) / unit:.3g} | {median(self.theirs) / unit:.3g} | {median(ratios):.3g} | "
            f"{ratios[0]:.3g} | {ratios[-1]:.3g} |"
        )


def in_turns(ours: Callable[[], object], theirs: Callable[[], object], *, rounds: int = ROUNDS) -> Paired:
    """Time A B A B ...; both are called once before."""
    ours()
    theirs()
    first, second = [], []
    for _ in range(rounds):
        first.append(once(ours))
        second.append(once(theirs))
    return Paired(ours=tuple(first), theirs=tuple(second))


def once(work: Callable[[], object]) -> float:
    """Seconds of one call, the garbage collector at rest."""
    gc.collect()
    gc.disable()
    begun = time.perf_counter()
    work()
    taken = time.perf_counter() - begun
    gc.enable()
    return taken


def spread(seconds: Sequence[float], *, unit: float = 1.0) -> str:
    """Cells of a Markdown table: median, best, worst."""
    return f"{median(seconds) / unit:.3g} | {min(seconds) / unit:.3g} | {max(seconds) / unit:.3g}"
