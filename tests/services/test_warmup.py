"""After warming up nothing is compiled any more."""

import subprocess
import sys

import pytest

from laydown.kernel_cache import cache_folder, folder_in_use
from laydown.services import warmup

WARM = """
from laydown.services.warmup import warm_up

print("folder", warm_up().folder)
"""

KEYS = ("08-paintball-camouflage", "12-bookshop-tri-blend-grey", "19-lighthouse-tees")
"""Orders that the warm-up does not plan: barrier and polyester, a smoothing pass, art with colours on an underbase."""

PLAN_SOME = """
from laydown.documents.template import demo_folder
from laydown.services.planning import plan_order
from laydown.services.shelves import open_shop, read_order
from laydown.services.tickets import ticket

shop = open_shop()
for key in KEYS:
    plan = plan_order(shop, read_order(demo_folder() / (key + ".toml"), shop), samples=64)
    ticket(shop, plan, folder=demo_folder())
"""

SAY_WHAT_WAS_CALLED = """
import gc
from numba.core.dispatcher import Dispatcher

kernels = [k for k in gc.get_objects() if isinstance(k, Dispatcher) and k.__module__.startswith("laydown.")]
for k in kernels:
    for types in k.signatures:
        print("called", k.__module__, k.py_func.__name__, types)
    for types in k.stats.cache_misses:
        print("compiled", k.__module__, k.py_func.__name__, types)
"""


def run(code):
    """Lines that a process of its own prints, by their first word; it uses the kernels that these tests use."""
    lines = subprocess.run(
        [sys.executable, "-c", code + SAY_WHAT_WAS_CALLED], capture_output=True, text=True, check=True, timeout=500
    ).stdout.splitlines()
    said = {"folder": set(), "called": set(), "compiled": set()}
    for line in lines:
        word, rest = line.split(" ", 1)
        said[word].add(rest)
    return said


@pytest.mark.slow
def test_after_warming_up_plans_and_tickets_compile_nothing():
    warm = run(WARM)
    # Only what the warm-up called itself counts: kernels may also lie there because something else called them before.
    plans = run(PLAN_SOME.replace("KEYS", repr(KEYS)))

    assert warm["folder"] == {str(folder_in_use())}
    assert (folder_in_use() / f"warm-{cache_folder().name}").exists()
    assert len(plans["called"]) > 20
    assert plans["called"] <= warm["called"]
    assert not plans["compiled"]


@pytest.mark.parametrize(("marked", "asked"), [(False, ["everything"]), (True, ["a plan"])])
def test_everything_is_compiled_only_where_nobody_has_done_so_for_these_kernels(monkeypatch, tmp_path, marked, asked):
    said = []
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path))
    monkeypatch.setattr(warmup, "warm_up", lambda: said.append("everything"))
    monkeypatch.setattr("laydown.services.planning.plan_order", lambda *_: said.append("a plan"))
    (tmp_path / "warm-0123456789abcdef").touch()
    if marked:
        (tmp_path / f"warm-{cache_folder().name}").touch()

    warmup.ready()

    assert said == asked
