"""Compile the kernels ahead of the first plan."""

from __future__ import annotations

import contextlib
import multiprocessing
import shutil
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from laydown.domain.shop import Shop
from laydown.kernel_cache import cache_folder, cache_root, folder_in_use

ORDERS = ("07-handball-sublimated-jerseys", "14-festival-multicolour-black")
"""Demo orders that between them call every kernel: dye through a barrier, and colours on an underbase."""

LIGHT = "05-running-club-red-polyester"
"""Demo order that is planned in a second and calls most kernels."""

ART = "20-night-ferry-tees"
"""Demo order whose art has solids, tones and soft transparency."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmUp:
    """What warming up did.

    Attributes
    ----------
    seconds : float
        With compiled kernels in place it is that of three plans, films and a preview.
    folder : Path
        Where the compiled kernels are.
    removed : int
        Folders of other states of the kernels that were thrown away.
    """

    seconds: float
    folder: Path
    removed: int


def ready() -> None:
    """Load the kernels that most plans need, and compile all of them where nobody has done so before."""
    from laydown.documents.template import demo_folder
    from laydown.services.planning import plan_order
    from laydown.services.shelves import open_shop, read_order

    if not _mark().exists():
        warm_up()
    else:
        shop = open_shop()
        plan_order(shop, read_order(demo_folder() / f"{LIGHT}.toml", shop))


def warm_up(*, progress: Callable[[str], None] | None = None) -> WarmUp:
    """Compile every kernel, or make sure that it is compiled, and throw away what other versions left behind."""
    begun = time.perf_counter()
    from laydown.documents.template import demo_folder
    from laydown.services.planning import plan_order
    from laydown.services.shelves import open_shop, read_order

    shop = open_shop()
    # Art is read by other kernels than plans are made with, so the two are compiled side by side.
    beside = multiprocessing.get_context("spawn").Process(target=_read_art, name="warming up", daemon=True)
    beside.start()
    for key in ORDERS:
        plan_order(shop, read_order(demo_folder() / f"{key}.toml", shop), progress=progress)
    beside.join()
    _warm_art(shop, progress)
    _mark().touch()
    others = [path for path in _folders(cache_root()) if path != cache_folder()]
    for path in others:
        shutil.rmtree(path, ignore_errors=True)
    return WarmUp(seconds=time.perf_counter() - begun, folder=folder_in_use(), removed=len(others))


def _mark() -> Path:
    """File beside the compiled kernels that says that all of them are, as they are now."""
    return folder_in_use() / f"warm-{cache_folder().name}"


def _read_art() -> None:
    """Compile what reads art; what goes wrong here is met again, and told, by the process that waits."""
    from laydown.documents.template import demo_folder
    from laydown.services.shelves import open_shop, read_order

    with contextlib.suppress(Exception):
        read_order(demo_folder() / f"{ART}.toml", open_shop())


def _warm_art(shop: Shop, progress: Callable[[str], None] | None) -> None:
    """Separate art with tones, put it on film and show it."""
    from laydown.documents.template import demo_folder
    from laydown.services.planning import plan_order
    from laydown.services.plates import plates_of, write_plates
    from laydown.services.preview import preview
    from laydown.services.shelves import read_order

    plan = plan_order(shop, read_order(demo_folder() / f"{ART}.toml", shop), progress=progress)
    if not plan.complete:
        return
    made = plates_of(shop, plan, demo_folder())
    with tempfile.TemporaryDirectory(prefix="laydown-") as folder:
        write_plates(shop, plan, made, folder)
    preview(shop, plan, demo_folder(), day=0.0, made=made)


def _folders(root: Path) -> tuple[Path, ...]:
    return tuple(path for path in root.iterdir() if path.is_dir()) if root.is_dir() else ()
