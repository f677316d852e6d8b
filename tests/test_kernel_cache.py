"""Compiled kernels are kept apart by the state of all kernel sources."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from laydown.kernel_cache import VARIABLE, cache_folder, cache_root, folder_in_use, kernel_hash

SHOW = f"import os, laydown.physics; print(os.environ.get({VARIABLE!r}))"


def variable_after(code=SHOW, **environment):
    plain = {key: value for key, value in os.environ.items() if key != VARIABLE}
    done = subprocess.run(
        [sys.executable, "-c", code], env=plain | environment, capture_output=True, text=True, check=True, timeout=60
    )
    return done.stdout.strip()


@pytest.fixture
def package(tmp_path):
    (tmp_path / "physics").mkdir()
    (tmp_path / "physics" / "heat_kernel.py").write_text("a = 1\n")
    (tmp_path / "physics" / "heat.py").write_text("b = 1\n")
    return tmp_path


def test_a_changed_kernel_changes_the_hash(package):
    before = kernel_hash(package)
    (package / "physics" / "heat_kernel.py").write_text("a = 2\n")

    assert kernel_hash(package) != before


def test_a_new_or_renamed_kernel_changes_the_hash(package):
    before = kernel_hash(package)
    (package / "physics" / "heat_kernel.py").rename(package / "physics" / "cure_kernel.py")

    assert kernel_hash(package) != before


def test_what_is_no_kernel_does_not_change_the_hash(package):
    before = kernel_hash(package)
    (package / "physics" / "heat.py").write_text("b = 2\n")

    assert kernel_hash(package) == before


def test_importing_physics_points_numba_to_the_folder_of_these_kernels(tmp_path):
    assert Path(variable_after(XDG_CACHE_HOME=str(tmp_path))).name == cache_folder().name
    assert cache_folder().parent == cache_root()


def test_a_folder_that_the_user_chose_is_left_alone(tmp_path):
    assert variable_after(**{VARIABLE: str(tmp_path)}) == str(tmp_path)


def test_numba_imported_before_is_told_as_well(tmp_path):
    code = "import numba, laydown.physics; print(numba.config.CACHE_DIR)"

    assert variable_after(code, XDG_CACHE_HOME=str(tmp_path)).startswith(str(tmp_path))


def test_without_a_writable_cache_a_folder_of_the_process_is_used_and_goes_with_it():
    folder = variable_after(XDG_CACHE_HOME="/proc/nowhere")

    assert "laydown-kernels-" in folder
    assert not Path(folder).exists()


def test_the_folder_in_use_is_the_one_that_numba_was_pointed_to(monkeypatch):
    monkeypatch.setenv(VARIABLE, "/somewhere")

    assert folder_in_use() == Path("/somewhere")


def test_waiting_threads_sleep_unless_somebody_decided_otherwise():
    show = "import os, laydown.physics; print(os.environ['OMP_WAIT_POLICY'])"

    assert variable_after(show) == "passive"
    assert variable_after(show, OMP_WAIT_POLICY="active") == "active"
