"""Run the study of virtual cloths and write docs/lab/virtual_cloths.md with its figures.

``python tools/lab/study.py`` takes minutes: both kinds of truths, as many cloths each. ``--keep FILE`` also writes what
came of each cloth, ``--from FILE`` makes the page again from such a file.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict
from functools import partial
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
# Two processes are faster than two threads in one: most of a cloth is not in the kernels.
os.environ.setdefault("NUMBA_NUM_THREADS", "1")

from tools.lab.virtual_cloths.one_cloth import Outcome, run_cloth  # noqa: E402 - the path stands above
from tools.lab.virtual_cloths.page import write_page  # noqa: E402

CLOTHS, SEED, PROCESSES = 400, 1, 2


def main() -> None:
    """Run it."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cloths", type=int, default=CLOTHS)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--processes", type=int, default=PROCESSES)
    parser.add_argument("--keep", type=Path, help="file for what came of each cloth")
    parser.add_argument("--from", dest="kept", type=Path, help="make the page from such a file")
    parser.add_argument("--folder", type=Path, default=ROOT / "docs" / "lab", help="where the page goes")
    given = parser.parse_args()
    if given.kept is not None:
        stored = json.loads(given.kept.read_text(encoding="utf-8"))
        seed = stored["seed"]
        outcomes, within = (tuple(Outcome(**one) for one in stored[kind]) for kind in ("outcomes", "within"))
    else:
        seed = given.seed
        outcomes, within = (run(given.cloths, seed, given.processes, tails=tails) for tails in (True, False))
    if given.keep is not None:
        kinds = {"outcomes": outcomes, "within": within}
        text = json.dumps({"seed": seed} | {kind: [asdict(one) for one in found] for kind, found in kinds.items()})
        given.keep.write_text(text, encoding="utf-8")
    for file in write_page(outcomes, within, seed=seed, folder=given.folder):
        print(file)


def run(cloths: int, seed: int, processes: int, *, tails: bool) -> tuple[Outcome, ...]:
    """Run all cloths of a kind; the same seed gives the same cloths whatever the number of processes."""
    begun, found = time.monotonic(), []
    with ProcessPoolExecutor(max_workers=processes) as pool:
        for one in pool.map(partial(run_cloth, seed=seed, tails=tails), range(cloths)):
            found.append(one)
            if len(found) % 10 == 0:
                print(f"{len(found)} of {cloths} cloths, {time.monotonic() - begun:.0f} s", flush=True)
    return tuple(found)


if __name__ == "__main__":
    main()
