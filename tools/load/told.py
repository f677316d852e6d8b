"""A measurement as a table."""

from __future__ import annotations

import argparse
import os
import platform

import numpy as np
from visitors import ANSWERS, Seen


def told(seen: Seen, used: dict[str, tuple[float, ...]], wrong: list[str], said: argparse.Namespace) -> str:
    """Lines of markdown."""
    pages = {kind: times for kind, times in seen.seconds.items() if kind not in ANSWERS and not kind.startswith("wr")}
    rows = [_row("**every page**", [one for times in pages.values() for one in times])]
    rows += [_row(kind, times) for kind, times in sorted(pages.items())]
    rows += [_row(kind, times) for kind, times in sorted(seen.seconds.items()) if kind not in pages]
    head = (
        f"{'PostgreSQL' if said.postgresql else 'SQLite'}, {platform.machine()}, {os.cpu_count()} cores, Python "
        f"{platform.python_version()}: {said.readers} read, {said.writers} write, for {said.seconds:g} s, "
        f"{said.think:g} s between pages; load average {used['load'][0]:.2f} before, {used['load'][1]:.2f} after; "
        f"processor time {used['app'][0]:.0f} s of the app, {used['visitors'][0]:.0f} s of the visitors"
    )
    lines = [
        head,
        "",
        "| kind | answers | p50 [ms] | p95 [ms] | p99 [ms] | longest [ms] |",
        "|---|---|---|---|---|---|",
        *rows,
        "",
        _confirmed(seen),
        f"Errors: {len(seen.errors)}. Lost or doubled: {len(wrong)}.",
        *seen.errors[:20],
        *wrong[:20],
    ]
    return "\n".join(lines)


def _confirmed(seen: Seen) -> str:
    twice = sum(seen.entries.values()) - len(seen.entries)
    return (
        f"Confirmed: {len(seen.entries)} entries ({twice} of them sent twice), {len(seen.prices)} changes of items, "
        f"{len(seen.states)} states, {len(seen.orders)} new orders; {seen.late} were told that somebody else was "
        "faster, and were made again."
    )


def _row(kind: str, times: list[float]) -> str:
    shown = [1000 * float(np.percentile(times, p)) for p in (50, 95, 99, 100)]
    return f"| {kind} | {len(times)} | " + " | ".join(f"{one:.0f}" for one in shown) + " |"
