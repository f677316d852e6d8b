"""B4: plan one order, warm. B8: whole processes, from the shell's point of view."""

from __future__ import annotations

import os
import subprocess
import sys
from importlib.resources import files
from pathlib import Path
from statistics import median

from timing import in_turns, once, spread

ORDERS = (
    "01-gig-night-black-tees",
    "03-harbour-regatta-tees",
    "05-running-club-red-polyester",
    "07-handball-sublimated-jerseys",
    "13-cycling-tri-blend-red",
    "14-festival-multicolour-black",
)
ROUNDS = 5


def plans() -> str:
    """B4 in Markdown."""
    from laydown.services.demo import demo_orders
    from laydown.services.planning import SAMPLES, plan_order
    from laydown.services.shelves import open_shop

    shop = open_shop()
    rows = []
    for one in demo_orders(shop):
        if one.key in ORDERS:
            plan = plan_order(shop, one.order)
            seconds = [once(lambda o=one.order: plan_order(shop, o)) for _ in range(ROUNDS)]
            weighed = sum(print_.considered for print_ in plan.prints)
            rows.append(f"| {one.order.name} | {weighed} | {spread(seconds)} |")
    return (
        "## B4: plan one order, warm\n\n"
        f"Every candidate stack on the invented shop's shelves, {SAMPLES} samples for those that survive the rules; "
        f"{ROUNDS} rounds. Goal: 1 s (this version: at most 5 s). The comparison with the peer's solver inside the "
        "planner is not built yet.\n\n"
        "| order | stacks weighed | median [s] | best | worst |\n|---|---|---|---|---|\n" + "\n".join(rows) + "\n"
    )


def processes() -> str:
    """B8 in Markdown."""
    laydown = str(Path(sys.executable).parent / "laydown")
    order = str(files("laydown.data") / "orders" / "05-running-club-red-polyester.toml")
    rows = []
    for name, command in (
        ("`laydown --help`", [laydown, "--help"]),
        ("`laydown plan`, polyester", [laydown, "plan", order]),
    ):
        pair = in_turns(lambda c=command: _run(c), lambda: _run([sys.executable, "-c", "pass"]))
        times = median(1 / ratio for ratio in pair.ratios)
        rows.append(f"| {name} | {spread(pair.ours)} | {spread(pair.theirs)} | {times:.3g} |")
    return (
        "## B8: whole processes\n\n"
        "Against a bare `python -c pass`, in turns, compiled kernels on disk. Goal: help 0.10 s, plan 2.5 s.\n\n"
        "| command | median [s] | best | worst | bare median [s] | best | worst | times bare |\n"
        "|---|---|---|---|---|---|---|---|\n" + "\n".join(rows) + "\n"
    )


def _run(command: list[str]) -> None:
    # A user's Python keeps what it has compiled of its own sources; a build machine may be told not to.
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    done = subprocess.run(command, capture_output=True, check=False, env=environment)
    if done.returncode not in (0, 3):
        raise RuntimeError(done.stderr.decode())
