"""Help answers at once, because nothing heavy is imported for it."""

import subprocess
import sys

import pytest

HEAVY = ("numpy", "numba", "scipy", "pydantic", "pydantic_core", "typst", "rich", "segno", "vl_convert", "platformdirs")
"""Top-level packages that no help text needs."""


def heavy_after(what: str) -> list[str]:
    report = f"import sys\n{what}\nprint('heavy:', *sorted(set(sys.modules) & set({HEAVY!r})))"
    done = subprocess.run([sys.executable, "-c", report], capture_output=True, text=True, check=True, timeout=60)
    last = done.stdout.splitlines()[-1]
    assert last.startswith("heavy:")
    return last.split()[1:]


@pytest.mark.parametrize(
    "arguments",
    [
        ["--help"],
        ["--version"],
        [],
        *([c, "--help"] for c in ("plan", "explain", "init", "rules", "whites", "schema", "demo")),
    ],
)
def test_help_imports_nothing_heavy(arguments):
    assert heavy_after(f"from laydown.cli.main import main\nassert main({arguments!r}) == 0") == []


def test_importing_laydown_imports_nothing_heavy():
    assert heavy_after("import laydown\nassert 'plan_order' in dir(laydown)") == []


def test_the_probe_notices_a_heavy_import():
    assert "numpy" in heavy_after("import numpy")


@pytest.mark.slow
def test_a_plan_needs_no_scipy_statistics_and_no_charts_without_a_ticket():
    """The import of scipy.stats alone takes longer than a plan."""
    what = (
        "from calls import COTTON\nfrom laydown.cli.main import main\nmain(['plan', COTTON])\n"
        "print('late:', *sorted({'scipy.stats', 'typst', 'vl_convert', 'segno'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", f"import sys\nsys.path.insert(0, {str(__file__).rpartition('/')[0]!r})\n{what}"],
        capture_output=True,
        text=True,
        check=True,
        timeout=300,
    )
    assert done.stdout.splitlines()[-1] == "late:"
