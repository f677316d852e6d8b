"""What the worker can no longer do once it is locked."""

import platform
import subprocess
import sys

import pytest

from laydown.artwork.reading.seccomp import program

TRIES = {
    "a socket": "__import__('socket').socket()",
    "a new file": "open('new', 'w')",
    "an old file for writing": "open(sys.argv[1], 'r+')",
    "appending": "open(sys.argv[1], 'a')",
    "removing": "os.unlink(sys.argv[1])",
    "moving": "os.rename(sys.argv[1], 'moved')",
    "a folder": "os.mkdir('folder')",
    "a link": "os.symlink('a', 'b')",
    "cutting short": "os.truncate(sys.argv[1], 0)",
    "another right": "os.chmod(sys.argv[1], 0)",
    "a process": "os.fork()",
    "a program": "os.execv('/bin/true', ['true'])",
    "a program as a child": "__import__('subprocess').run(['/bin/true'])",
    "killing": "os.kill(os.getppid(), 0)",
}

locks = pytest.mark.skipif(
    platform.system() != "Linux" or platform.machine() not in {"x86_64", "aarch64"}, reason="no filter here"
)


def locked(code, tmp_path):
    victim = tmp_path / "victim"
    victim.write_text("whole")
    text = (
        "import os, sys; from laydown.artwork.reading.limits import Limits;"
        "from laydown.artwork.reading.lockdown import lock_down; import socket, subprocess; lock_down(Limits())\n"
        f"try:\n    {code}\nexcept PermissionError: print('forbidden')\nelse: print('done')"
    )
    done = subprocess.run(
        [sys.executable, "-c", text, str(victim)], capture_output=True, text=True, check=True, cwd=tmp_path
    )
    assert victim.read_text() == "whole"
    assert [one.name for one in tmp_path.iterdir()] == ["victim"]
    return done.stdout.strip()


@locks
@pytest.mark.parametrize("code", TRIES.values(), ids=TRIES)
def test_it_may_not(code, tmp_path):
    assert locked(code, tmp_path) == "forbidden"


@locks
@pytest.mark.parametrize(
    "code",
    [
        "open(sys.argv[1]).read()",
        "t = __import__('threading').Thread(target=print); t.start(); t.join()",
        "os.ftruncate(os.memfd_create('a'), 1000)",
        "bytearray(50_000_000)",
    ],
)
def test_what_reading_needs_it_still_may(code, tmp_path):
    assert locked(code, tmp_path).endswith("done")


@locks
def test_memory_and_file_size_and_core_are_bounded(tmp_path):
    code = (
        "import resource as r; print([r.getrlimit(k) for k in (r.RLIMIT_CORE, r.RLIMIT_AS, r.RLIMIT_FSIZE)] == "
        "[(0, 0), (3072 << 20,) * 2, (1024 << 20,) * 2])"
    )

    assert locked(code, tmp_path).splitlines() == ["True", "done"]


@pytest.mark.parametrize("machine", ["x86_64", "aarch64"])
def test_a_filter_is_a_row_of_whole_instructions_that_jump_inside(machine):
    import struct

    steps = [struct.unpack("=HBBI", program(machine)[k : k + 8]) for k in range(0, len(program(machine)), 8)]

    assert len(program(machine)) % 8 == 0
    assert all(place + 1 + max(yes, no) < len(steps) for place, (_, yes, no, _) in enumerate(steps[:-1]))
    assert steps[-1][0] == 6
