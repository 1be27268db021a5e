"""What this machine has to give: cores, free memory, and what a process of ours takes."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Final

SHARE: Final = 512 * 1024 * 1024  # bytes that a worker is reckoned to take


def cpus() -> int:
    """Cores that this process may use, by affinity and by the quota of its control group."""
    count = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    quota, _, period = _text("/sys/fs/cgroup/cpu.max").partition(" ")
    if quota.isdecimal() and period.strip().isdecimal():
        count = min(count or 1, max(1, int(quota) // int(period)))
    return max(1, count or 1)


def free_memory() -> int | None:
    """Bytes that can be had without swapping; None where the system does not say."""
    free = None
    for line in _text("/proc/meminfo").splitlines():
        if line.startswith("MemAvailable:"):
            free = int(line.split()[1]) * 1024
    most, used = _text("/sys/fs/cgroup/memory.max"), _text("/sys/fs/cgroup/memory.current")
    if most.isdecimal() and used.isdecimal():
        left = max(0, int(most) - int(used))
        free = left if free is None else min(free, left)
    return free


def workers() -> int:
    """How many workers this machine has room for: one a core, and half a gigabyte each."""
    free = free_memory()
    return max(1, cpus() if free is None else min(cpus(), free // SHARE))


def resident(pid: int) -> int | None:
    """Bytes of memory that a process holds; None where it cannot be seen."""
    return _pages(pid, 1)


def address_space(pid: int | str = "self") -> int | None:
    """Bytes of address space that a process has; None where it cannot be seen."""
    return _pages(pid, 0)


def _pages(pid: int | str, column: int) -> int | None:
    words = _text(f"/proc/{pid}/statm").split()
    return int(words[column]) * os.sysconf("SC_PAGE_SIZE") if words else None


def _text(path: str) -> str:
    try:
        return Path(path).read_text().strip()
    except OSError:
        return ""
