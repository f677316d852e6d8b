"""After warming up nothing is compiled any more."""

import subprocess
import sys

import pytest

WARM = "from laydown.services.warmup import warm_up\ndone = warm_up()\nprint(done.folder)"

KEYS = (
    "01-gig-night-black-tees",
    "05-running-club-red-polyester",
    "08-paintball-camouflage",
    "12-bookshop-tri-blend-grey",
    "15-school-fair-multicolour-white",
    "19-lighthouse-tees",
)
"""Orders that the warm-up does not plan: one white, polyester, barrier, smoothing pass, halftone, art."""

PLAN_SOME = """
import gc
from numba.core.dispatcher import Dispatcher
from laydown.documents.template import demo_folder
from laydown.services.planning import plan_order
from laydown.services.shelves import open_shop, read_order
from laydown.services.tickets import ticket

shop = open_shop()
for key in KEYS:
    plan = plan_order(shop, read_order(demo_folder() / (key + ".toml"), shop))
    ticket(shop, plan, folder=demo_folder())
kernels = [k for k in gc.get_objects() if isinstance(k, Dispatcher) and k.__module__.startswith("laydown.")]
print("hits", sum(sum(k.stats.cache_hits.values()) for k in kernels))
print("misses", *sorted(k.py_func.__name__ for k in kernels if k.stats.cache_misses))
"""


@pytest.mark.slow
def test_after_warming_up_plans_and_tickets_compile_nothing(tmp_path, monkeypatch):
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path))

    def run(code):
        return subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=500
        ).stdout.splitlines()

    assert run(WARM) == [str(tmp_path)]
    hits, misses = run(PLAN_SOME.replace("KEYS", repr(KEYS)))[-2:]
    assert int(hits.split()[1]) > 0
    assert misses == "misses"
