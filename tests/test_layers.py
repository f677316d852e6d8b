"""Rules of the house that import-linter and ruff cannot check."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SOURCE = ROOT / "src" / "laydown"
MODULES = sorted(SOURCE.rglob("*.py"))
KERNELS = [path for path in MODULES if path.stem.endswith("_kernel")]
LATE = {"scipy", "numba", "typst", "rich", "segno", "vl_convert"}
"""Libraries that are imported inside the function that needs them."""


def told(path):
    return path.relative_to(ROOT).as_posix()


def tree(path):
    return ast.parse(path.read_text(encoding="utf-8"))


def imported(node):
    if isinstance(node, ast.Import):
        return [name.name for name in node.names]
    return [node.module or ""] if isinstance(node, ast.ImportFrom) else []


def at_the_top(path):
    """Modules that importing a file imports; what only type checkers see is left out."""
    found = []
    todo = list(tree(path).body)
    while todo:
        node = todo.pop()
        found += imported(node)
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            todo += node.orelse
        elif isinstance(node, ast.If | ast.Try | ast.With | ast.ClassDef):
            todo += [child for child in ast.iter_child_nodes(node) if isinstance(child, ast.stmt)]
    return found


@pytest.mark.parametrize("path", MODULES, ids=told)
def test_heavy_libraries_are_imported_late(path):
    heavy = {name.partition(".")[0] for name in at_the_top(path)} & LATE

    assert heavy <= ({"numba"} if path in KERNELS else set())


@pytest.mark.parametrize("path", MODULES, ids=told)
def test_kernels_are_imported_late(path):
    assert not [name for name in at_the_top(path) if name.endswith("_kernel")]


@pytest.mark.parametrize("path", MODULES, ids=told)
def test_numba_stays_in_kernels(path):
    anywhere = {name.partition(".")[0] for node in ast.walk(tree(path)) for name in imported(node)}

    assert "numba" not in anywhere or path in KERNELS


@pytest.mark.parametrize("path", KERNELS, ids=told)
def test_a_kernel_calls_only_its_own_file(path):
    """The compiler's cache goes stale across files."""
    names = [name for node in ast.walk(tree(path)) for name in imported(node)]

    assert not [name for name in names if name.startswith("laydown")]


@pytest.mark.parametrize("path", KERNELS, ids=told)
def test_every_function_of_a_kernel_is_compiled_cached_and_free_of_fast_math(path):
    functions = [node for node in tree(path).body if isinstance(node, ast.FunctionDef)]
    assert functions

    for function in functions:
        decorators = [ast.unparse(one) for one in function.decorator_list]
        assert len(decorators) == 1, function.name
        assert decorators[0].startswith("njit("), function.name
        assert "cache=True" in decorators[0], function.name
        assert "error_model='numpy'" in decorators[0], function.name
        assert "fastmath" not in decorators[0], function.name


def test_every_kernel_has_a_door():
    doors = "".join(path.read_text(encoding="utf-8") for path in MODULES if path not in KERNELS)

    for path in KERNELS:
        package = re.escape(".".join(path.relative_to(SOURCE.parent).parent.parts))
        assert re.search(rf"{package}(\.{path.stem} import| import {path.stem}\b)", doors), path.name


@pytest.mark.parametrize("path", MODULES, ids=told)
def test_a_file_has_a_size_that_can_be_read_and_a_name_that_says_something(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 400
    assert path.stem not in {"utils", "util", "helpers", "misc", "base", "common"}


def tracked():
    import subprocess

    done = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip("not a git checkout")
    return [ROOT / name for name in done.stdout.split("\0") if name]


def test_no_file_names_a_package_registry():
    hosts = re.compile(
        "|".join((r"py" + r"pi\.org", r"pythonhosted" + r"\.org", r"npm" + r"js\.org", "--index" + "-url"))
    )
    named = [
        told(path) for path in tracked() if path.is_file() and hosts.search(path.read_bytes().decode("utf-8", "ignore"))
    ]

    assert named == []


def test_locks_hold_no_address_and_a_hash_for_everything():
    for path in sorted((ROOT / "requirements").glob("*.txt")):
        text = path.read_text(encoding="utf-8")
        assert "://" not in text
        blocks = re.split(r"\n(?=\S)", text.strip())
        assert all("--hash=sha256:" in block for block in blocks if not block.startswith("#"))
