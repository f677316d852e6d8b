"""Check the fit of the bleed model on itself: ranks of truths among the draws of their fits.

    python tools/lab/sbc.py [CASES]

Writes the figures into docs/lab/calibration.md. 200 cases take about ten minutes on two cores; the test suite runs 32.
"""

from __future__ import annotations

import os
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from laydown.domain.protocol import Protocol
    from laydown.domain.stack import Stack

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]
# Two processes are faster than two threads in one.
os.environ.setdefault("NUMBA_NUM_THREADS", "1")

PAGE = ROOT / "docs" / "lab" / "calibration.md"
BEGIN, END = "<!-- ranks: written by tools/lab/sbc.py -->", "<!-- end of ranks -->"
BINS = 8


def kinds() -> tuple[tuple[str, Protocol, Stack | None], ...]:
    """Swatches that are checked: what they are called, how they are tested, their stack."""
    from lab.emcee_cases import BARRIER_CASE, TWO_INKS_CASE, stack_of
    from lab.swatches import OVEN_TEST, SHORT_TEST

    return (
        ("one pass of white, read when new and after a week, with a grade", SHORT_TEST, stack_of(0)),
        ("two passes of white, oven bleed test with three colours", OVEN_TEST, None),
        ("a white over a barrier, read as the first", SHORT_TEST, stack_of(BARRIER_CASE)),
        ("a plain white over one that blocks, read as the first", SHORT_TEST, stack_of(TWO_INKS_CASE)),
    )


def figures(kind: int, cases: int) -> str:
    """Markdown table of rank counts, p-values and the share of bands that held, of one kind of swatch."""
    from lab.swatches import lab_cloth, lab_shop, swatch
    from laydown.lab.rank_check import THINNED, rank_check

    title, protocol, print_ = kinds()[kind]
    cloth, start = lab_cloth(), time.process_time()
    found = rank_check(lab_shop(), cloth, swatch(cloth, stack=print_), protocol, cases=cases, seed=11)
    spent = time.process_time() - start
    p = found.p_values(bins=BINS)
    effective = np.percentile(found.effective, (0, 50))
    head = (
        f"**{title[0].upper()}{title[1:]}.** {cases} truths, {spent / cases:.1f} s of processor time each; effective "
        f"draws {effective[1]:.0f} in the middle, {effective[0]:.0f} at least; the 90 % band of the forecast for day "
        f"30 held {100 * found.inside.mean():.0f} % of the truths."
    )
    lines = [
        head,
        "",
        "| quantity | counts of the rank in eighths | p |",
        "|---|---|---|",
    ]
    for i, name in enumerate(found.quantities):
        counts = np.bincount(found.ranks[:, i] * BINS // (THINNED + 1), minlength=BINS)
        lines.append(f"| {name} | {' '.join(str(c) for c in counts)} | {p[name]:.2f} |")
    return "\n".join([*lines, ""])


def main() -> None:
    """Write the page."""
    cases = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    with ProcessPoolExecutor(max_workers=2) as pool:
        told = "\n".join(pool.map(partial(figures, cases=cases), range(len(kinds()))))
    page = PAGE.read_text(encoding="utf-8")
    before, _, rest = page.partition(BEGIN)
    _, _, after = rest.partition(END)
    PAGE.write_text(f"{before}{BEGIN}\n\n{told}\n{END}{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
