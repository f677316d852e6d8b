"""After warming up nothing is compiled any more."""

import subprocess
import sys

import pytest

WARM = "from laydown.services.warmup import warm_up\ndone = warm_up()\nprint(done.folder)"

PLAN_ALL = """
import gc
from numba.core.dispatcher import Dispatcher
from laydown.services.demo import demo_orders
from laydown.services.planning import plan_order
from laydown.services.shelves import open_shop

shop = open_shop()
for one in demo_orders(shop)[:KEEP]:
    plan_order(shop, one.order)
kernels = [k for k in gc.get_objects() if isinstance(k, Dispatcher) and k.__module__.startswith("laydown.")]
print("hits", sum(sum(k.stats.cache_hits.values()) for k in kernels))
print("misses", *sorted(k.py_func.__name__ for k in kernels if k.stats.cache_misses))
"""


@pytest.mark.slow
def test_after_warming_up_the_demo_compiles_nothing(tmp_path, monkeypatch):
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path))

    def run(code):
        return subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=500
        ).stdout.splitlines()

    assert run(WARM) == [str(tmp_path)]
    hits, misses = run(PLAN_ALL.replace("KEEP", ""))[-2:]
    assert int(hits.split()[1]) > 0
    assert misses == "misses"
