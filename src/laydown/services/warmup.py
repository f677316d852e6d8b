"""Compile the kernels ahead of the first plan."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from laydown.kernel_cache import cache_folder, cache_root, folder_in_use

ORDERS = ("07-handball-sublimated-jerseys", "14-festival-multicolour-black")
"""Demo orders that between them call every kernel: dye through a barrier, and colours on an underbase."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmUp:
    """What warming up did.

    Attributes
    ----------
    seconds : float
        With compiled kernels in place it is that of two plans.
    folder : Path
        Where the compiled kernels are.
    removed : int
        Folders of other states of the kernels that were thrown away.
    """

    seconds: float
    folder: Path
    removed: int


def warm_up(*, progress: Callable[[str], None] | None = None) -> WarmUp:
    """Compile every kernel, or make sure that it is compiled, and throw away what other versions left behind."""
    begun = time.perf_counter()
    from laydown.services.demo import demo_orders
    from laydown.services.planning import plan_order
    from laydown.services.shelves import open_shop

    shop = open_shop()
    for one in demo_orders(shop):
        if one.key in ORDERS:
            plan_order(shop, one.order, progress=progress)
    others = [path for path in _folders(cache_root()) if path != cache_folder()]
    for path in others:
        shutil.rmtree(path, ignore_errors=True)
    return WarmUp(seconds=time.perf_counter() - begun, folder=folder_in_use(), removed=len(others))


def _folders(root: Path) -> tuple[Path, ...]:
    return tuple(path for path in root.iterdir() if path.is_dir()) if root.is_dir() else ()
