"""A filter of system calls for the worker: no network, no new process, no file written, moved or removed.

Linux on x86-64 and ARM64 only; elsewhere the other limits have to do. The filter lists what is forbidden; the rest may
pass, so that a library that asks the kernel for something harmless goes on working. A forbidden call fails with
"operation not permitted". Numbers of calls: the kernel's tables for both machines.
"""

from __future__ import annotations

import ctypes
import errno
import os
import platform
import struct

_ALLOW = 0x7FFF0000
_FAIL = 0x00050000 | errno.EPERM
_ABSENT = 0x00050000 | errno.ENOSYS
_LOAD, _EQUAL, _AT_LEAST, _ANY_BIT, _RETURN = 0x20, 0x15, 0x35, 0x45, 0x06
_NUMBER, _MACHINE, _ARGUMENTS = 0, 4, 16
_MACHINES = {"x86_64": 0xC000003E, "aarch64": 0xC00000B7}
"""How the kernel tells calls of one machine from those of its 32-bit mode, which have other numbers."""
_FOREIGN_CALLS = 0x40000000
_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_THREAD = 0x10000

_X86 = {
    # network
    "socket": 41, "connect": 42, "bind": 49, "listen": 50,
    # processes
    "fork": 57, "vfork": 58, "execve": 59, "execveat": 322, "kill": 62, "tkill": 200, "ptrace": 101,
    "process_vm_writev": 311, "pidfd_send_signal": 424, "setpgid": 109,
    # files
    "creat": 85, "truncate": 76, "rename": 82, "renameat": 264, "renameat2": 316, "mkdir": 83, "mkdirat": 258,
    "rmdir": 84, "link": 86, "linkat": 265, "unlink": 87, "unlinkat": 263, "symlink": 88, "symlinkat": 266,
    "chmod": 90, "fchmod": 91, "fchmodat": 268, "chown": 92, "fchown": 93, "lchown": 94, "fchownat": 260,
    "mknod": 133, "mknodat": 259, "setxattr": 188, "lsetxattr": 189, "utimensat": 280, "mount": 165,
    "io_uring_setup": 425,
}  # fmt: skip
_ARM = {
    "socket": 198, "connect": 203, "bind": 200, "listen": 201,
    "execve": 221, "execveat": 281, "kill": 129, "tkill": 130, "ptrace": 117, "process_vm_writev": 271,
    "pidfd_send_signal": 424, "setpgid": 154,
    "truncate": 45, "renameat": 38, "renameat2": 276, "mkdirat": 34, "linkat": 37, "unlinkat": 35, "symlinkat": 36,
    "fchmod": 52, "fchmodat": 53, "fchown": 55, "fchownat": 54, "mknodat": 33, "setxattr": 5, "lsetxattr": 6,
    "utimensat": 88, "mount": 40, "io_uring_setup": 425,
}  # fmt: skip
_OPEN = {"x86_64": ((2, 1), (257, 2)), "aarch64": ((56, 2),)}
"""Calls that open files, and which of their arguments says how."""
_CLONE = {"x86_64": 56, "aarch64": 220}
_OPENAT2, _CLONE3 = 437, 435
_FORBIDDEN = {"x86_64": _X86, "aarch64": _ARM}

_NO_NEW_PRIVILEGES, _SET_SECCOMP, _FILTER = 38, 22, 2


def _step(code: int, value: int, yes: int = 0, no: int = 0) -> bytes:
    return struct.pack("=HBBI", code, yes, no, value)


def _argument(index: int) -> bytes:
    """Load the lower half of an argument; both machines count from the low end."""
    return _step(_LOAD, _ARGUMENTS + 8 * index)


def program(machine: str) -> bytes:
    """Instructions of the filter for one kind of machine."""
    reload = _step(_LOAD, _NUMBER)
    steps = [_step(_LOAD, _MACHINE), _step(_EQUAL, _MACHINES[machine], 1, 0), _step(_RETURN, _FAIL)]
    steps += [reload, _step(_AT_LEAST, _FOREIGN_CALLS, 0, 1), _step(_RETURN, _FAIL)]
    for call in (_OPENAT2, _CLONE3):  # the C library then falls back on the older call, which can be judged
        steps += [_step(_EQUAL, call, 0, 1), _step(_RETURN, _ABSENT)]
    for call in _FORBIDDEN[machine].values():
        steps += [_step(_EQUAL, call, 0, 1), _step(_RETURN, _FAIL)]
    for call, argument in _OPEN[machine]:
        steps += [_step(_EQUAL, call, 0, 4), _argument(argument), _step(_ANY_BIT, _WRITING, 0, 1)]
        steps += [_step(_RETURN, _FAIL), reload]
    steps += [_step(_EQUAL, _CLONE[machine], 0, 4), _argument(0), _step(_ANY_BIT, _THREAD, 1, 0)]
    steps += [_step(_RETURN, _FAIL), reload, _step(_RETURN, _ALLOW)]
    return b"".join(steps)


class _Program(ctypes.Structure):
    _fields_ = (("length", ctypes.c_ushort), ("steps", ctypes.c_void_p))


def forbid_harm() -> bool:
    """Put the filter on this process for good; False where the system has none or refuses."""
    machine = platform.machine()
    if platform.system() != "Linux" or machine not in _FORBIDDEN:
        return False
    steps = ctypes.create_string_buffer(program(machine))
    filter_ = _Program(length=(len(steps) - 1) // 8, steps=ctypes.addressof(steps))
    control = ctypes.CDLL(None).prctl
    control.argtypes = (ctypes.c_int, *(ctypes.c_ulong,) * 4)
    if control(_NO_NEW_PRIVILEGES, 1, 0, 0, 0) != 0:
        return False
    done: int = control(_SET_SECCOMP, _FILTER, ctypes.addressof(filter_), 0, 0)
    return done == 0


__all__ = ["forbid_harm", "program"]
