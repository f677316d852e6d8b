"""Where compiled kernels are kept between runs, and how their threads wait.

numba notices when a compiled function's own file changes, but not when a file that it depends on does. So the folder
is named by a hash of all kernel sources: after any change a new one is begun, and an old answer cannot come back.
"""

from __future__ import annotations

import hashlib
import os
import sys
from pathlib import Path

VARIABLE = "NUMBA_CACHE_DIR"
"""What numba reads when it is imported; a value that is already set is left alone."""


WAIT_POLICY = "OMP_WAIT_POLICY"
"""What OpenMP reads when its threads are started."""


def keep_compiled_kernels() -> None:
    """Point numba to a folder of the user's cache, or of this process alone where that cannot be written to."""
    if os.environ.get(VARIABLE):
        return
    folder = _writable(cache_folder()) or _passing_folder()
    os.environ[VARIABLE] = str(folder)
    numba = sys.modules.get("numba")
    if numba is not None:
        # Imported before laydown: it has read its settings already.
        numba.config.CACHE_DIR = str(folder)


def let_waiting_threads_sleep() -> None:
    """Let OpenMP's idle threads sleep rather than spin; a policy that is already set is left alone.

    Spinning threads take the processor from whoever else needs it: on a busy machine a plan took ten times as long.
    """
    os.environ.setdefault(WAIT_POLICY, "passive")


def folder_in_use() -> Path:
    """Folder that numba was pointed to, by this module or by whoever set the variable before."""
    return Path(os.environ.get(VARIABLE) or cache_folder())


def cache_folder() -> Path:
    """Folder for the kernels as they are now."""
    return cache_root() / kernel_hash(Path(__file__).parent)


def cache_root() -> Path:
    """Folder that holds one folder for each state of the kernels that was ever run."""
    from platformdirs import user_cache_path

    return user_cache_path("laydown", appauthor=False) / "kernels"


def kernel_hash(package: Path) -> str:
    """Hash of all files below a folder whose name ends in ``_kernel.py``, names included."""
    found = hashlib.sha256()
    for path in sorted(package.rglob("*_kernel.py")):
        found.update(path.relative_to(package).as_posix().encode())
        found.update(b"\0")
        found.update(path.read_bytes())
        found.update(b"\0")
    return found.hexdigest()[:16]


def _writable(folder: Path) -> Path | None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return None
    return folder if os.access(folder, os.W_OK) else None


def _passing_folder() -> Path:
    """Folder that goes when the process ends; every run then compiles anew."""
    import atexit
    import shutil
    import tempfile

    folder = tempfile.mkdtemp(prefix="laydown-kernels-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return Path(folder)
