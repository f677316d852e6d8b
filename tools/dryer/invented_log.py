"""Write the demo shop's invented probe log.

``python tools/dryer/invented_log.py > src/laydown/data/probe_log_example.csv``

A run of three wires through a dryer whose coefficients are drawn from what the shelf says, at its usual setting.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

sys.path[:0] = [str(Path(__file__).parents[2] / "tests" / "lab")]
from synthetic_probe import SHOP, Spot, as_csv, draw, written_log  # noqa: E402

SEED = 20


def main() -> None:
    """Write it."""
    rng = np.random.default_rng(SEED)
    dryer = SHOP.dryers[0]
    log, _ = written_log(dryer, draw(dryer, rng), rng, spot=Spot.UNDER_PRINT, every=1.0)
    text = as_csv(log, comma=False, spot=Spot.UNDER_PRINT).decode()
    print(text.replace("# invented logger", "# Invented: nobody ran a probe through this dryer"), end="")


if __name__ == "__main__":
    main()
