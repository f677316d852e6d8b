"""Check the fit of the bleed model on itself: ranks of truths among the draws of their fits.

    python tools/lab/sbc.py [CASES]

Writes the figures into docs/lab/calibration.md. 200 cases take about ten minutes on two cores; the test suite runs 32.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

PAGE = ROOT / "docs" / "lab" / "calibration.md"
BEGIN, END = "<!-- ranks: written by tools/lab/sbc.py -->", "<!-- end of ranks -->"
BINS = 8


def figures(cases: int) -> str:
    """Markdown table of rank counts, p-values and the share of bands that held."""
    from lab.swatches import OVEN_TEST, SHORT_TEST, lab_cloth, lab_shop, swatch
    from laydown.lab.rank_check import THINNED, rank_check
    from small_shop import blocking_white, printed, stack

    cloth = lab_cloth()
    kinds = (
        (
            "one pass of white, read when new and after a week, with a grade",
            SHORT_TEST,
            stack(printed(blocking_white())),
        ),
        ("two passes of white, oven bleed test with three colours", OVEN_TEST, None),
    )
    lines = []
    for title, protocol, print_ in kinds:
        start = time.perf_counter()
        found = rank_check(lab_shop(), cloth, swatch(cloth, stack=print_), protocol, cases=cases, seed=11)
        spent = time.perf_counter() - start
        p = found.p_values(bins=BINS)
        effective = np.percentile(found.effective, (0, 50))
        head = (
            f"**{title[0].upper()}{title[1:]}.** {cases} truths, {spent / cases:.1f} s each; effective draws "
            f"{effective[1]:.0f} in the middle, {effective[0]:.0f} at least; the 90 % band of the forecast for day 30 "
            f"held {100 * found.inside.mean():.0f} % of the truths."
        )
        lines += [
            head,
            "",
            "| quantity | counts of the rank in eighths | p |",
            "|---|---|---|",
        ]
        for i, name in enumerate(found.quantities):
            counts = np.bincount(found.ranks[:, i] * BINS // (THINNED + 1), minlength=BINS)
            lines.append(f"| {name} | {' '.join(str(c) for c in counts)} | {p[name]:.2f} |")
        lines.append("")
        print("\n".join(lines))
    return "\n".join(lines)


def main() -> None:
    """Write the page."""
    cases = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    told = figures(cases)
    page = PAGE.read_text(encoding="utf-8")
    before, _, rest = page.partition(BEGIN)
    _, _, after = rest.partition(END)
    PAGE.write_text(f"{before}{BEGIN}\n\n{told}\n{END}{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
