"""Run every benchmark and write benchmarks/results.md. Ratios within one run are stable, absolute times are not."""

from __future__ import annotations

import datetime as dt
import os
import platform
import sys
from importlib.metadata import version
from pathlib import Path

import plans
import simulation

import artwork

RESULTS = Path(__file__).parent / "results.md"
PARTS = (simulation.report, plans.plans, plans.processes, artwork.report)


def machine() -> str:
    """Machine and versions in Markdown."""
    info = Path("/proc/cpuinfo")
    lines = info.read_text(encoding="utf-8").splitlines() if info.exists() else []
    names = [line.partition(":")[2].strip() for line in lines if line.startswith("model name")]
    packages = ", ".join(f"{name} {version(name)}" for name in ("laydown", "numpy", "numba", "scipy", "typer"))
    processor = names[0] if names else platform.processor()
    load = os.getloadavg()[0]
    return (
        f"{dt.datetime.now(tz=dt.UTC):%Y-%m-%d}; {processor}, {os.cpu_count()} cores, load {load:.1f} at the start; "
        f"CPython {platform.python_version()}; {packages}.\n"
    )


def main() -> int:
    """Write the results."""
    text = ["# Benchmarks\n", f"Written by `make bench`. {machine()}"]
    for part in PARTS:
        text.append(part())
        print(text[-1], flush=True)
    RESULTS.write_text("\n".join(text), encoding="utf-8")
    print(f"written to {RESULTS}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
