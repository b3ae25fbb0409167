"""Shutting a process in before it reads a file from anywhere.

Limits hold everywhere. What the system has beyond them is taken where it lets us: a namespace
without network and without rights, and a list of the folders that may be read and written
(Landlock). What was had is said, so that the report of an import can say it.
"""

import ctypes
import os
import resource
import signal
import struct
import sys
from pathlib import Path

_MB = 1024 * 1024
_SET_PARENT_DEATH_SIGNAL, _SET_NO_NEW_PRIVILEGES = 1, 38
_NEW_USER, _NEW_NETWORK, _NEW_MESSAGES = 0x10000000, 0x40000000, 0x08000000

# Landlock: numbers of its calls, the same on every architecture, and rights of its first version.
_CREATE_RULES, _ADD_RULE, _RESTRICT = 444, 445, 446
_BENEATH_PATH = 1
_EVERY_RIGHT = (1 << 13) - 1
_READ = (1 << 2) | (1 << 3)
_WRITE = _READ | (1 << 1) | (1 << 5) | (1 << 8)  # write, remove and make plain files


def shut_in(folder: Path, *, memory_mb: int, cpu_s: int, file_mb: int) -> tuple[str, ...]:
    """Take from this process what it does not need, for good.

    Parameters
    ----------
    folder : Path
        The only one that it may write in, and that holds what it reads.
    memory_mb, cpu_s, file_mb : int
        The most memory (address space), time of a processor, and length of a file it writes.

    Returns
    -------
    tuple of str
        In words what it is held by.
    """
    for what, most in (
        (resource.RLIMIT_AS, memory_mb * _MB),
        (resource.RLIMIT_CPU, cpu_s),
        (resource.RLIMIT_FSIZE, file_mb * _MB),
        (resource.RLIMIT_NOFILE, 64),
        (resource.RLIMIT_CORE, 0),
    ):
        _, hard = resource.getrlimit(what)
        lower = most if hard == resource.RLIM_INFINITY else min(most, hard)
        resource.setrlimit(what, (lower, lower))
    held = [f"{memory_mb} MB of memory, {cpu_s} s of a processor"]
    if not sys.platform.startswith("linux"):
        return tuple(held)
    libc = ctypes.CDLL(None, use_errno=True)
    libc.prctl(_SET_PARENT_DEATH_SIGNAL, signal.SIGKILL, 0, 0, 0)
    if libc.prctl(_SET_NO_NEW_PRIVILEGES, 1, 0, 0, 0) == 0:
        held.append("no new privileges")
    if libc.unshare(_NEW_USER | _NEW_NETWORK | _NEW_MESSAGES) == 0:
        held.append("no network and no rights (a namespace of its own)")
    if _only_folders(libc, folder):
        held.append("no files but its own (Landlock)")
    return tuple(held)


def _only_folders(libc: ctypes.CDLL, folder: Path) -> bool:
    """Let this process reach its folder and the installed programs only, where that can be had."""
    handled = struct.pack("=Q", _EVERY_RIGHT)
    rules = libc.syscall(_CREATE_RULES, handled, len(handled), 0)
    if rules < 0:
        return False
    try:
        for path, rights in _reachable(folder).items():
            _allow(libc, rules, path, rights)
        return bool(libc.syscall(_RESTRICT, rules, 0) == 0)
    finally:
        os.close(rules)


def _reachable(folder: Path) -> dict[Path, int]:
    """Return what may be reached: the interpreter, what is installed, and the folder."""
    ours = Path(__file__).resolve().parents[1]
    places = [Path(sys.prefix), Path(sys.base_prefix), ours, *map(Path, sys.path)]
    places += [Path("/usr/lib"), Path("/usr/local/lib"), Path("/lib"), Path("/lib64")]
    found = {one.resolve(): _READ for one in places if one.is_dir()}
    found[folder.resolve()] = _WRITE
    return found


def _allow(libc: ctypes.CDLL, rules: int, path: Path, rights: int) -> None:
    """Add a folder to those that may be reached."""
    handle = os.open(path, os.O_PATH | os.O_CLOEXEC)
    try:
        rule = struct.pack("=Qi", rights, handle)
        if libc.syscall(_ADD_RULE, rules, _BENEATH_PATH, rule, 0) != 0:
            raise OSError(ctypes.get_errno(), f"Landlock does not take {path}")
    finally:
        os.close(handle)
