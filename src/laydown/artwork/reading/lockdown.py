"""What the worker gives up before it looks at a file."""

from __future__ import annotations

import contextlib
import math

from laydown.artwork.reading.limits import Limits
from laydown.artwork.reading.seccomp import forbid_harm

_OPEN_FILES = 64


def _lower(which: int, most: int) -> None:
    """Lower both limits of one resource; a system that refuses keeps its own."""
    import resource

    _, hard = resource.getrlimit(which)
    value = most if hard == resource.RLIM_INFINITY else min(most, hard)
    with contextlib.suppress(ValueError, OSError):
        resource.setrlimit(which, (value, value))


def lock_down(limits: Limits) -> None:
    """Bound memory, file size and open files, forbid core dumps, network and writing, for the rest of the process."""
    import resource

    _lower(resource.RLIMIT_CORE, 0)
    _lower(resource.RLIMIT_FSIZE, limits.result_bytes)
    _lower(resource.RLIMIT_NOFILE, _OPEN_FILES)
    _lower(resource.RLIMIT_AS, limits.memory_bytes)
    forbid_harm()


def allow_computing(seconds: float) -> None:
    """Let the process compute for some more seconds; the kernel ends it after that."""
    import resource

    used = resource.getrusage(resource.RUSAGE_SELF)
    soft = math.ceil(used.ru_utime + used.ru_stime + seconds)
    _, hard = resource.getrlimit(resource.RLIMIT_CPU)
    with contextlib.suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_CPU, (soft, hard))


__all__ = ["allow_computing", "lock_down"]
